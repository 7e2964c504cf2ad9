"""The line-up, an airframe's page, and its history: everything that is read about a model."""

from collections.abc import Iterable
from typing import Any

from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_safe
from django_tables2 import RequestConfig

from hangar.fleet.lookups import get_airframe_for
from hangar.fleet.models import Airframe
from hangar.members.policy import can
from hangar.pictures.behind import from_behind
from hangar.pictures.response import throw_plot
from hangar.pictures.words import position_words
from hangar.requests import SignedIn
from hangar.setups.channel_map import channel_map, stowed
from hangar.setups.drafts import draft_of
from hangar.setups.findings import findings
from hangar.setups.history import get_revision_of
from hangar.setups.matrix import differences, is_estimated, rest_phase, throw_matrix
from hangar.setups.models import Revision
from hangar.setups.recording import changes
from hangar.setups.what_changed import what_changed
from mixing import Rig
from mixing.document import Control, Setup

from .models import Flight
from .reports import last_that_flew_well, last_verdict
from .standings import standing_of, standings, with_state
from .tables import LineUpFilter, LineUpTable

ON_THE_PAGE = 5
IN_A_HISTORY = 20


@require_safe
def line_up(request: SignedIn) -> HttpResponse:
    chosen = LineUpFilter(request.GET, queryset=Airframe.objects.visible_to(request.user).order_by("name", "slug"))
    state = chosen.form.cleaned_data.get("state", "") if chosen.is_valid() else ""
    table = LineUpTable(with_state(standings(chosen.qs), state))
    RequestConfig(request, paginate={"per_page": 25}).configure(table)
    ctx = {"table": table, "filter": chosen, "here": "line-up"}
    template = "flights/_line_up_table.html" if request.htmx else "flights/line_up.html"
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
                "narrow": throw_plot(setup, control.key, phase=phase, width=340, height=280, type_px=13),
            })  # fmt: skip
    return found


def _behind(setup: Setup, control: Control, phase: str | None) -> str:
    """The model from behind with the control at the end at which it brakes or cambers fully."""
    use = control.use("brake") or control.use("camber")
    position = use.full if use is not None else control.ends[1]
    frame = Rig(setup).at({control.key: position}, phase=phase)
    throws = {surface.key: (float(frame.throw_mm[surface.key]),) for surface in setup.surfaces}
    estimated = [surface.key for surface in setup.surfaces if is_estimated(surface)]
    title = f"{control.label} {position_words(control, position)}"
    return from_behind(setup, throws, title=title, estimated=estimated, width=400, height=220, type_px=14)


def setup_context(setup: Setup, phase: str | None, receiver_channels: int | None = None) -> dict[str, Any]:
    """What every page about a setup shows of it."""
    known = {one.key for one in setup.phases}
    chosen = phase if phase in known else None
    return {
        "setup": setup, "matrix": throw_matrix(setup, chosen), "phase": chosen or rest_phase(setup),
        "pictures": pictures(setup, chosen), "channels": channel_map(setup), "stowed": stowed(setup),
        "findings": findings(setup, receiver_channels=receiver_channels),
    }  # fmt: skip


@require_safe
def airframe(request: SignedIn, slug: str) -> HttpResponse:
    found = get_airframe_for(request.user, slug)
    standing = standing_of(found)
    may_edit = can(request.user, "edit", found)
    ctx: dict[str, Any] = {
        "airframe": found, "standing": standing, "may_edit": may_edit, "may_release": can(request.user, "release"),
        "here": "line-up", "crumbs": [("Line-up", reverse("flights:line_up"))],
        "helpers": found.helpers.select_related("personal"), "draft": draft_of(request.user, found),
        "flew_well": last_that_flew_well(found), "revisions": _told(_listed(found)[:ON_THE_PAGE]),
        "flights": Flight.objects.filter(revision__airframe=found).select_related("revision", "pilot__personal")[:3],
    }  # fmt: skip
    if standing.head is not None:
        channels = standing.fitting.receiver.channels if standing.fitting else None
        ctx |= setup_context(standing.head.setup, request.GET.get("phase"), channels)
    return render(request, "flights/airframe.html", ctx)


def _listed(found: Airframe) -> Any:
    return Revision.objects.of(found).listed().annotate(last_verdict=last_verdict())


def _told(revisions: Iterable[Revision]) -> list[tuple[Revision, tuple[str, ...]]]:
    """Each revision with what it changed."""
    rows = list(revisions)
    changed = what_changed(rows)
    return [(row, changed.get(row.pk, ())) for row in rows]


@require_safe
def history(request: SignedIn, slug: str) -> HttpResponse:
    found = get_airframe_for(request.user, slug)
    page = Paginator(_listed(found), IN_A_HISTORY).get_page(request.GET.get("page"))
    ctx = {
        "airframe": found, "revisions": _told(page), "page": page, "here": "line-up",
        "may_edit": can(request.user, "edit", found),
        "crumbs": [("Line-up", reverse("flights:line_up")), (found.name, reverse("flights:airframe", args=[slug]))],
    }  # fmt: skip
    return render(request, "flights/history.html", ctx)


@require_safe
def revision(request: SignedIn, slug: str, number: int) -> HttpResponse:
    found = get_airframe_for(request.user, slug)
    shown = get_revision_of(found, number)
    ctx = {
        "airframe": found, "revision": shown, "here": "line-up", "may_edit": can(request.user, "edit", found),
        "flights": shown.flights.select_related("pilot__personal"),
        "is_current": not Revision.objects.of(found).filter(number__gt=number).exists(),
        "crumbs": [
            ("Line-up", reverse("flights:line_up")), (found.name, reverse("flights:airframe", args=[slug])),
            ("History", reverse("flights:history", args=[slug])),
        ],
        **setup_context(shown.setup, request.GET.get("phase")),
    }  # fmt: skip
    return render(request, "flights/revision.html", ctx)


@require_safe
def compare(request: SignedIn, slug: str) -> HttpResponse:
    """What changed between two revisions: the one before the current one and the current one, where none are named."""
    found = get_airframe_for(request.user, slug)
    numbers = list(Revision.objects.of(found).order_by("-number").values_list("number", flat=True))
    if len(numbers) < 2:
        raise Http404(f"{found} has fewer than two revisions.")
    before, after = (
        _asked(request.GET.get(name, ""), numbers, default)
        for name, default in (("from", numbers[1]), ("to", numbers[0]))
    )
    earlier, later = get_revision_of(found, before), get_revision_of(found, after)
    ctx = {
        "airframe": found, "earlier": earlier, "later": later, "numbers": numbers, "here": "line-up",
        "changes": changes(earlier.setup, later.setup), "throws": differences(earlier.setup, later.setup),
        "crumbs": [
            ("Line-up", reverse("flights:line_up")), (found.name, reverse("flights:airframe", args=[slug])),
            ("History", reverse("flights:history", args=[slug])),
        ],
    }  # fmt: skip
    return render(request, "flights/compare.html", ctx)


def _asked(text: str, numbers: list[int], default: int) -> int:
    if not text:
        return default
    if not (text.isascii() and text.isdigit() and len(text) < 9 and int(text) in numbers):
        raise Http404(f"There is no revision {text[:20]!r}.")
    return int(text)
