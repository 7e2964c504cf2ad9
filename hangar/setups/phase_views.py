"""What each flight phase of the draft changes, and only that."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from hangar.fleet.lookups import get_editable_airframe_for
from hangar.requests import SignedIn

from .crumbs import edit_crumbs
from .editing import desk_of
from .part_views import SECTIONS
from .phase_changes import phase_changes
from .throw_grid import place_address


@require_safe
def changes(request: SignedIn, slug: str) -> HttpResponse:
    """Each phase with its stance, its own responses, and the throws that differ from the phase at rest."""
    airframe = get_editable_airframe_for(request.user, slug)
    desk = desk_of(request.user, airframe)
    setup = desk.setup
    found = phase_changes(setup) if setup is not None else []
    ctx: dict[str, Any] = {
        "airframe": airframe, "desk": desk, "setup": setup, "sections": SECTIONS.values(), "here": "line-up",
        "crumbs": edit_crumbs(airframe, (_("Throws"), reverse("setups:throws", args=[slug]))),
        "phases": [(one, [(own, place_address(slug, own.place)) for own in one.own]) for one in found],
    }  # fmt: skip
    return render(request, "setups/phase_changes.html", ctx)
