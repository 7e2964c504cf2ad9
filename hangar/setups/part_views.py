"""Editing the parts of a setup: a list for each section, a form for each part, all on the member's draft."""

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from hangar.fleet.lookups import get_editable_airframe_for
from hangar.form_pages import get_or_post
from hangar.pictures.estimates import is_estimated
from hangar.pictures.profile import profile
from hangar.pictures.words import short
from hangar.requests import SignedIn, posted
from mixing import Rig, throw_mm

from .crumbs import edit_crumbs
from .editing import LISTS, Data, Desk, desk_of, desk_posted, free_key, keep, place_of, problems_at, read
from .errors import DraftMoved, HistoryError
from .part_forms import ChannelForm, ControlForm, DeviceForm, PartForm, PhaseForm
from .part_lines import line_of
from .rewiring import on_channel, without_channel
from .single_forms import BalanceForm, RemarksForm, SignalForm
from .surface_forms import SurfaceForm
from .two_pages import tell_joined, typed_over
from .wiring_views import channel_map_page


@dataclass(frozen=True)
class Section:
    """One section of a setup: its words, and the form of one of its parts. `one` is for keys and never read."""

    key: str
    one: str
    form: type[PartForm]
    title: Any
    note: Any = ""
    new: Any = ""
    empty: Any = ""


SECTIONS = {
    section.key: section
    for section in (
        Section(
            "channels", "channel", ChannelForm, gettext_lazy("Channels"),
            gettext_lazy("The receiver's outputs, into which all is plugged."), gettext_lazy("New channel"),
        ),
        Section(
            "surfaces", "surface", SurfaceForm, gettext_lazy("Surfaces and linkages"),
            gettext_lazy("What is hinged, and how a pulse becomes a deflection."), gettext_lazy("New surface"),
            gettext_lazy("No surface yet. Add what is hinged, each with its channel; its throws come after that."),
        ),
        Section(
            "controls", "control", ControlForm, gettext_lazy("Controls"),
            gettext_lazy("What the pilot moves, and what each is for."), gettext_lazy("New control"),
            gettext_lazy("No control yet. Add the sticks, levers and switches that move something."),
        ),
        Section(
            "devices", "device", DeviceForm, gettext_lazy("Devices"),
            gettext_lazy("What runs or lets go: motor, tow release, retract."), gettext_lazy("New device"),
            gettext_lazy("No device yet. A glider without a tow release needs none."),
        ),
        Section(
            "phases", "phase", PhaseForm, gettext_lazy("Phases"),
            gettext_lazy("Where the surfaces stand in each flight phase."), gettext_lazy("New phase"),
            gettext_lazy(
                "No phase yet: the setup is the same all through the flight. For phases, add their switch under "
                "Controls first, then one phase for each of its positions."
            ),
        ),
        Section(
            "balance", "balance", BalanceForm, gettext_lazy("Balance"),
            gettext_lazy("Where it may balance, and with which loads it flies."),
        ),
        Section(
            "signal", "signal", SignalForm, gettext_lazy("Signal"),
            gettext_lazy("The transmitter's figures for this setup."),
        ),
        Section("remarks", "remarks", RemarksForm, gettext_lazy("Remarks")),
    )
}  # fmt: skip


def section_of(key: str) -> Section:
    """The section of that key; Http404 where there is none."""
    if key not in SECTIONS:
        raise Http404(f"A setup has no section {key!r}.")
    return SECTIONS[key]


@require_safe
def parts(request: SignedIn, slug: str, key: str) -> HttpResponse:
    """The list of a section's parts."""
    section = section_of(key)
    if key not in LISTS:
        return redirect("setups:single", slug, key)
    airframe = get_editable_airframe_for(request.user, slug)
    ctx: dict[str, Any] = {
        "airframe": airframe, "section": section, "crumbs": edit_crumbs(airframe), "sections": SECTIONS.values(),
        "here": "line-up",
    }  # fmt: skip
    if key == "channels":
        return channel_map_page(request, airframe, ctx)
    desk = desk_of(request.user, airframe)
    rows = [
        (n, part, line_of(key, part), problems_at(desk.problems, f"{key}[{n}]"))
        for n, part in enumerate(desk.data.get(key, []))
    ]
    return render(request, "setups/parts.html", {**ctx, "desk": desk, "rows": rows})


def _form(section: Section, data: Data, part: Data | None, post: Any) -> PartForm:
    initial = section.form.initial_of(part) if part is not None else {}
    return section.form(post, initial=initial, draft=data)


def _placed(data: Data, section: Section, index: int | None, part: Data) -> Data:
    """The data with a part put in its place."""
    if section.key not in LISTS:
        return {**data, section.key: part["remarks"] if section.key == "remarks" else part}
    rows = list(data.get(section.key, []))
    if index is None:
        rows.append(part)
    else:
        rows[index] = part
    return {**data, section.key: rows}


def _keyed(section: Section, data: Data, index: int | None, part: Data) -> Data:
    """A part with its key: the one that it has, or a new one from its label."""
    if section.key in ("channels", *(s for s in SECTIONS if s not in LISTS)):
        return part
    rows = data.get(section.key, [])
    if index is not None:
        return {"key": rows[index]["key"], **part}
    return {"key": free_key(str(part["label"]), {row["key"] for row in rows}, section.one), **part}


@get_or_post
def part(request: SignedIn, slug: str, key: str, index: int | None = None) -> HttpResponse:
    """One part: a row of a list, a new row, or what a setup has once."""
    section = section_of(key)
    airframe = get_editable_airframe_for(request.user, slug)
    is_post = request.method == "POST"
    desk = desk_posted(request.user, airframe, request.POST) if is_post else desk_of(request.user, airframe)
    old = _old_part(desk.data, section, index)
    form = _form(section, desk.data, old, posted(request))
    if is_post:
        try:
            desk, place = _save_part(request, desk, section, index, form)
        except DraftMoved as moved:
            return _moved_page(request, desk, section, index, form, moved)
        if not form.errors or (place is None and key in LISTS):
            return redirect(_after(slug, section))
        if place != index:
            return redirect("setups:part", slug, key, place)
    elif old is not None:
        path = f"{key}[{index}]" if key in LISTS else key
        known = problems_at(desk.problems, path)
        if known:
            form = _form(section, desk.data, old, _as_post(form))
            form.is_valid()
            form.refuse(known)
    return _page(request, desk, section, index, form)


def _page(
    request: SignedIn, desk: Desk, section: Section, index: int | None, form: PartForm, moved: DraftMoved | None = None
) -> HttpResponse:
    slug, key = desk.airframe.slug, section.key
    old = _old_part(desk.data, section, index)
    ctx = {
        "airframe": desk.airframe, "desk": desk, "section": section, "form": form, "index": index,
        "is_new": old is None, "moved": moved, "here": "line-up", "action": _address(slug, section, index),
        "crumbs": edit_crumbs(desk.airframe, (section.title, _after(slug, section))),
        "name": old.get("label", "") if old and key in LISTS else "",
        **(_drawn(desk, old) if key == "surfaces" and old else {}),
    }  # fmt: skip
    return render(request, f"setups/part_{key}.html" if key in _OWN_PAGE else "setups/part.html", ctx)


def _moved_page(
    request: SignedIn, desk: Desk, section: Section, index: int | None, form: PartForm, moved: DraftMoved
) -> HttpResponse:
    """The page of what is stored now, with what was typed over it."""
    now = desk_of(request.user, desk.airframe)
    if index is not None:
        # What stands before it may have gone meanwhile, and so may the part itself: then it is added again.
        index = place_of(now.data[section.key], desk.data[section.key][index])
    old = _old_part(now.data, section, index)
    sent, apart = typed_over(form, _form(section, now.data, old, None) if old is not None else None)
    form = _form(section, now.data, old, sent)
    form.is_valid()
    for name, told in apart.items():
        form.add_error(name if name in form.fields else None, told)
    if not apart:
        form.add_error(None, str(moved))
    return _page(request, now, section, index, form, moved)


def _address(slug: str, section: Section, index: int | None) -> str:
    if section.key not in LISTS:
        return reverse("setups:single", args=[slug, section.key])
    place = [slug, section.key, *([] if index is None else [index])]
    return reverse("setups:new_part" if index is None else "setups:part", args=place)


def _drawn(desk: Desk, old: Data) -> dict[str, str]:
    """A surface in profile at the limits of its channel, as the draft has it; nothing while it is not complete."""
    setup = desk.setup
    surface = next((one for one in setup.surfaces if one.key == old["key"]), None) if setup is not None else None
    if setup is None or surface is None:
        return {}
    channel = setup.channel(surface.channel)
    pulses = (channel.low_us, channel.high_us)
    low, high = (float(Rig(setup).follow(surface, pulse).deflection_deg) for pulse in pulses)
    throws = [float(throw_mm(deflection_deg=deg, chord_mm=surface.chord_mm)) for deg in (low, high)]
    picture = profile(surface, (throws[0], throws[1]), (low, high), estimated=is_estimated(surface))
    limits = _("{low} and {high} µs").format(low=short(pulses[0]), high=short(pulses[1]))
    return {"profile": picture, "limits": limits}


_OWN_PAGE = ("surfaces", "phases", "balance", "controls")


def _old_part(data: Data, section: Section, index: int | None) -> Data | None:
    if section.key == "remarks":
        return {"remarks": data.get("remarks", "")}
    if section.key not in LISTS:
        found: Data = data.get(section.key) or {}
        return found
    rows = data.get(section.key, [])
    if index is None:
        return None
    if index >= len(rows):
        raise Http404(f"There is no {section.one} number {index} in this draft.")
    row: Data = rows[index]
    return row


def _as_post(form: PartForm) -> dict[str, Any]:
    """What the form shows, as if it had been sent: so that what is wrong in a draft is told when it is opened."""
    shown = {name: form[name].value() for name in form.fields}
    return {name: value for name, value in shown.items() if value is not None and value is not False}


def _save_part(
    request: SignedIn, desk: Desk, section: Section, index: int | None, form: PartForm
) -> tuple[Desk, int | None]:
    """Keep the part in the draft whatever it says, then tell what is wrong with it beside its fields.

    The last of the two is where the part stands in its list now.
    """
    form.is_valid()
    part = _keyed(section, desk.data, index, form.part())
    data = _placed(desk.data, section, index, part)
    try:
        kept = keep(desk, data)
    except DraftMoved:
        raise
    except HistoryError as error:
        form.add_error(None, str(error))
        return desk, index
    place = place_of(kept.data[section.key], part) if section.key in LISTS else None
    if place is not None or section.key not in LISTS:
        path = section.key if place is None else f"{section.key}[{place}]"
        form.refuse(problems_at(read(kept.data)[1], path))
    tell_joined(request, kept)
    if form.errors:
        messages.warning(request, _("What you typed is kept in your draft. It can be recorded once this is right."))
    return kept, place


def _after(slug: str, section: Section) -> str:
    if section.key in LISTS:
        return reverse("setups:parts", args=[slug, section.key])
    return reverse("setups:draft", args=[slug])


@require_POST
def remove_part(request: SignedIn, slug: str, key: str, index: int) -> HttpResponse:
    """Take a part out of the draft. What still refers to it is told on the draft's page."""
    section = section_of(key)
    airframe = get_editable_airframe_for(request.user, slug)
    desk = desk_posted(request.user, airframe, request.POST)
    rows = list(desk.data.get(key, [])) if key in LISTS else []
    if index >= len(rows):
        raise Http404(f"There is no {section.one} number {index} in this draft.")
    gone = rows.pop(index)
    left = {**desk.data, key: rows}
    if key == "channels" and not on_channel(desk.data, gone.get("number")):
        # Nothing is plugged in: what drives the channel drives nothing, and would only have to be looked for.
        left = without_channel(left, gone.get("number"))
    try:
        tell_joined(request, keep(desk, left))
        told = _("{part} is out of the draft.")
        messages.success(request, told.format(part=gone.get("label") or _("What had no name")))
    except HistoryError as error:
        messages.error(request, str(error))
    return redirect("setups:parts", slug, key)
