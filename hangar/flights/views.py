"""The line-up and an airframe's page: everything that is read about a model at a glance."""

from typing import Any

from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe
from django_tables2 import RequestConfig

from hangar.fleet.lookups import disposes_of, get_airframe_for
from hangar.fleet.models import Airframe
from hangar.fleet.rules import club_rules
from hangar.members.policy import can
from hangar.pictures.behind import from_behind
from hangar.pictures.estimates import is_estimated
from hangar.pictures.response import throw_plot
from hangar.pictures.words import stands
from hangar.requests import SignedIn
from hangar.setups.channel_map import channel_map, stowed
from hangar.setups.drafts import draft_of
from hangar.setups.findings import findings
from hangar.setups.matrix import rest_phase, throw_matrix, with_reasons
from hangar.setups.thrown import Thrown, told_thrown
from mixing import Rig
from mixing.document import Control, Setup

from .asked import number_in
from .glances import refresh_stale
from .models import Flight, Work
from .reports import flew_well_as, last_that_flew_well
from .standings import standing_of
from .tables import LineUpFilter, LineUpTable, own_models
from .told import listed, told

ON_THE_PAGE = 5


@require_safe
def line_up(request: SignedIn) -> HttpResponse:
    refresh_stale()
    rows = Airframe.objects.visible_to(request.user).select_related("owner__personal", "glance")
    chosen = LineUpFilter(request.GET, queryset=rows.order_by("name", "slug"))
    table = LineUpTable(chosen.qs)
    RequestConfig(request, paginate={"per_page": 25}).configure(table)
    first_run = not table.paginator.count and not Airframe.objects.exists()
    ctx = {"table": table, "filter": chosen, "rules": club_rules(), "here": "line-up", "first_run": first_run}
    if not request.GET and not request.htmx and not first_run:
        ctx["yours"] = own_models(request.user)
    template = "tables/region.html" if request.htmx else "flights/line_up.html"
    response = render(request, template, ctx)
    patch_vary_headers(response, ["HX-Request"])
    return response


def pictures(setup: Setup, phase: str | None) -> list[dict[str, Any]]:
    """The responses worth a picture, wide for a desk and narrow for a phone: brake, and camber of several surfaces."""
    found = []
    for control in setup.controls:
        moved = {s.key for c in setup.couplings if c.control == control.key for s in setup.surfaces_on(c.channel)}
        if control.use("brake") or (control.use("camber") and len(moved) > 1):
            found.append({
                "control": control, "behind": _behind(setup, control, phase),
                "wide": throw_plot(setup, control.key, phase=phase),
                "narrow": throw_plot(setup, control.key, phase=phase, width=340, height=280, type_px=14),
            })  # fmt: skip
    return found


def _behind(setup: Setup, control: Control, phase: str | None) -> str:
    """The model from behind with the control at the end at which it brakes or cambers fully."""
    use = control.use("brake") or control.use("camber")
    position = use.full if use is not None else control.ends[1]
    frame = Rig(setup).at({control.key: position}, phase=phase)
    throws = {surface.key: (float(frame.throw_mm[surface.key]),) for surface in setup.surfaces}
    estimated = [surface.key for surface in setup.surfaces if is_estimated(surface)]
    title = stands(control, position)
    return from_behind(setup, throws, title=title, estimated=estimated, width=400, height=220, type_px=16)


def setup_context(setup: Setup, phase: str | None, receiver_channels: int | None = None) -> dict[str, Any]:
    """What every page about a setup shows of it."""
    known = {one.key for one in setup.phases}
    chosen = phase if phase in known else None
    return {
        "setup": setup, "phase": chosen or rest_phase(setup),
        "matrix": with_reasons(throw_matrix(setup, chosen), setup, chosen),
        "pictures": pictures(setup, chosen), "channels": channel_map(setup), "stowed": stowed(setup),
        "findings": findings(setup, receiver_channels=receiver_channels),
    }  # fmt: skip


def _flights(airframe: Airframe) -> QuerySet[Flight]:
    """With those that were withdrawn: they are shown, struck through."""
    flights = Flight.everything.filter(revision__airframe=airframe)
    return flights.select_related("revision", "pilot__personal", "withdrawn_by__personal")


def _work(airframe: Airframe) -> QuerySet[Work]:
    return Work.everything.filter(airframe=airframe).select_related("by__personal", "withdrawn_by__personal")


def _just_thrown(request: SignedIn, airframe: Airframe) -> list[Thrown]:
    """The draft that the member threw away a moment ago, where the address names it."""
    pk = number_in(request.GET.get("thrown", ""))
    return told_thrown(request.user, airframe, pk) if pk is not None else []


@require_safe
def airframe(request: SignedIn, slug: str) -> HttpResponse:
    found = get_airframe_for(request.user, slug)
    standing = standing_of(found)
    may_edit = can(request.user, "edit", found)
    ctx: dict[str, Any] = {
        "airframe": found, "standing": standing, "may_edit": may_edit, "may_release": can(request.user, "release"),
        "here": "line-up", "crumbs": [(_("Line-up"), reverse("flights:line_up"))],
        "disposes": disposes_of(request.user, found), "helpers": found.helpers.select_related("personal"),
        "draft": draft_of(request.user, found), "thrown": _just_thrown(request, found),
        "flew_well": last_that_flew_well(found), "revisions": told(found, listed(found)[:ON_THE_PAGE]),
        "work": _work(found)[:ON_THE_PAGE],
        "flights": _flights(found)[:3],
    }  # fmt: skip
    if standing.head is not None:
        ctx["head_flew_as"] = flew_well_as(found, [standing.head]).get(standing.head.pk)
        channels = standing.fitting.receiver.channels if standing.fitting else None
        ctx |= setup_context(standing.head.setup, request.GET.get("phase"), channels)
    return render(request, "flights/airframe.html", ctx)
