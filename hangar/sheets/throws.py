"""The throw table of a sheet: what each control does at five positions, in millimetres and degrees."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from django.utils.translation import gettext as _

from hangar.pictures.estimates import beyond_measured, is_estimated
from hangar.pictures.words import arrow, plain, position_words, short, signed, together
from hangar.sheets.angles import in_columns
from hangar.sheets.conditions import Condition, conditions, fade_notes, frame_at
from hangar.sheets.labels import short_label
from mixing.document import Control, Setup, Surface
from mixing.rig import Frame
from mixing.wording import length_fixed

FIVE = (-100.0, -50.0, 0.0, 50.0, 100.0)
MOVES_MM = 0.05
_MOVES_LEVEL = 0.5
# A name that stands with ", left mirrored" on one line.
_MIRRORED = 15


@dataclass(frozen=True)
class Cell:
    """One figure: the throw, where it points, the angle (none at neutral), and marks that the legend explains."""

    figure: str
    arrow: str = ""
    degrees: str = ""
    marks: str = ""


@dataclass(frozen=True)
class Row:
    """One surface, or a pair that does the same.

    `measured` names the boxes for what the ruler says: one without a name, or one a side. `pair` and `side` are those
    of a single surface.
    """

    label: str
    cells: tuple[Cell | None, ...]
    measured: tuple[str, ...] = ()
    estimated: bool = False
    pair: str | None = None
    side: str = ""

    @cached_property
    def angles(self) -> str:
        """The angles of all positions; "" where nothing turns."""
        if not any(cell.degrees for cell in self.cells if cell):
            return ""
        return in_columns("" if cell is None else cell.degrees or "0°" for cell in self.cells)


@dataclass(frozen=True)
class Head:
    """The head of one column of figures: the position, and its name at an end."""

    figure: str
    words: str = ""


@dataclass(frozen=True)
class Group:
    """The rows of one control in one case."""

    label: str
    condition: str
    heads: tuple[Head | None, ...]
    rows: tuple[Row, ...]
    notes: tuple[str, ...] = ()

    @property
    def measured(self) -> bool:
        """Whether there is something for a ruler in it; a motor has none."""
        return any(row.measured for row in self.rows)

    @cached_property
    def angles(self) -> str:
        """The head of the angles: the positions once more, each above its own."""
        if not self.measured:
            return ""
        return f"° {in_columns('' if head is None else head.figure for head in self.heads)}"


def throw_groups(setup: Setup) -> list[Group]:
    """Every control that moves a surface or a device, in each case that differs."""
    phase_control = setup.phases[0].control if setup.phases else None
    groups: list[Group] = []
    for control in setup.controls:
        if control.key == phase_control and not any(c.control == control.key for c in setup.couplings):
            continue
        groups.extend(_groups_of(setup, control, is_phase_control=control.key == phase_control))
    return groups


def _groups_of(setup: Setup, control: Control, *, is_phase_control: bool) -> Iterator[Group]:
    seen: set[Row] = set()
    for condition in conditions(setup, control):
        for positions in _columns(control):
            x = np.array([p for p in positions if p is not None])
            frame = frame_at(setup, condition, {control.key: x})
            rows = [row for row in _rows(setup, frame, positions, condition) if row not in seen]
            seen.update(rows)
            if rows:
                heads = tuple(_head(control, position) for position in positions)
                notes = () if condition.others else tuple(fade_notes(setup, control, condition))
                yield Group(control.label, "" if is_phase_control else condition.words, heads, tuple(rows), notes)


def _columns(control: Control) -> list[tuple[float | None, ...]]:
    """The positions in five columns: a switch's ends stand in the first and the last one."""
    if control.positions is None:
        return [FIVE]
    chunks = [sorted(control.positions)[i : i + 5] for i in range(0, len(control.positions), 5)]
    return [_spread(chunk) for chunk in chunks]


def _spread(positions: Sequence[float]) -> tuple[float | None, ...]:
    slots = {1: (0,), 2: (0, 4), 3: (0, 2, 4), 4: (0, 1, 3, 4), 5: (0, 1, 2, 3, 4)}[len(positions)]
    row: list[float | None] = [None] * 5
    for slot, position in zip(slots, positions, strict=True):
        row[slot] = position
    return tuple(row)


def _head(control: Control, position: float | None) -> Head | None:
    if position is None:
        return None
    named = abs(position) == 100 or control.positions is not None
    return Head(signed(position), position_words(control, position) if named else "")


def _rows(setup: Setup, frame: Frame, positions: Sequence[float | None], condition: Condition) -> Iterator[Row]:
    rows: list[Row] = []
    for surface in setup.surfaces:
        if condition.channels is not None and surface.channel not in condition.channels:
            continue
        if np.ptp(frame.throw_mm[surface.key]) <= MOVES_MM:
            continue
        cells = _cells(surface, frame, positions)
        row = Row(surface.label, cells, ("",), is_estimated(surface), surface.pair, surface.side)
        partner = _partner(rows, row, cells)
        if partner is None:
            rows.append(row)
        else:
            label = together((rows[partner].label, row.label))
            rows[partner] = replace(row, label=label, measured=("L", "R"), pair=None, side="")
    yield from rows
    yield from _device_rows(setup, frame, positions, condition)


def _partner(rows: Sequence[Row], row: Row, cells: tuple[Cell | None, ...]) -> int | None:
    """The place of the row of the other side of a pair, where its cells are these; None where there is none."""
    for i, other in enumerate(rows):
        if row.pair and other.pair == row.pair and other.cells == cells and other.estimated == row.estimated:
            return i
    return None


def mirrored(group: Group) -> Group:
    """The same rows, closer: a pair that moves as in a mirror is one row, the right one, which says so.

    Its left surface does at every position what the right one does at the opposite position.
    """
    opposite = all(
        (a is None) == (b is None) and (a is None or b is None or a.figure.strip("+−") == b.figure.strip("+−"))
        for a, b in zip(group.heads, reversed(group.heads), strict=True)
    )
    rows: list[Row] = []
    for row in group.rows:
        partner = _partner(rows, row, row.cells[::-1]) if opposite else None
        if partner is None:
            rows.append(row)
        else:
            right = row if row.side == "right" else rows[partner]
            label = _("{surface}, left mirrored").format(surface=short_label(right.label, _MIRRORED))
            rows[partner] = replace(right, label=label, measured=("L", "R"), pair=None, side="")
    return replace(group, rows=tuple(rows))


def _cells(surface: Surface, frame: Frame, positions: Sequence[float | None]) -> tuple[Cell | None, ...]:
    cells: list[Cell | None] = []
    i = 0
    for position in positions:
        if position is None:
            cells.append(None)
            continue
        throw, degrees = float(frame.throw_mm[surface.key][i]), float(frame.deflection_deg[surface.key][i])
        approx = is_estimated(surface) or beyond_measured(surface, float(frame.pulse_us[surface.channel][i]))
        marks = ("†" if frame.held[surface.channel][i] else "") + ("‡" if frame.blocked[surface.key][i] else "")
        figure = length_fixed(abs(throw))
        still = figure == "0"
        figure = "≈" + figure if approx and not still else figure
        cells.append(Cell(figure, arrow(throw, surface.role), "" if still else f"{plain(abs(degrees))}°", marks))
        i += 1
    return tuple(cells)


def _device_rows(setup: Setup, frame: Frame, positions: Sequence[float | None], condition: Condition) -> Iterator[Row]:
    for device in setup.devices:
        level = frame.level_pct[device.key]
        if condition.channels is not None and device.channel not in condition.channels:
            continue
        if np.ptp(level) <= _MOVES_LEVEL:
            continue
        values = iter(level.tolist())
        yield Row(device.label, tuple(None if p is None else Cell(f"{short(next(values))} %") for p in positions))
