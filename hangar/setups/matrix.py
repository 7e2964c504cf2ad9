"""The throw matrix: what every surface and device does at the ends of every control. Each number is from `mixing`."""

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from django.utils.translation import gettext as _

from hangar.pictures.estimates import is_estimated
from hangar.pictures.words import ARROWS, is_nothing, length, position_words, short, stands
from mixing import Response, wording
from mixing.document import Control, Coupling, Device, Setup, Surface
from mixing.rig import Frame, Rig


@dataclass(frozen=True)
class Cell:
    """One figure to show: "↓ 12.3 mm down", or "40 %"; `still` where nothing moves."""

    figure: str
    arrow: str = ""
    word: str = ""
    still: bool = False
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Column:
    """A surface or device at the head of a column."""

    key: str
    label: str
    estimated: bool = False


@dataclass(frozen=True)
class Row:
    """One end of a control, and what everything does there. `first` where a control's rows begin."""

    control: Control
    position: float
    words: str
    cells: tuple[tuple[Column, Cell], ...]
    first: bool = False

    @property
    def moves(self) -> bool:
        """Whether anything moves at this end, or would."""
        return any(not cell.still or cell.notes for _, cell in self.cells)


@dataclass(frozen=True)
class Matrix:
    """Rows for the ends of the controls, columns for surfaces and devices."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]


def throw_cell(surface: Surface, frame: Frame, index: int = 0) -> Cell:
    """What a surface does at one position of a frame."""
    throw = float(np.atleast_1d(frame.throw_mm[surface.key])[index])
    cut = []
    if bool(np.atleast_1d(frame.held[surface.channel])[index]):
        cut.append(_("cut by the channel's limit"))
    if bool(np.atleast_1d(frame.blocked[surface.key])[index]):
        cut.append(_("linkage cannot follow"))
    return throw_told(surface, throw, estimated=is_estimated(surface), cut=tuple(cut))


def throw_told(surface: Surface, throw_mm: float, *, estimated: bool = False, cut: tuple[str, ...] = ()) -> Cell:
    """A throw of a surface, from a frame or not; `cut` says what keeps it from going further."""
    if is_nothing(throw_mm):
        return Cell(length(0), still=not cut, notes=cut)
    notes = (_("estimated"), *cut) if estimated else cut
    way = wording.direction_words(throw_mm, surface.role)
    return Cell(length(abs(throw_mm)), ARROWS[way], wording.way_words(throw_mm, surface.role), notes=notes)


def level_cell(device: Device, frame: Frame, index: int = 0) -> Cell:
    """How far a device has come from off to full."""
    return level_told(float(np.atleast_1d(frame.level_pct[device.key])[index]))


def level_told(level: float) -> Cell:
    """A level of a device [%], from a frame or not."""
    text = short(level, 0)
    return Cell(_("off"), still=True) if text == "0" else Cell(f"{text} %", word=_("on"))


def throw_matrix(setup: Setup, phase: str | None = None) -> Matrix:
    """The matrix with all other controls at rest, in a phase (that of the controls at rest where none is named)."""
    columns, rig = _columns(setup), Rig(setup)
    coupled = {coupling.control for coupling in setup.couplings}
    rows: list[Row] = []
    for control in setup.controls:
        shown = [row for row in _rows(rig, control, columns, phase) if control.key in coupled or row.moves]
        rows.extend(replace(row, first=row is shown[0]) for row in shown)
    return Matrix(columns, tuple(rows))


def with_reasons(matrix: Matrix, setup: Setup, phase: str | None = None) -> Matrix:
    """The matrix with a word at each device that is off only because another control, where it rests, holds it off."""
    at_work = {(one.control, one.channel): one for one in Rig(setup).couplings(phase or rest_phase(setup))}
    devices = {device.key: device for device in setup.devices}

    def told(row: Row, column: Column, cell: Cell) -> Cell:
        device = devices.get(column.key)
        coupling = at_work.get((row.control.key, device.channel)) if device is not None else None
        why = held_off(setup, device, coupling, row.position) if device is not None and cell.still else ""
        return replace(cell, notes=(why,)) if why else cell

    rows = (
        replace(row, cells=tuple((column, told(row, column, cell)) for column, cell in row.cells))
        for row in matrix.rows
    )
    return Matrix(matrix.columns, tuple(rows))


def held_off(setup: Setup, device: Device, coupling: Coupling | None, position: float) -> str:
    """Which control, where it rests, lets nothing through of what would run the device; "" where none does."""
    if coupling is None or Response(coupling.stations)(position) == device.off_pct:
        return ""
    for fade in coupling.fades:
        control = setup.control(fade.control)
        if float(fade.factor(control.rest)) == 0:
            told = _("held off: {control} {position}")
            return told.format(control=control.label, position=position_words(control, control.rest))
    return ""


def _columns(setup: Setup) -> tuple[Column, ...]:
    return (
        *(Column(surface.key, surface.label, is_estimated(surface)) for surface in setup.surfaces),
        *(Column(device.key, device.label) for device in setup.devices),
    )


def cells_at(setup: Setup, frame: Frame, index: int = 0) -> tuple[Cell, ...]:
    """Every surface, then every device, at one position of a frame, in the order of `Matrix.columns`."""
    surfaces = (throw_cell(surface, frame, index) for surface in setup.surfaces)
    devices = (level_cell(device, frame, index) for device in setup.devices)
    return (*surfaces, *devices)


def _rows(rig: Rig, control: Control, columns: Sequence[Column], phase: str | None) -> Iterator[Row]:
    """A row for each end or position of a control that does something, also where nothing moves."""
    chooses_phase = control.key == rig.phase_control
    used = any(coupling.control == control.key for coupling in rig.setup.couplings)
    fades = any(fade.control == control.key for coupling in rig.setup.couplings for fade in coupling.fades)
    if not (used or chooses_phase or fades):
        return
    positions = control.positions or control.ends
    frame = rig.at({control.key: np.array(positions)}, phase=None if chooses_phase else phase)
    for index, position in enumerate(positions):
        cells = cells_at(rig.setup, frame, index)
        words = _phase_words(rig, position) if chooses_phase else position_words(control, position)
        yield Row(control, position, words, tuple(zip(columns, cells, strict=True)), first=False)


def _phase_words(rig: Rig, position: float) -> str:
    key = rig.phase_at(position)
    return next((phase.label for phase in rig.setup.phases if phase.key == key), "")


def rest_phase(setup: Setup) -> str | None:
    """The phase in which the model stands with every control at rest; None where there are no phases."""
    return Rig(setup).phase_at(setup.control(setup.phases[0].control).rest) if setup.phases else None


@dataclass(frozen=True)
class Difference:
    """A throw that two setups do not share: where the controls stand, what moves, and both figures; in which phase."""

    place: str
    label: str
    before: Cell | None
    after: Cell | None
    phase: str | None = None


def at_rest() -> str:
    """Where the controls stand when all have been let go."""
    return _("All controls at rest")


def stood(setup: Setup, positions: Mapping[str, float], phase: str) -> str:
    """Where the controls of a model stood and, if one was named, in which phase: "Elevator stick back, Cruise".

    >>> stood(setup, {"pitch": 100}, "cruise"), stood(setup, {}, "")
    ('Elevator stick back, Cruise', 'All controls at rest')
    """
    controls = [stands(setup.control(key), at) for key, at in positions.items()] or [at_rest()]
    return ", ".join(controls + [one.label for one in setup.phases if one.key == phase])


def differences(before: Setup, after: Setup, *, first: str | None = None) -> list[Difference]:
    """Every throw and level that differs with the controls at rest and at their ends, in each phase that both have.

    What is the same in another phase is told once; so is what a control does not move, as it stands at rest. The phase
    of the controls at rest comes first, or `first`.
    """
    rest = rest_phase(after)
    shared = {one.key for one in before.phases} & {one.key for one in after.phases}
    labels: dict[str | None, str] = {phase.key: phase.label for phase in after.phases if phase.key in shared}
    phases = sorted(
        {*labels, rest if rest in shared else None}, key=lambda key: (key != first, key not in (rest, None))
    )
    switched = {*_switched(before), *_switched(after)}
    found: dict[tuple[str, str, Cell | None, Cell | None], Difference] = {}
    for key in phases:
        was, now = (_by_place(setup, key, shared) for setup in (before, after))
        suffix = "" if key == rest or key is None else f", {labels[key]}"
        for place in {**was, **now}:
            resting = was.get((at_rest(), place[1])), now.get((at_rest(), place[1]))
            old, new = was.get(place), now.get(place)
            if place[0] not in switched:
                # A control that moves nothing, or is not there, leaves everything as it stands at rest.
                old, new = old or resting[0], new or resting[1]
            as_at_rest = place[0] != at_rest() and (old, new) == resting
            if old != new and not as_at_rest and not (old is None and new is not None and new.still):
                found.setdefault((*place, old, new), Difference(place[0] + suffix, place[1], old, new, key))
    return list(found.values())


def _switched(setup: Setup) -> list[str]:
    """Where the phase switch can stand, in words."""
    rig = Rig(setup)
    switch = setup.control(setup.phases[0].control) if setup.phases else None
    positions = (switch.positions or switch.ends) if switch is not None else ()
    return [f"{switch.label} {_phase_words(rig, position)}" for position in positions if switch is not None]


def alike(found: Iterable[Difference]) -> list[tuple[tuple[str, ...], list[Difference]]]:
    """The places where the same surfaces go from and to the same figures, and those figures once for all of them."""
    by_place: dict[str, list[Difference]] = {}
    for one in found:
        by_place.setdefault(one.place, []).append(one)
    told: dict[tuple[Any, ...], list[str]] = {}
    for place, there in by_place.items():
        told.setdefault(tuple((one.label, one.before, one.after) for one in there), []).append(place)
    return [(tuple(places), by_place[places[0]]) for places in told.values()]


def _by_place(setup: Setup, phase: str | None, told: Container[str]) -> dict[tuple[str, str], Cell]:
    """Every cell, also of rows that the matrix does not show because nothing moves there, and of the controls at rest.

    Left out is where the phase switch chooses one of the phases `told`: they are asked for one by one.
    """
    columns, rig = _columns(setup), Rig(setup)
    rest = zip(columns, cells_at(setup, rig.at({}, phase=phase)), strict=True)
    found = {(at_rest(), column.label): cell for column, cell in rest}
    for row in (row for control in setup.controls for row in _rows(rig, control, columns, phase)):
        if not (row.control.key == rig.phase_control and rig.phase_at(row.position) in told):
            found |= {(f"{row.control.label} {row.words}", column.label): cell for column, cell in row.cells}
    return found
