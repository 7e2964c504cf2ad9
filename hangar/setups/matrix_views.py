"""The throw matrix as one page: every cell takes a throw, and is kept in the draft when it is left."""

import json
from dataclasses import replace
from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _

from hangar.fleet.lookups import get_editable_airframe_for
from hangar.form_pages import get_or_post
from hangar.members.models import Member
from hangar.members.operations import set_preferences
from hangar.requests import SignedIn
from mixing import Setup

from .coupling_forms import PlaceForm, moved_by
from .crumbs import edit_crumbs
from .editing import Desk, desk_of, desk_stored, problems_at, store
from .errors import DraftMoved, HistoryError
from .matrix import rest_phase
from .open_findings import open_findings
from .part_views import SECTIONS
from .throw_edits import Refused, Way, edited, frame_at, value_in
from .throw_grid import Entry, Line, Sheet, lines, place_address
from .throw_units import UNITS, figure, unit_words
from .ties import ties

Errors = dict[str, tuple[str, str]]
"""By the name of a cell: what was typed there, and why it cannot be had."""


@get_or_post
def throws(request: SignedIn, slug: str) -> HttpResponse:
    """The matrix; what is posted to it is kept, as far as it can be had."""
    airframe = get_editable_airframe_for(request.user, slug)
    if request.method == "POST":
        return _keep(request, desk_stored(request.user, airframe, request.POST))
    desk = desk_of(request.user, airframe)
    return _page(request, desk, _sheet(request.user, desk, request.GET), own=bool(request.GET.get("own")))


def _sheet(user: Member, desk: Desk, asked: QueryDict) -> Sheet:
    setup = desk.setup
    phases = [phase.key for phase in setup.phases] if setup is not None else []
    phase = asked.get("phase")
    unit = asked.get("unit", "")
    return Sheet(
        desk.airframe.slug, unit if unit in UNITS else user.throw_unit,
        phase if phase in phases else rest_phase(setup) if setup is not None else None,
    )  # fmt: skip


def _keep(request: SignedIn, desk: Desk) -> HttpResponse:
    sheet = _sheet(request.user, desk, request.POST)
    own = bool(request.POST.get("own"))
    desk, errors, trouble = _kept(request, desk, sheet, own)
    if request.htmx:
        response = _page(request, desk, sheet, errors, trouble, own=own, live=True)
        response["HX-Trigger"] = "kept"
        return response
    to_unit = request.POST.get("to_unit", "")
    if errors or trouble:
        return _page(request, desk, sheet, errors, trouble, own=own)
    if to_unit in UNITS:
        set_preferences(user=request.user, throw_unit=to_unit)
    query = {name: value for name, value in (("phase", sheet.phase), ("own", "1" if own else "")) if value}
    return redirect(f"{reverse('setups:throws', args=[sheet.slug])}?{urlencode(query)}#throws")


def _kept(request: SignedIn, desk: Desk, sheet: Sheet, own: bool) -> tuple[Desk, Errors, str]:
    """The desk with what was typed, what of it could not be had, and what kept all of it from being saved."""
    # Two pages of one member save at once: what was typed goes on top of what the other page saved.
    for _time in range(3):
        setup = desk.setup
        if setup is None:
            return desk, {}, _("The draft is not complete any more: see its page for what is missing.")
        changed, errors = _edits(setup, request.POST, sheet, own)
        if changed == setup:
            return desk, errors, ""
        try:
            return store(desk, changed.data(), desk.version), errors, ""
        except DraftMoved:
            desk = desk_of(request.user, desk.airframe)
        except HistoryError as error:
            return desk, errors, str(error)
    return desk, {}, _("Another page of yours keeps saving this draft. Save again.")


def _edits(setup: Setup, post: QueryDict, sheet: Sheet, own: bool) -> tuple[Setup, Errors]:
    """The setup with every cell in which something else was typed than the page showed."""
    tied = {surface.key for tie in ties(setup, post) if tie.tied for surface in tie.surfaces}
    way = Way(sheet.unit, sheet.phase, own, tied)
    shown = _shown(post)
    errors: Errors = {}
    given: dict[str, tuple[str, str]] = {}
    changed = setup
    entries = {entry.name: entry for line in lines(setup, sheet) for entry in line.entries}
    for name, entry in entries.items():
        typed = post.get(name)
        was = shown.get(name, entry.figure)
        if typed is None or entry.fixed or typed in (was, entry.figure):
            continue
        if was != entry.figure:
            told = _("Another page of yours made this {now} meanwhile. Save again to put what you typed in its place.")
            errors[name] = typed, told.format(now=entry.figure)
            continue
        try:
            changed = edited(changed, entry.spot, typed, way)
        except Refused as refused:
            errors[name] = typed, str(refused)
        else:
            given[name] = typed, _figure(changed, entry, sheet)
    for name, (typed, was) in given.items():
        now = _figure(changed, entries[name], sheet)
        if now != was:
            told = _("This stands at {now} now: another throw that you typed moves it too. {remedy}")
            errors[name] = typed, told.format(now=now, remedy=_("Untie the two, or type one of them."))
    return changed, errors


def _figure(setup: Setup, entry: Entry, sheet: Sheet) -> str:
    surface = setup.surface(entry.spot.surface)
    return figure(value_in(frame_at(setup, entry.spot, sheet.phase), surface, sheet.unit), surface.role, sheet.unit)


def _shown(post: QueryDict) -> dict[str, str]:
    """The figures which the page showed, by cell: what differs from them was typed."""
    try:
        shown = json.loads(post.get("shown", "{}"))
    except ValueError:
        return {}
    return {str(name): str(text) for name, text in shown.items()} if isinstance(shown, dict) else {}


def _page(
    request: SignedIn, desk: Desk, sheet: Sheet, errors: Errors | None = None, trouble: str = "", *,
    own: bool = False, live: bool = False,
) -> HttpResponse:  # fmt: skip
    setup = desk.setup
    ctx: dict[str, Any] = {
        "airframe": desk.airframe, "desk": desk, "setup": setup, "crumbs": edit_crumbs(desk.airframe),
        "here": "line-up", "place_form": PlaceForm(draft=desk.data), "couplings": _listed(desk),
        "sections": SECTIONS.values(), "sheet": sheet, "units": unit_words().items(), "own": own, "trouble": trouble,
        "errors": errors,
    }  # fmt: skip
    if setup is not None:
        shown = [_with_errors(line, errors or {}) for line in lines(setup, sheet)]
        ctx |= {
            "lines": shown, "open": open_findings(desk, setup),
            "ties": [] if live else ties(setup, request.POST if request.POST.get("ties") else None),
            "phase": next((one for one in setup.phases if one.key == sheet.phase), None),
            "shown": json.dumps({entry.name: entry.figure for line in shown for entry in line.entries}),
        }  # fmt: skip
    response = render(request, "setups/_throws_live.html" if live else "setups/throws.html", ctx)
    patch_vary_headers(response, ["HX-Request"])
    return response


def _with_errors(line: Line, errors: Errors) -> Line:
    """A line in whose cells stands what was typed, where it could not be had."""
    entries = (
        replace(entry, typed=errors[entry.name][0], error=errors[entry.name][1]) if entry.name in errors else entry
        for entry in line.entries
    )
    return replace(line, entries=tuple(entries))


def _listed(desk: Desk) -> list[dict[str, Any]]:
    labels = {part["key"]: part.get("label") for name in ("controls", "phases") for part in desk.data[name]}
    return [
        {
            "control": labels.get(one["control"], one["control"]), "address": place_address(desk.airframe.slug, one),
            "words": _coupling_words(
                f"{one['channel']} {moved_by(desk.data, one['channel']) or _('moves nothing')}",
                labels.get(one["phase"]) if one["phase"] else "",
                wrong=bool(problems_at(desk.problems, f"couplings[{n}]")),
            ),
        }
        for n, one in enumerate(desk.data["couplings"])
    ]  # fmt: skip


def _coupling_words(channel: str, phase: Any, *, wrong: bool) -> str:
    """What a coupling moves, perhaps in one phase only, and whether it is right yet."""
    told = _("{channel}, only in {phase}").format(channel=channel, phase=phase) if phase else channel
    return _("{coupling} (not right yet)").format(coupling=told) if wrong else told
