"""The widest difference between two values that follow the same controls: before and after, right and left.

Both values are functions of a channel's travel, and the travels are sums (`mixing.sums`). What both sums share and what
meets nothing else shifts both travels alike: it is one number, between two ends, however many controls make it. Only
the controls that make the travels differ, and those that meet them, are laid out as a grid of their stations.

On these the answer is exact where the values are straight between their bends (limits, readings of a ruler): from the
best point of the grid it is followed to where a limit or a reading lies on the way of one control. Where a linkage
bends the values, the grid is filled up so that what is missed between its points is far below a tenth of a mm.

Of too many controls for a whole grid some combinations are looked at, and the best that is found uphill from the rim of
what both travels can reach (`mixing.climbing`): exact for straight values of one slope, near it for others.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import islice, pairwise, product
from math import prod
from typing import NamedTuple

import numpy as np

from .climbing import DIRECTIONS, Rim, Rows, climbed, rim
from .envelope import Positions, point_between, tidied
from .extremes import Peak
from .sums import Product, TravelSum
from .throws import Array
from .travels import Travels

_MOST_POINTS = 10_000
_FEW_POINTS = 200
"""Combinations of a grid, and what is left of them once the budget of the setup is spent."""
_SHARE = 16
"""No comparison takes more than this part of what is left of the budget."""

_SURE = 0.1
"""By so much a difference may be short and still count as the greatest: what no finding tells."""

_MOST_ROUNDS = 4
_GAINED = 1e-6
_MOST_SWITCHINGS = 64
_BLOCK = 200_000
_SHIFTS = 17
_FINEST_SHIFTS = 129
_SHIFTED = 2_000
"""So many places of what shifts both travels alike are looked at: at least, at most, and of few rows together."""
_GAPS_PCT = (5.0, 10.0, 25.0, 50.0)


class Value(NamedTuple):
    """A function of a travel [%], the sum that the travel is, and the travels at which the function bends."""

    total: TravelSum
    of: Callable[[Array], Array]
    bends: Array

    def at(self, positions: Positions) -> Array:
        """The value at positions."""
        return self.of(np.asarray(self.total.value(positions)))


class Difference(NamedTuple):
    """How far one value is above another, and the positions that give it, worked out when asked for."""

    value: float
    at: Callable[[], Positions]
    sure: bool = True
    """Whether it is certain, but for a tenth of its unit, that nothing lies further apart."""


class _Shift(NamedTuple):
    """What moves both travels alike, within one combination of its switches: from low to high."""

    low: Peak
    high: Peak
    held: Positions


_Best = tuple[float, int, float, _Shift]


def differences(travels: Travels, first: Value, second: Value, *, both: bool) -> list[Difference]:
    """The most that the first value is above the second, both at the same positions; and the other way round.

    Parameters
    ----------
    both : whether the second above the first is wanted, too

    Returns
    -------
    list of one or two Difference
        Their positions are said briefly: what may as well be at rest is left out.
    """
    shared, own, other = first.total.compared_with(second.total)
    laid_out, free = _meeting(shared, own + other)
    a, b = first.total, second.total
    sliding = TravelSum(0.0, tuple(free), a.rests, a.switches)
    shifts = list(_shifts(travels, sliding))
    a_row = len(shifts) * (_SHIFTS + 2 * (len(first.bends) + len(second.bends)))
    most = int(np.clip(travels.budget.points / (_SHARE * a_row), _FEW_POINTS, _MOST_POINTS))
    pair = (
        Value(TravelSum(a.base, (*own, *laid_out), a.rests, a.switches), first.of, first.bends),
        Value(TravelSum(b.base, (*other, *laid_out), b.rests, b.switches), second.of, second.bends),
    )
    grid = _grid(a, [*laid_out, *own, *other], most)
    reached = None
    if not grid.whole and travels.budget.points > 0:
        reached = rim(travels, pair[0].total, pair[1].total)
        grid = _with_the_best(travels, pair, grid, reached, shifts, (1.0, -1.0)[: 1 + both])
    moved, also = (np.atleast_1d(one.total.at(grid.columns)) for one in pair)
    moved, also = np.broadcast_arrays(moved, also)
    travels.budget.points -= len(moved) * a_row
    found = [_best(first, second, moved, also, shift, (1.0, -1.0)[: 1 + both]) for shift in shifts]
    told = []
    for sign, best in zip((1.0, -1.0), zip(*found, strict=True), strict=False):
        top = max(best, key=lambda one: one[0])
        row = {control: float(column[top[1]]) for control, column in grid.columns.items()}
        if _bent(pair, (moved, also), shifts):
            top, row = _refined(pair, grid.lines, shifts, sign, (top, row))
        told.append(_difference((first, second), sliding, row, sign, top))
    if grid.whole:
        return told
    return [
        one._replace(sure=reached is not None and _is_sure(pair, reached, shifts, sign * one.value, sign))
        for one, sign in zip(told, (1.0, -1.0), strict=False)
    ]


def _is_sure(pair: tuple[Value, Value], reached: Rim, shifts: list[_Shift], value: float, sign: float) -> bool:
    """Whether nothing in or about all that both travels can reach is further apart than what was found."""
    one, two = reached.points(min(shift.low.value for shift in shifts), max(shift.high.value for shift in shifts))
    most = float(np.max(sign * (pair[0].of(one) - pair[1].of(two))))
    return reached.sure and most <= sign * value + _SURE


def _bent(pair: tuple[Value, Value], travels: tuple[Array, Array], shifts: list[_Shift]) -> bool:
    """Whether one of the values bends between what its travel comes to."""
    low, high = min(shift.low.value for shift in shifts), max(shift.high.value for shift in shifts)
    return any(
        bool(np.any((one.bends > np.min(travel) + low) & (one.bends < np.max(travel) + high)))
        for one, travel in zip(pair, travels, strict=True)
    )


def _refined(
    pair: tuple[Value, Value], lines: Rows, shifts: list[_Shift], sign: float, start: tuple[_Best, Positions]
) -> tuple[_Best, Positions]:
    """The best of a grid, moved along one control after the other to where a value bends, as long as that gains.

    Along one control the travels are straight between stations, so the places of the bends are exact.
    """
    best, row = start
    for _ in range(_MOST_ROUNDS):
        before = best[0]
        for control in lines:
            if control in pair[0].total.switches:
                continue
            column = {control: _with_bends(pair, lines[control], row, control, shifts)}
            moved, also = (np.atleast_1d(one.total.at({**row, **column})) for one in pair)
            moved, also = np.broadcast_arrays(moved, also)
            along = max((_best(*pair, moved, also, shift, (sign,))[0] for shift in shifts), key=lambda one: one[0])
            if along[0] > best[0]:
                best, row = along, {**row, control: float(column[control][along[1]])}
        if best[0] <= before + _GAINED:
            break
    return best, row


def _with_bends(pair: tuple[Value, Value], line: Array, row: Positions, control: str, shifts: list[_Shift]) -> Array:
    """A control's positions and those between at which one of the values bends, the other controls where they are."""
    found = [line]
    slid = np.unique([end.value for shift in shifts for end in (shift.low, shift.high)])
    for one in pair:
        travel = np.broadcast_to(one.total.at({**row, control: line}), line.shape)
        above = travel[:, None] - (one.bends[:, None] - slid).ravel()
        step, bend = np.nonzero(above[:-1] * above[1:] < 0.0)
        share = above[step, bend] / (above[step, bend] - above[step + 1, bend])
        found.append(line[step] + share * (line[step + 1] - line[step]))
    return np.unique(np.concatenate(found))


def _difference(
    values: tuple[Value, Value], sliding: TravelSum, on_grid: Positions, sign: float, best: _Best
) -> Difference:
    value, _, by, shift = best

    def at() -> Positions:
        start, end = {**shift.low.at, **shift.held}, {**shift.high.at, **shift.held}
        whole = {**on_grid, **point_between(sliding, start, end, travel_pct=by)}
        first, second = values if sign > 0.0 else values[::-1]
        return tidied(first.total, whole, lambda positions: float(first.at(positions) - second.at(positions)))

    return Difference(value, at)


def _meeting(shared: list[Product], different: list[Product]) -> tuple[list[Product], list[Product]]:
    """Of the shared products those that meet the different ones by a control, also by way of others; and the rest."""
    controls = {control for product in different for control in product.controls}
    meeting: list[Product] = []
    left = list(shared)
    while True:
        joining = [product for product in left if product.controls & controls]
        if not joining:
            return meeting, left
        meeting += joining
        left = [product for product in left if not product.controls & controls]
        controls |= {control for product in joining for control in product.controls}


class _Grid(NamedTuple):
    """Positions of every control, as columns of equal length; the line of each; whether every combination is there."""

    columns: Rows
    lines: Rows
    whole: bool


def _grid(total: TravelSum, products: list[Product], most: int) -> _Grid:
    """Positions of every control of the products, each combination once.

    Where even so few of so many controls make too many combinations, some of them drawn at random, always the same.
    """
    stations = TravelSum(0.0, tuple(products), total.rests, total.switches).stations
    controls = sorted(stations)
    moving = sum(control not in total.switches for control in controls)
    gap = _GAPS_PCT[min(moving, len(_GAPS_PCT)) - 1] if moving else 0.0
    lines = {}
    for control in controls:
        x = stations[control]
        lines[control] = x if control in total.switches else _filled(np.union1d(x, total.rests[control]), gap)
    thinned = dict(lines)
    _thin(thinned, most)
    stations_kept = all(np.isin(stations[control], thinned[control]).all() for control in controls)
    if prod(len(x) for x in thinned.values()) > most:
        random = np.random.default_rng(0)
        return _Grid({control: random.choice(x, most) for control, x in lines.items()}, lines, whole=False)
    columns = np.meshgrid(*thinned.values(), indexing="ij")
    rows = {control: column.ravel() for control, column in zip(controls, columns, strict=True)}
    return _Grid(rows, lines, stations_kept)


def _with_the_best(
    travels: Travels,
    pair: tuple[Value, Value],
    grid: _Grid,
    reached: Rim,
    shifts: list[_Shift],
    signs: tuple[float, ...],
) -> _Grid:
    """The grid and, as further rows, the best that are found from the rim of what both travels can reach."""
    count = 2 * DIRECTIONS
    start = {control: reached.rows.get(control, np.full(count, line[0])) for control, line in grid.lines.items()}
    found = [grid.columns]
    for sign in signs:

        def value(rows: Rows, sign: float = sign) -> Array:
            # A travel that no control of these moves is a single number.
            one, two = (
                column[:, None] for column in np.broadcast_arrays(*(np.atleast_1d(v.total.at(rows)) for v in pair))
            )
            over = [np.max(sign * _over_shift(*pair, one, two, shift)[0], axis=1) for shift in shifts]
            travels.budget.points -= len(one) * len(shifts)
            return np.asarray(np.max(over, axis=0))

        found.append(climbed(start, grid.lines, value))
    columns = {control: np.concatenate([rows[control] for rows in found]) for control in grid.lines}
    return grid._replace(columns=columns)


def _filled(x: Array, gap: float) -> Array:
    """The same positions with others between them, so that none is further than `gap` from the next."""
    counts = np.ceil(np.diff(x) / gap).astype(int)
    pieces = [
        np.linspace(start, end, count, endpoint=False) for (start, end), count in zip(pairwise(x), counts, strict=True)
    ]
    return np.concatenate([*pieces, x[-1:]])


def _thin(lines: dict[str, Array], most: int) -> None:
    """Leave out every other position of the longest line until the combinations can be counted."""
    while prod(len(x) for x in lines.values()) > most:
        control = max(lines, key=lambda key: len(lines[key]))
        x = lines[control]
        if len(x) <= 3:
            return
        lines[control] = np.unique(np.concatenate([x[::2], x[-1:]]))


def _shifts(travels: Travels, sliding: TravelSum) -> Iterator[_Shift]:
    switches = [control for control in sliding.controls if control in sliding.switches]
    combinations = product(*(sliding.stations[control].tolist() for control in switches))
    for combination in islice(combinations, _MOST_SWITCHINGS):
        held = dict(zip(switches, combination, strict=True))
        low, high = travels.peaks(sliding.with_fixed(held))
        yield _Shift(low, high, held)


def _best(
    first: Value, second: Value, moved: Array, also: Array, shift: _Shift, signs: tuple[float, ...]
) -> list[_Best]:
    """The highest difference times each sign over grid and shift: its value, the row of the grid, and the shift."""
    best: list[_Best] = [(-np.inf, 0, shift.low.value, shift) for _ in signs]
    rows = max(1, _BLOCK // (_SHIFTS + 2 * (len(first.bends) + len(second.bends))))
    for start in range(0, len(moved), rows):
        one, two = moved[start : start + rows, None], also[start : start + rows, None]
        difference, by = _over_shift(first, second, one, two, shift)
        for index, sign in enumerate(signs):
            row, column = np.unravel_index(np.argmax(sign * difference), difference.shape)
            value = sign * float(difference[row, column])
            if value > best[index][0]:
                best[index] = (value, start + int(row), float(by[row, column]), shift)
    return best


def _over_shift(first: Value, second: Value, one: Array, two: Array, shift: _Shift) -> tuple[Array, Array]:
    """The difference where two travels (N, 1) are shifted alike, and by how much, both (N, shifts)."""
    low, high = shift.low.value, shift.high.value
    count = int(np.clip(_SHIFTED // len(one), _SHIFTS, _FINEST_SHIFTS))
    even = np.linspace(low, high, count if high > low else 1)
    bends = np.concatenate([first.bends, second.bends]) if high > low else np.empty(0)
    by = np.concatenate(
        [np.broadcast_to(even, (len(one), len(even))), *(np.clip(bends - x, low, high) for x in (one, two))], axis=1
    )
    return first.of(one + by) - second.of(two + by), by
