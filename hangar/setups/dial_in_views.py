"""The dial-in list as a page: what to enter on a transmitter, from nothing, for one revision."""

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from hangar.fleet.lookups import get_airframe_for
from hangar.members.policy import can
from hangar.requests import SignedIn

from .crumbs import airframe_crumbs
from .dial_in import conventions_of, dial_in_list, differing_figures, transmitter_of
from .history import get_revision_of


@require_safe
def dial_in(request: SignedIn, slug: str, number: int) -> HttpResponse:
    """Every entry by channel, in the conventions of the transmitter that this airframe is flown with."""
    airframe = get_airframe_for(request.user, slug)
    revision = get_revision_of(airframe, number)
    transmitter = transmitter_of(airframe)
    conventions = conventions_of(transmitter)
    setup = revision.setup
    ctx = {
        "airframe": airframe, "revision": revision, "transmitter": transmitter, "proven": conventions.proven,
        "other_figures": differing_figures(setup, transmitter), "channels": dial_in_list(setup, conventions),
        "setup": setup, "may_edit": can(request.user, "edit", airframe), "here": "line-up",
        "crumbs": airframe_crumbs(
            airframe, (_("Revision {number}").format(number=number), reverse("flights:revision", args=[slug, number]))
        ),
    }  # fmt: skip
    return render(request, "setups/dial_in.html", ctx)
