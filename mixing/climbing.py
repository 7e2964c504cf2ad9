"""Where two travels lie furthest out together, and from there uphill: for comparisons too large for a grid.

Whatever is made of two travels, its extremes tend to lie where the pair of them lies at the rim of what it can reach.
The rim's corners, seen in one direction after the other, are extremes of a weighted sum of both travels, which
`mixing.extremes` finds exactly. From each of them one control after the other goes to its best place, until none gains.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from .extremes import Peak
from .sums import TravelSum
from .throws import Array
from .travels import Travels

DIRECTIONS = 16
"""Over half a turn; each gives the corner on both sides."""

_ANGLES = np.pi * np.arange(2 * DIRECTIONS) / DIRECTIONS
_UNIT = np.column_stack([np.cos(_ANGLES), np.sin(_ANGLES)])
_ACROSS = np.column_stack([-np.sin(_ANGLES), np.cos(_ANGLES)])
_ALONG, _INWARDS = 17, 9
"""Points on each edge of what can be reached, and from the middle out to it."""

_MOST_ROUNDS = 12
_GAINED = 1e-9

Rows = dict[str, Array]
"""By control its positions, one a row."""


class Rim(NamedTuple):
    """What two travels can reach together, seen in directions all round."""

    rows: Rows
    """Positions at which the two lie furthest out, one row a direction."""
    out: Array
    """How far out that is [%], by direction."""
    sure: bool
    """Whether none can lie further out."""

    def points(self, low: float, high: float) -> tuple[Array, Array]:
        """Pairs of travels [%] all over the polygon that the directions leave, both shifted from low to high."""
        out = self.out + np.max(np.sum(_UNIT, axis=1)[:, None] * np.array([low, high]), axis=1)
        nxt, turn = np.roll(out, -1), np.pi / DIRECTIONS
        along = (nxt - out * np.cos(turn)) / np.sin(turn)
        corners = _UNIT * out[:, None] + _ACROSS * along[:, None]
        share = np.linspace(0.0, 1.0, _ALONG)[:, None, None]
        edges = (corners * (1.0 - share) + np.roll(corners, -1, axis=0) * share).reshape(-1, 2)
        middle = corners.mean(axis=0)
        inwards = np.linspace(0.0, 1.0, _INWARDS)[:, None, None]
        found = (middle + (edges - middle) * inwards).reshape(-1, 2)
        return found[:, 0], found[:, 1]


def rim(travels: Travels, first: TravelSum, second: TravelSum) -> Rim:
    """The rim of what two sums can reach together."""
    peaks: list[Peak] = []
    for one, other in _UNIT[:DIRECTIONS].tolist():
        low, high = travels.peaks(_weighted(first, second, one, other))
        peaks += [high, low]
    peaks = peaks[::2] + peaks[1::2]
    signs = np.repeat([1.0, -1.0], DIRECTIONS)
    out = signs * np.array([peak.value for peak in peaks]) + _UNIT @ np.array([first.base, second.base])
    controls = sorted({*first.controls, *second.controls})
    rows = {key: np.array([peak.at.get(key, first.rests[key]) for peak in peaks]) for key in controls}
    return Rim(rows, out, all(peak.exact for peak in peaks))


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
