"""The bench: controls are moved on the screen, and everything answers. Each number is from `mixing`."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import mixing
from hangar.pictures.behind import from_behind
from hangar.pictures.estimates import is_estimated
from hangar.pictures.words import opposite, plain, position_words, short, signed
from mixing import Finding
from mixing.document import Control, Device, Setup, Surface
from mixing.rig import Frame, Rig

from .matrix import Cell, level_cell, throw_cell
from .remembered import Remembered

Positions = Mapping[str, float]

NEAR_PCT = 15.0
"""A finding is told where each control that shows it stands within this of where it is shown [%]."""

_BEYOND_DEG = 0.05
_full: Remembered[str, float] = Remembered(500)


@dataclass(frozen=True)
class Answer:
    """What one surface or device does where the controls stand."""

    label: str
    cell: Cell
    degrees: str
    channel: int
    travel: str
    pulse: str


@dataclass(frozen=True)
class Bench:
    """Everything that answers to the controls."""

    phase: str
    surfaces: tuple[Answer, ...]
    devices: tuple[Answer, ...]
    wide: str
    narrow: str


def rest_positions(setup: Setup) -> dict[str, float]:
    """Every control at rest."""
    return {control.key: control.rest for control in setup.controls}


def bench_at(setup: Setup, positions: Positions) -> Bench:
    """What the model does with the controls at `positions` [%]; those left out are at rest.

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
    return Bench(
        label,
        tuple(_surface_answer(surface, frame) for surface in setup.surfaces),
        tuple(_device_answer(device, frame) for device in setup.devices),
        _picture(setup, frame, label, width=640, height=250, type_px=15),
        _picture(setup, frame, label, width=340, height=165, type_px=13),
    )


def _surface_answer(surface: Surface, frame: Frame) -> Answer:
    cell = throw_cell(surface, frame)
    degrees = float(frame.deflection_deg[surface.key])
    if degrees > surface.stop_down_deg + _BEYOND_DEG or degrees < -surface.stop_up_deg - _BEYOND_DEG:
        cell = replace(cell, still=False, notes=(*cell.notes, "beyond its stop"))
    return _answer(surface, frame, cell, f"{plain(abs(degrees))}°")


def _device_answer(device: Device, frame: Frame) -> Answer:
    cell = level_cell(device, frame)
    if bool(frame.held[device.channel]):
        cell = replace(cell, still=False, notes=(*cell.notes, "cut by the channel's limit"))
    return _answer(device, frame, cell, "")


def _answer(part: Surface | Device, frame: Frame, cell: Cell, degrees: str) -> Answer:
    travel, pulse = float(frame.travel_pct[part.channel]), float(frame.pulse_us[part.channel])
    return Answer(part.label, cell, degrees, part.channel, f"{signed(travel, 1)} %", f"{short(pulse, 0)} µs")


def _picture(setup: Setup, frame: Frame, phase: str, *, width: float, height: float, type_px: float) -> str:
    throws = {surface.key: (float(frame.throw_mm[surface.key]),) for surface in setup.surfaces}
    estimated = [surface.key for surface in setup.surfaces if is_estimated(surface)]
    title = f"The bench, {phase}" if phase else "The bench"
    return from_behind(
        setup, throws, title=title, estimated=estimated, full_mm=full_throw_mm(setup), width=width, height=height,
        type_px=type_px,
    )  # fmt: skip


def full_throw_mm(setup: Setup) -> float:
    """The largest throw that any surface of the setup ever makes [mm]: the scale of every picture of its bench."""
    digest = setup.digest()
    known = _full.get([digest])
    if digest not in known:
        extents = mixing.envelope(setup).surfaces
        throws = (
            abs(float(mixing.throw_mm(deflection_deg=end, chord_mm=surface.chord_mm)))
            for surface in setup.surfaces
            for end in (extents[surface.key].low, extents[surface.key].high)
        )
        known[digest] = max(throws, default=0.0)
        _full.put(digest, known[digest])
    return known[digest]


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
    says_more = opposite(control.plus) != opposite("") and words.lower() != phase.lower()
    told = (f"{words}: {phase}" if says_more else phase) if phase else words
    return f"{told} (rest)" if position == control.rest else told


def end_words(control: Control) -> tuple[str, str]:
    """What the two ends of a control are called, the minus end first: ("forward", "back")."""
    return opposite(control.plus), control.plus
