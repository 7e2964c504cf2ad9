"""The widest difference between two values that follow the same controls: before and after, right and left.

Both values are functions of a channel's travel, and the travels are sums (`mixing.sums`). What both sums share and what
meets nothing else shifts both travels alike: it is one number, between two ends, however many controls make it. Only
the controls that make the travels differ, and those that meet them, are laid out as a grid of their stations.

On these the answer is exact where the values are straight between their bends (limits, readings of a ruler); where a
linkage bends them, the grid is filled up so that what is missed between its points is far below a tenth of a mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import islice, pairwise, product
from math import prod
from typing import NamedTuple

import numpy as np

from .envelope import Positions, point_between, tidied
from .extremes import Peak
from .sums import Product, TravelSum
from .throws import Array
from .travels import Travels

_MOST_POINTS = 10_000
_FEW_POINTS = 200
"""Combinations of a grid, and what is left of them once the budget of the setup is spent."""

_MOST_SWITCHINGS = 64
_BLOCK = 200_000
_SHIFTS = 17
_GAPS_PCT = (5.0, 10.0, 25.0, 50.0)


class Value(NamedTuple):
    """A function of a travel [%], the sum that the travel is, and the travels at which the function bends."""

    total: TravelSum
    of: Callable[[Array], Array]
    bends: Array

    def at(self, positions: Positions) -> Array:
        """The value at positions."""
        return self.of(self.total.at(positions))


class Difference(NamedTuple):
    """How far one value is above another, and the positions that give it, worked out when asked for."""

    value: float
    at: Callable[[], Positions]


class _Shift(NamedTuple):
    """What moves both travels alike, within one combination of its switches: from low to high."""

    low: Peak
    high: Peak
    held: Positions


def highest_difference(travels: Travels, first: Value, second: Value) -> Difference:
    """The most that the first value is above the second, both at the same positions.

    Returns
    -------
    Difference
        Its positions are said briefly: what may as well be at rest is left out.
    """
    shared, own, other = _apart(first.total, second.total)
    laid_out, free = _meeting(shared, own + other)
    most = _MOST_POINTS if travels.budget.points > 0 else _FEW_POINTS
    grid = _grid(first.total, [*laid_out, *own, *other], most)
    a, b = first.total, second.total
    moved = TravelSum(a.base, (*own, *laid_out), a.rests, a.switches).at(grid)
    also = TravelSum(b.base, (*other, *laid_out), b.rests, b.switches).at(grid)
    moved, also = np.broadcast_arrays(np.atleast_1d(moved), np.atleast_1d(also))
    sliding = TravelSum(0.0, tuple(free), a.rests, a.switches)
    shifts = list(_shifts(travels, sliding))
    travels.budget.points -= len(moved) * len(shifts) * (_SHIFTS + 2 * (len(first.bends) + len(second.bends)))
    found = [_best(first, second, moved, also, shift) for shift in shifts]
    value, row, by, shift = max(found, key=lambda one: one[0])
    on_grid = {control: float(positions[row]) for control, positions in grid.items()}

    def at() -> Positions:
        start, end = {**shift.low.at, **shift.held}, {**shift.high.at, **shift.held}
        whole = {**on_grid, **point_between(sliding, start, end, travel_pct=by)}
        return tidied(first.total, whole, lambda positions: first.at(positions) - second.at(positions))

    return Difference(value, at)


def _apart(first: TravelSum, second: TravelSum) -> tuple[list[Product], list[Product], list[Product]]:
    """The products that both sums have, and what is in one only."""
    theirs: dict[tuple[object, ...], list[Product]] = {}
    for one in second.products:
        theirs.setdefault(one.key, []).append(one)
    shared: list[Product] = []
    own: list[Product] = []
    for one in first.products:
        twins = theirs.get(one.key)
        if twins:
            twins.pop()
            shared.append(one)
        else:
            own.append(one)
    return shared, own, [one for left in theirs.values() for one in left]


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


def _grid(total: TravelSum, products: list[Product], most: int) -> dict[str, Array]:
    """Positions of every control of the products, each combination once; as columns of equal length."""
    stations = TravelSum(0.0, tuple(products), total.rests, total.switches).stations
    controls = sorted(stations)
    moving = sum(control not in total.switches for control in controls)
    gap = _GAPS_PCT[min(moving, len(_GAPS_PCT)) - 1] if moving else 0.0
    lines = {}
    for control in controls:
        x = stations[control]
        lines[control] = x if control in total.switches else _filled(np.union1d(x, total.rests[control]), gap)
    _thin(lines, most)
    columns = np.meshgrid(*lines.values(), indexing="ij")
    return {control: column.ravel() for control, column in zip(controls, columns, strict=True)}


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


def _best(first: Value, second: Value, moved: Array, also: Array, shift: _Shift) -> tuple[float, int, float, _Shift]:
    """The highest difference over grid and shift: its value, the row of the grid, and the shift."""
    low, high = shift.low.value, shift.high.value
    even = np.linspace(low, high, _SHIFTS if high > low else 1)
    bends = np.concatenate([first.bends, second.bends]) if high > low else np.empty(0)
    best = (-np.inf, 0, low, shift)
    rows = max(1, _BLOCK // (len(even) + 2 * len(bends)))
    for start in range(0, len(moved), rows):
        one, two = moved[start : start + rows, None], also[start : start + rows, None]
        by = np.concatenate(
            [np.broadcast_to(even, (len(one), len(even))), *(np.clip(bends - x, low, high) for x in (one, two))], axis=1
        )
        difference = first.of(one + by) - second.of(two + by)
        row, column = np.unravel_index(np.argmax(difference), difference.shape)
        value = float(difference[row, column])
        if value > best[0]:
            best = (value, start + int(row), float(by[row, column]), shift)
    return best
