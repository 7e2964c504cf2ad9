"""Where two travels lie furthest out together, and from there uphill: for comparisons too large for a grid.

Whatever is made of two travels, its extremes tend to lie where the pair of them lies at the rim of what it can reach.
The rim's corners, seen in one direction after the other, are extremes of a weighted sum of both travels, which
`mixing.extremes` finds exactly. From each of them one control after the other goes to its best place, until none gains.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from .sums import TravelSum
from .throws import Array
from .travels import Travels

DIRECTIONS = 8
"""Over half a turn; each gives the corner on both sides."""

_MOST_ROUNDS = 12
_GAINED = 1e-9

Rows = dict[str, Array]
"""By control its positions, one a row."""


def rim(travels: Travels, first: TravelSum, second: TravelSum) -> Rows:
    """Positions of every control of two sums at which the two lie furthest out, one row a direction and side."""
    found: list[Mapping[str, float]] = []
    for angle in np.pi * np.arange(DIRECTIONS) / DIRECTIONS:
        weighted = _weighted(first, second, float(np.cos(angle)), float(np.sin(angle)))
        found += [peak.at for peak in travels.peaks(weighted)]
    controls = sorted({*first.controls, *second.controls})
    return {key: np.array([at.get(key, first.rests[key]) for at in found]) for key in controls}


def _weighted(first: TravelSum, second: TravelSum, one: float, other: float) -> TravelSum:
    """The first sum times one weight and the second times another; what both have is in it once."""
    shared, own, theirs = first.compared_with(second)
    scaled = [
        replace(product, coefficient=weight * product.coefficient)
        for products, weight in ((shared, one + other), (own, one), (theirs, other))
        for product in products
        if abs(weight) > _GAINED
    ]
    return TravelSum(0.0, tuple(scaled), first.rests, first.switches)


def climbed(rows: Rows, lines: Mapping[str, Array], value: Callable[[Rows], Array]) -> Rows:
    """The rows with one control after the other put to its best place on its line, until none gains.

    Parameters
    ----------
    rows : R positions of each control
    lines : by control the places that it may take
    value : rows, columns of any equal length → what is to be as high as can be
    """
    count = len(next(iter(rows.values())))
    best = value(rows)
    for _ in range(_MOST_ROUNDS):
        before = best
        for control, line in lines.items():
            tried = {key: np.repeat(x, len(line)) for key, x in rows.items()} | {control: np.tile(line, count)}
            found = value(tried).reshape(count, len(line))
            place = np.argmax(found, axis=1)
            higher = found[np.arange(count), place]
            gained = higher > best + _GAINED
            rows = {**rows, control: np.where(gained, line[place], rows[control])}
            best = np.where(gained, higher, best)
        if np.array_equal(best, before):
            break
    return rows
