"""The bench: controls are moved on the screen, and everything answers. Each number is from `mixing`."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

import mixing
from hangar.pictures.behind import from_behind
from hangar.pictures.edge import edge_view, is_beyond
from hangar.pictures.estimates import is_estimated
from hangar.pictures.plot import plot
from hangar.pictures.response import throw_lines
from hangar.pictures.words import length, opposite, plain, position_words, short, signed
from mixing import Finding, opposites, wording
from mixing.document import Control, Device, Setup, Surface
from mixing.rig import Frame, Rig

from .matrix import Cell, level_cell, throw_cell
from .reaches import envelope_of
from .throw_units import written_mm

Positions = Mapping[str, float]

NEAR_PCT = 15.0
"""A finding is told where each control that shows it stands within this of where it is shown [%]."""

LITTLE_LEFT = 0.5
"""Where less than this share of a movement is left it is told with a mark."""


@dataclass(frozen=True)
class Answer:
    """What one surface or device does where the controls stand; `other` is what it does in the setup beside."""

    label: str
    cell: Cell
    degrees: str
    channel: int
    travel: str
    pulse: str
    picture: str = ""
    other: Cell | None = None
    difference: str = ""
    """In words, where the setup beside does otherwise."""


@dataclass(frozen=True)
class Left:
    """How much of a movement the brake leaves."""

    purpose: str
    against: str
    share: str
    little: bool


@dataclass(frozen=True)
class Response:
    """What one control does over its whole way, with where it stands."""

    key: str
    label: str
    wide: str = ""
    narrow: str = ""


@dataclass(frozen=True)
class Bench:
    """Everything that answers to the controls."""

    phase: str
    surfaces: tuple[Answer, ...]
    devices: tuple[Answer, ...]
    wide: str
    narrow: str
    left: tuple[Left, ...]
    response: Response | None
    told: str


def rest_positions(setup: Setup) -> dict[str, float]:
    """Every control at rest."""
    return {control.key: control.rest for control in setup.controls}


def bench_at(setup: Setup, positions: Positions, *, beside: Setup | None = None, response: str | None = None) -> Bench:
    """What the model does with the controls at `positions` [%]; those left out are at rest.

    `beside` is another setup of it at the same positions, as far as it has these controls; `response` is the key of the
    control whose response is drawn.

    Raises
    ------
    mixing.PositionError
        A position that its control does not have.
    """
    rig = Rig(setup)
    standing = {**rest_positions(setup), **positions}
    frame = rig.at(standing)
    phase = rig.phase_at(standing[rig.phase_control]) if rig.phase_control else None
    label = next((one.label for one in setup.phases if one.key == phase), "")
    other = _Other(beside, standing) if beside is not None else None
    surfaces = tuple(_surface_answer(surface, frame, other) for surface in setup.surfaces)
    wide, narrow = (
        _picture(setup, frame, label, other, width=width, height=height, type_px=size)
        for width, height, size in ((640, 240, 15), (340, 160, 13))
    )
    moved = "; ".join(f"{one.label} {one.cell.figure} {one.cell.word}" for one in surfaces if one.cell.word)
    return Bench(
        label, surfaces, tuple(_device_answer(device, frame, other) for device in setup.devices), wide, narrow,
        tuple(_left(setup, standing)), _response(setup, standing, phase, response), moved or _("every surface neutral"),
    )  # fmt: skip


class _Other:
    """The setup beside, with its controls where those of the same key stand."""

    def __init__(self, setup: Setup, standing: Positions) -> None:
        self.setup = setup
        at = {c.key: standing[c.key] for c in setup.controls if c.key in standing and _has(c, standing[c.key])}
        self.frame = Rig(setup).at({**rest_positions(setup), **at})
        self.surfaces = {surface.key: surface for surface in setup.surfaces}
        self.devices = {device.key: device for device in setup.devices}


def _has(control: Control, position: float) -> bool:
    return not control.positions or position in control.positions


def _surface_answer(surface: Surface, frame: Frame, other: _Other | None) -> Answer:
    cell = throw_cell(surface, frame)
    degrees = float(frame.deflection_deg[surface.key])
    cut = bool(frame.held[surface.channel]) or bool(frame.blocked[surface.key])
    if is_beyond(surface, degrees):
        cell = replace(cell, still=False, notes=(*cell.notes, _("beyond its stop")))
    answer = _answer(surface, frame, cell, f"{plain(abs(degrees))}°")
    beside = other.surfaces.get(surface.key) if other is not None else None
    if other is None or beside is None:
        return replace(answer, picture=edge_view(surface, degrees, cut=cut))
    # The difference of what is written, so that a pilot who takes one from the other finds the same.
    was, now = (written_mm(float(one.throw_mm[surface.key])) for one in (other.frame, frame))
    beside_deg = float(other.frame.deflection_deg[surface.key])
    return replace(
        answer,
        picture=edge_view(surface, degrees, beside_deg=beside_deg, cut=cut),
        other=throw_cell(beside, other.frame),
        difference=_further(now - was, surface.role),
    )


def _further(apart_mm: float, role: str) -> str:
    """How much further than the setup beside, "" where both are written alike."""
    if wording.length_fixed(apart_mm) == "0":
        return ""
    way = wording.way_words(apart_mm, role)
    return _("{length} further {way}").format(length=length(abs(apart_mm)), way=way)


def _device_answer(device: Device, frame: Frame, other: _Other | None) -> Answer:
    cell = level_cell(device, frame)
    if bool(frame.held[device.channel]):
        cell = replace(cell, still=False, notes=(*cell.notes, _("cut by the channel's limit")))
    answer = _answer(device, frame, cell, "")
    beside = other.devices.get(device.key) if other is not None else None
    if other is None or beside is None:
        return answer
    was = level_cell(beside, other.frame)
    same = was.figure == answer.cell.figure
    return replace(answer, other=was, difference="" if same else _("not the same"))


def _answer(part: Surface | Device, frame: Frame, cell: Cell, degrees: str) -> Answer:
    travel, pulse = float(frame.travel_pct[part.channel]), float(frame.pulse_us[part.channel])
    return Answer(part.label, cell, degrees, part.channel, f"{signed(travel, 1)} %", f"{short(pulse, 0)} µs")


def _left(setup: Setup, standing: Positions) -> Iterator[Left]:
    """What the brake leaves of roll, pitch and yaw where it stands."""
    taking = next((one for one in setup.controls if one.use("brake")), None)
    if taking is None:
        return
    words = {"roll": _("roll"), "pitch": _("pitch"), "yaw": _("yaw")}
    for purpose, share in mixing.authority_left(setup, standing).items():
        yield Left(words[purpose], taking.label, f"{plain(100 * share, 0)} %", share < LITTLE_LEFT)


def responses(setup: Setup) -> list[Control]:
    """The controls whose response can be drawn."""
    return [one for one in setup.controls if any(coupling.control == one.key for coupling in setup.couplings)]


def _response(setup: Setup, standing: Positions, phase: str | None, key: str | None) -> Response | None:
    """The response of the control that was asked for; else of the first that is not at rest, or that does anything."""
    moving = responses(setup)
    away = [one for one in moving if standing[one.key] != one.rest]
    control = next((one for one in moving if one.key == key), next(iter([*away, *moving]), None))
    if control is None:
        return None
    chooser = setup.phases[0].control if setup.phases else None
    others = {name: at for name, at in standing.items() if name not in (control.key, chooser)}
    lines = throw_lines(setup, control.key, phase=None if control.key == chooser else phase, others=others)
    if not lines.curves:
        return Response(control.key, control.label)
    wide, narrow = (
        plot(lines.curves, lines.axes, title=lines.title, width=width, height=height, type_px=size,
             mark=standing[control.key])
        for width, height, size in ((640, 260, 14), (340, 240, 14))
    )  # fmt: skip
    return Response(control.key, control.label, wide, narrow)


def _picture(
    setup: Setup, frame: Frame, phase: str, other: _Other | None, *, width: float, height: float, type_px: float
) -> str:
    throws = {surface.key: (float(frame.throw_mm[surface.key]),) for surface in setup.surfaces}
    estimated = [surface.key for surface in setup.surfaces if is_estimated(surface)]
    title = _("The bench, {phase}").format(phase=phase) if phase else _("The bench")
    full = full_throw_mm(setup)
    beside = None
    if other is not None:
        beside = {key: float(other.frame.throw_mm[key]) for key in other.surfaces}
        full = max(full, full_throw_mm(other.setup))
    return from_behind(
        setup, throws, title=title, estimated=estimated, full_mm=full, beside_mm=beside, width=width, height=height,
        type_px=type_px,
    )  # fmt: skip


def full_throw_mm(setup: Setup) -> float:
    """The largest throw that any surface of the setup ever makes [mm]: the scale of every picture of its bench."""
    extents = envelope_of(setup).surfaces
    throws = (
        abs(float(mixing.throw_mm(deflection_deg=end, chord_mm=surface.chord_mm)))
        for surface in setup.surfaces
        for end in (extents[surface.key].low, extents[surface.key].high)
    )
    return max(throws, default=0.0)


def near(found: tuple[Finding, ...], setup: Setup, positions: Positions) -> list[Finding]:
    """The findings that are shown about where the controls stand; those which no position shows are left out."""
    standing = {**rest_positions(setup), **positions}
    return [one for one in found if one.at and all(_is_near(setup, standing, key, at) for key, at in one.at.items())]


def _is_near(setup: Setup, standing: Positions, key: str, at: float) -> bool:
    away = abs(standing[key] - at)
    return away == 0 if setup.control(key).positions else away <= NEAR_PCT


def where_words(setup: Setup, control: Control, position: float) -> str:
    """Where a control stands: "half back", "up: Cruise", and that it is at rest where it is."""
    words = position_words(control, position)
    phase = next((p.label for p in setup.phases if p.control == control.key and p.position == position), "")
    # A switch that is named after its phase says nothing more than the phase does.
    says_more = opposites.opposite(control.plus) is not None and words.lower() != phase.lower()
    told = (f"{words}: {phase}" if says_more else phase) if phase else words
    return _("{where} (rest)").format(where=told) if position == control.rest else told


def end_words(control: Control) -> tuple[str, str]:
    """What the two ends of a control are called, the minus end first: ("forward", "back")."""
    return opposite(control.plus), control.plus
