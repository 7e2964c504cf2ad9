"""The throw matrix as it is edited: a row for each end of a control, a cell for each surface. Numbers from `mixing`."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.translation import gettext as _

from hangar.pictures.edge import is_beyond
from hangar.pictures.estimates import is_estimated
from hangar.pictures.words import arrow, position_words, short, stands
from mixing import Response, ResponseError
from mixing.document import Control, Coupling, Device, Setup, Surface
from mixing.rig import Frame, Rig

from .matrix import Cell, held_off, level_cell
from .throw_edits import Spot, chooses_phase, frame_at, value_in
from .throw_units import figure

_SURFACE_PURPOSES = ("roll", "pitch", "yaw", "brake", "camber")


@dataclass(frozen=True)
class Entry:
    """One cell: what it shows, what it says beside it, and where its response is. Text alone where `fixed`."""

    spot: Spot
    name: str
    label: str
    surface: str
    figure: str
    arrow: str
    beside: str
    address: str
    shape: str
    notes: tuple[str, ...] = ()
    fixed: bool = False
    idle: bool = False
    typed: str | None = None
    error: str = ""

    @property
    def text(self) -> str:
        """What stands in the box: what was typed, where it could not be had."""
        return self.figure if self.typed is None else self.typed


@dataclass(frozen=True)
class Level:
    """What a device does at one end, and where its response is; nothing is typed there."""

    device: str
    label: str
    cell: Cell
    address: str
    beside: str
    note: str
    idle: bool


@dataclass(frozen=True)
class Line:
    """One end of a control, perhaps with a rate switch at one of its positions. `first` where a control begins."""

    control: Control
    words: str
    rate: str
    entries: tuple[Entry, ...]
    devices: tuple[Level, ...]
    first: bool

    @property
    def moves(self) -> bool:
        """Whether anything moves or is coupled at this end."""
        return any(not entry.idle for entry in self.entries) or any(not level.idle for level in self.devices)


@dataclass(frozen=True)
class Sheet:
    """Which sheet of the matrix is shown: of which airframe and phase, in which unit."""

    slug: str
    unit: str
    phase: str | None


def lines(setup: Setup, sheet: Sheet) -> list[Line]:
    """Every row, in the order of the controls."""
    found: list[Line] = []
    for control in setup.controls:
        if _is_shown(setup, control):
            found.extend(_lines_of(setup, control, sheet))
    return found


def _is_shown(setup: Setup, control: Control) -> bool:
    fades = any(fade.control == control.key for one in setup.couplings for fade in one.fades)
    drives = any(one.control == control.key for one in setup.couplings)
    wanted = any(use.purpose in _SURFACE_PURPOSES for use in control.uses)
    return drives or chooses_phase(setup, control.key) or wanted or (fades and control.positions is None)


def _lines_of(setup: Setup, control: Control, sheet: Sheet) -> Iterator[Line]:
    chooses = chooses_phase(setup, control.key)
    at_work = {} if chooses else _at_work(setup, control.key, sheet.phase)
    rates = _rates(setup, at_work)
    first = True
    for n, position in enumerate(control.positions or control.ends):
        words = _phase_label(setup, position) if chooses else position_words(control, position)
        for switch, at in [(None, None), *_other_positions(setup, rates)]:
            spot = Spot(control.key, position, "", switch.key if switch else None, at)
            name = f"{control.key}-{n}" + (f"-{switch.key}-{(switch.positions or ()).index(at)}" if switch else "")
            yield _line(setup, sheet, control, spot, name, words, _rate_words(setup, rates, switch, at), at_work, first)
            first = False


def _line(
    setup: Setup, sheet: Sheet, control: Control, spot: Spot, name: str, words: str, rate: str,
    at_work: Mapping[int, Coupling], first: bool,
) -> Line:  # fmt: skip
    frame = frame_at(setup, spot, sheet.phase)
    entries = []
    for surface in setup.surfaces:
        here = Spot(spot.control, spot.position, surface.key, spot.switch, spot.at)
        at = _("{surface} at {control} {end}").format(surface=surface.label, control=control.label, end=words)
        label = ", ".join(part for part in (at, rate) if part)
        entries.append(_entry(setup, sheet, here, f"t-{name}-{surface.key}", label, frame, at_work))
    levels = []
    for device in setup.devices:
        told = _("{surface} at {control} {end}").format(surface=device.label, control=control.label, end=words)
        levels.append(_level(setup, sheet, device, control, spot.position, told, frame, at_work))
    return Line(control, words, rate, tuple(entries), tuple(levels), first)


def _level(
    setup: Setup, sheet: Sheet, device: Device, control: Control, at: float, label: str, frame: Frame,
    at_work: Mapping[int, Coupling],
) -> Level:  # fmt: skip
    coupling, cell = at_work.get(device.channel), level_cell(device, frame)
    place = {"control": control.key, "channel": device.channel}
    address = place_address(sheet.slug, place) if coupling is None else _address(sheet.slug, coupling)
    travel, shape = float(frame.travel_pct[device.channel]), _shape(setup, coupling)
    return Level(
        device.label, label, cell, "" if chooses_phase(setup, control.key) else address,
        ", ".join(part for part in (f"{short(travel)} %", shape) if part) if coupling is not None else "",
        held_off(setup, device, coupling, at) if cell.still else "", idle=coupling is None and cell.still,
    )  # fmt: skip


def _entry(
    setup: Setup, sheet: Sheet, spot: Spot, name: str, label: str, frame: Frame, at_work: Mapping[int, Coupling]
) -> Entry:
    surface = setup.surface(spot.surface)
    coupling = at_work.get(surface.channel)
    value = value_in(frame, surface, sheet.unit)
    throw, travel = float(frame.throw_mm[surface.key]), float(frame.travel_pct[surface.channel])
    beside = figure(throw, surface.role, "mm") if sheet.unit == "travel" else f"{short(travel)} %"
    chooses = chooses_phase(setup, spot.control)
    no_rate = spot.switch is not None and not (coupling and any(f.control == spot.switch for f in coupling.fades))
    no_phase = chooses and all(one.position != spot.position for one in setup.phases)
    shown = figure(value, surface.role, sheet.unit)
    return Entry(
        spot, name, label, surface.label, shown, arrow(throw, surface.role), beside,
        "" if chooses or coupling is None else _address(sheet.slug, coupling),
        _shape(setup, coupling), _notes(surface, frame), fixed=no_rate or no_phase,
        idle=coupling is None and shown[:2] in ("0 ", "0°"),
    )  # fmt: skip


def _notes(surface: Surface, frame: Frame) -> tuple[str, ...]:
    notes = (
        (is_estimated(surface) and float(frame.throw_mm[surface.key]) != 0.0, _("estimated")),
        (bool(frame.held[surface.channel]), _("cut by the channel's limit")),
        (bool(frame.blocked[surface.key]), _("linkage cannot follow")),
        (is_beyond(surface, float(frame.deflection_deg[surface.key])), _("beyond its stop")),
    )
    return tuple(words for holds, words in notes if holds)


def _at_work(setup: Setup, control: str, phase: str | None) -> dict[int, Coupling]:
    """By channel, what couples a control to it in the phase that is shown."""
    return {one.channel: one for one in Rig(setup).couplings(phase) if one.control == control}


def _rates(setup: Setup, at_work: Mapping[int, Coupling]) -> list[Control]:
    """The switches that fade what the control does to a surface."""
    moved = {surface.channel for surface in setup.surfaces}
    keys = {fade.control for number, one in at_work.items() if number in moved for fade in one.fades}
    return [one for one in setup.controls if one.key in keys and one.positions and not chooses_phase(setup, one.key)]


def _other_positions(setup: Setup, rates: list[Control]) -> list[tuple[Control, float]]:
    return [(switch, at) for switch in rates for at in switch.positions or () if at != switch.rest]


def _rate_words(setup: Setup, rates: list[Control], switch: Control | None, at: float | None) -> str:
    if switch is not None and at is not None:
        return stands(switch, at)
    return ", ".join(stands(one, one.rest) for one in rates)


def _phase_label(setup: Setup, position: float) -> str:
    key = Rig(setup).phase_at(position)
    label = next((phase.label for phase in setup.phases if phase.key == key), "")
    own = any(phase.position == position for phase in setup.phases)
    return label if own else _("{phase}, at {position} %").format(phase=label, position=short(position))


def _shape(setup: Setup, coupling: Coupling | None) -> str:
    """How the response goes between its ends, in a word."""
    if coupling is None or setup.control(coupling.control).positions:
        return ""
    try:
        Response(coupling.stations).slope_and_middle()
    except ResponseError:
        return _("bends")
    return _("expo") if coupling.expo_pct else _("straight")


def place_address(slug: str, place: Mapping[str, object]) -> str:
    """The page of one coupling."""
    query = {"control": place["control"], "channel": place["channel"], "phase": place.get("phase") or ""}
    return f"{reverse('setups:coupling', args=[slug])}?{urlencode(query)}"


def _address(slug: str, coupling: Coupling) -> str:
    return place_address(slug, {"control": coupling.control, "channel": coupling.channel, "phase": coupling.phase})
