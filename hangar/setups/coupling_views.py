"""Editing one coupling, with what each of its stations gives at the model."""

from dataclasses import replace
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from hangar.fleet.lookups import get_editable_airframe_for
from hangar.form_pages import get_or_post
from hangar.requests import SignedIn, posted
from mixing import solve
from mixing.document import Setup, Surface

from .coupling_forms import CouplingForm, PlaceForm
from .coupling_shown import device_on, shown
from .crumbs import edit_crumbs
from .editing import Data, Desk, desk_of, desk_posted, in_order, keep, problems_at, read
from .errors import DraftMoved, HistoryError
from .open_findings import open_findings
from .recording import reason_form, record_from
from .response_shapes import SHAPES, shaped
from .stations import travel_for
from .throw_grid import place_address
from .ties import is_mirrored, mirrored, other_side
from .two_pages import joined_words, tell_joined, typed_over


@get_or_post
def coupling(request: SignedIn, slug: str) -> HttpResponse:
    """One coupling: work it out as often as one likes, then record the draft with a reason."""
    airframe = get_editable_airframe_for(request.user, slug)
    is_post = request.method == "POST"
    desk = desk_posted(request.user, airframe, request.POST) if is_post else desk_of(request.user, airframe)
    place = _place(request, desk)
    form = _form(desk, _at(desk.data, place), place, posted(request), request.GET.get("rows", ""))
    do = request.POST.get("do", "work")
    if request.htmx and do == "look":
        return _live(request, _looked(desk, place, form), place, form)
    if not request.htmx and do == "remove":
        return _remove(request, desk, place)
    moved = None
    if is_post:
        try:
            desk = _save(desk, place, form, "work" if request.htmx else do, both=bool(request.POST.get("both")))
        except DraftMoved as error:
            moved, desk = error, desk_of(request.user, airframe)
            form = _typed_over(form, desk, _place(request, desk), moved)
    if request.htmx:
        return _live(request, desk, place, form, moved)
    return _page(request, desk, place, form, moved)


def _place(request: SignedIn, desk: Desk) -> Data:
    chosen = PlaceForm(request.GET, draft=desk.data)
    if not chosen.is_valid():
        raise Http404("There is no such control, channel or phase in this draft.")
    return chosen.place()


def _page(request: SignedIn, desk: Desk, place: Data, form: CouplingForm, moved: DraftMoved | None) -> HttpResponse:
    """The whole page; after a form that was kept, the way on."""
    slug, do = desk.airframe.slug, request.POST.get("do", "work")
    reason = reason_form(request)
    if request.method == "POST":
        tell_joined(request, desk)
        if moved is None and not form.errors:
            if do != "record":
                more = f"&rows={min(form.rows + 3, 40)}" if do == "more" else ""
                return redirect(place_address(slug, place) + more)
            answer = record_from(request, desk, reason)
            if answer is not None:
                return answer
    ctx = {
        "airframe": desk.airframe, "desk": desk, "form": form, "reason_form": reason, "here": "line-up",
        "moved": moved, "is_new": _at(desk.data, place) is None, "address": place_address(slug, place),
        "crumbs": edit_crumbs(desk.airframe, (_("Throws"), reverse("setups:throws", args=[slug]))),
        **_other_side(request, desk, place), **shown(desk, place, form),
    }  # fmt: skip
    if desk.setup is not None:
        ctx["open"] = open_findings(desk, desk.setup)
    return render(request, "setups/coupling.html", ctx)


def _looked(desk: Desk, place: Data, form: CouplingForm) -> Desk:
    """The desk as it would be with the coupling as it stands in the boxes; nothing is kept."""
    form.is_valid()
    desk = replace(desk, data=in_order(_with(desk.data, form.coupling(place, form.stations()))))
    _refuse(form, desk, place)
    return desk


def _live(
    request: SignedIn, desk: Desk, place: Data, form: CouplingForm, moved: DraftMoved | None = None
) -> HttpResponse:
    """What the script asks for: a look at what stations would give, or the coupling kept when a box is left."""
    look = request.POST.get("do") == "look"
    if not look and not form.errors:
        form = _form(desk, _at(desk.data, place), place, None, str(form.rows))
    ctx: dict[str, Any] = {
        "desk": desk, "form": form, "look": look, "moved": moved, "errors": form.errors,
        "trouble": str(moved) if moved is not None else "", "joined": joined_words(desk) if desk.other else "",
        **shown(desk, place, form),
    }  # fmt: skip
    if desk.setup is not None and not look:
        ctx["open"] = open_findings(desk, desk.setup)
    response = render(request, "setups/_coupling_live.html", ctx)
    response["HX-Trigger"] = "looked" if look else "kept"
    return response


def _typed_over(form: CouplingForm, desk: Desk, place: Data, moved: DraftMoved) -> CouplingForm:
    """What was typed, over the coupling as it is stored now."""
    old = _at(desk.data, place)
    sent, apart = typed_over(form, _form(desk, old, place, None, str(form.rows)) if old is not None else None)
    form = _form(desk, old, place, sent, "")
    form.is_valid()
    for name, told in apart.items():
        form.add_error(name if name in form.fields else None, told)
    if not apart:
        form.add_error(None, str(moved))
    return form


def _at(data: Data, place: Data) -> Data | None:
    return next(
        (one for one in data["couplings"] if all(one.get(name) == value for name, value in place.items())), None
    )


def _form(desk: Desk, old: Data | None, place: Data, post: Any, rows: str) -> CouplingForm:
    faders = [(c["key"], c.get("label")) for c in desk.data["controls"] if c["key"] != place["control"]]
    part = old if old is not None else {"stations": [[-100, None], [0, None], [100, None]]}
    asked = post.get("rows", "") if post is not None else rows
    return CouplingForm(
        post, initial=CouplingForm.initial_of(part), faders=faders,
        rows=int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 3 else 0,
    )  # fmt: skip


def _save(desk: Desk, place: Data, form: CouplingForm, do: str, *, both: bool) -> Desk:
    """Keep the coupling in the draft whatever it says, then tell what is wrong with it.

    `both` gives the other side the same throws, where this side is right as it stands.
    """
    form.is_valid()
    stations: list[list[Any]] = form.stations()
    if do in SHAPES:
        device = device_on(desk.data, place["channel"])
        nothing = device.get("off_pct") if device is not None else 0.0
        stations = shaped(form, do, nothing if isinstance(nothing, int | float) else 0.0) or stations
    elif any(form.value(f"want_{n}") for n in form.filled()):
        stations = _solved(desk, place, form, stations)
    try:
        data = _with(desk.data, form.coupling(place, stations))
        kept = keep(desk, _with_other_side(data, place) if both and not form.errors else data)
    except DraftMoved:
        raise
    except HistoryError as error:
        form.add_error(None, str(error))
        return desk
    _refuse(form, kept, place)
    return kept


def _refuse(form: CouplingForm, desk: Desk, place: Data) -> None:
    """What is wrong with the coupling in this data, beside its boxes."""
    one = _at(desk.data, place)
    # Another page may have taken it out, and this one sent what it had shown.
    if one is not None:
        form.refuse(problems_at(read(desk.data)[1], f"couplings[{desk.data['couplings'].index(one)}]"))


def _solved(desk: Desk, place: Data, form: CouplingForm, stations: list[list[Any]]) -> list[list[Any]]:
    """The stations with the travel that gives each wanted throw. What cannot be had becomes an error of its row."""
    start = [[x, travel if isinstance(travel, int | float) else 0.0] for x, travel in stations]
    setup, problems = read(_with(desk.data, form.coupling(place, start)))
    filled = form.filled()
    if setup is None:
        for n in (n for n in filled if form.value(f"want_{n}")):
            told = _("A throw can be worked out once the rest of the draft is complete: {problem}")
            form.add_error(f"want_{n}", told.format(problem=problems[0]))
        return stations
    mine = next(c for c in setup.couplings if c.place == (place["control"], place["channel"], place["phase"] or ""))
    surface = _measured(setup, form, place["channel"])
    if surface is None:
        form.add_error(None, _("This channel moves no surface, so no throw can be asked of it: give its travel."))
        return stations
    solved = [list(station) for station in stations]
    for n, throw in form.wanted(surface):
        row = filled.index(n)
        try:
            solved[row][1] = travel_for(setup, mine, surface, position=float(start[row][0]), throw_mm=throw)
        except solve.SolveError as error:
            form.add_error(f"want_{n}", f"{error}.")
    return solved


def _measured(setup: Setup, form: CouplingForm, number: int) -> Surface | None:
    """The surface whose throw is asked for: the one chosen, else the first on the channel."""
    there = setup.surfaces_on(number)
    chosen = form.data.get("want_of")
    return next((surface for surface in there if surface.key == chosen), there[0] if there else None)


def _with(data: Data, one: Data) -> Data:
    """The draft with a coupling in its place."""
    place = (one["control"], one["channel"], one["phase"])
    others = [c for c in data["couplings"] if (c["control"], c["channel"], c["phase"]) != place]
    return {**data, "couplings": [*others, one]}


def _with_other_side(data: Data, place: Data) -> Data:
    """The draft with the same throws on the other side; as it is where nothing can be worked out of it."""
    setup = read(data)[0]
    sides = other_side(setup, place["channel"]) if setup is not None else None
    if setup is None or sides is None:
        return data
    return _with(data, mirrored(setup, sides[0], place["control"], place["phase"]).model_dump(mode="json"))


def _other_side(request: SignedIn, desk: Desk, place: Data) -> Data:
    """For the page: the surface on the other side, and whether it is to do the same."""
    sides = other_side(desk.setup, place["channel"]) if desk.setup is not None else None
    if desk.setup is None or sides is None:
        return {}
    if request.method == "POST":
        return {"other": sides[1], "both": bool(request.POST.get("both"))}
    return {"other": sides[1], "both": is_mirrored(desk.setup, sides, place["control"], place["phase"])}


def _remove(request: SignedIn, desk: Desk, place: Data) -> HttpResponse:
    gone = [place]
    sides = other_side(desk.setup, place["channel"]) if desk.setup is not None and request.POST.get("both") else None
    if sides is not None:
        gone.append({**place, "channel": sides[1].channel})
    others = [one for one in desk.data["couplings"] if not any(one.items() >= each.items() for each in gone)]
    try:
        tell_joined(request, keep(desk, {**desk.data, "couplings": others}))
        messages.success(request, _("The coupling is out of the draft."))
    except HistoryError as error:
        messages.error(request, str(error))
    return redirect("setups:throws", desk.airframe.slug)
