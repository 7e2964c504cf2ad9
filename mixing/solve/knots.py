"""Where the stations of a curve lie best when they may be moved sideways.

A polyline whose weighted error is nowhere above a tolerance stays within a tube about the target. The fewest straight
pieces that pass through a tube are found one after the other (H. Imai and M. Iri, 1986; S. L. Hakimi and
E. F. Schmeichel, 1991; both from memory): each piece lies as far over as the tube allows just where it can go no
further, since every polyline through the tube must come across that line, and the next one may leave it anywhere
beyond where it touches the tube. The least tolerance at which so many pieces reach the end is found by bisection. On
the samples this is the best that there is, and a tolerance at which they do not reach it is a bound for any polyline.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ..throws import Array
from .minimax import Samples, fixed_knots, hats

_BISECTIONS = 40
_PRECISE = 1e-5
"""So near, as a share, the tolerance that is enough and the one that is not are brought together."""
_LEAST_GAP = 0.05
"""Stations nearer than this are one [control %]."""
_EXACT = 2e-5
"""An error of this share of the target's range is none: the samples themselves are no nearer."""


def free_knots(samples: Samples, count: int) -> tuple[Array, float]:
    """Stations for the least weighted error.

    Parameters
    ----------
    samples : Samples
    count : how many, both ends among them; at least 2

    Returns
    -------
    (knots, bound)
        (count,) rising, at least 0.05 apart; no polyline of so many stations has an error below `bound`.
    """
    even = np.linspace(samples.x[0], samples.x[-1], count)
    enough = joined_error(samples, even)
    if count == 2:
        return even, enough
    exact = _EXACT * float(np.ptp(samples.target)) * float(np.min(samples.weight))
    low, high, knots = 0.0, enough, even
    for _ in range(_BISECTIONS):
        if high - low <= _PRECISE * high or high <= exact:
            break
        middle = (low + high) / 2.0
        tried = _through(samples, middle, count)
        if tried is None:
            low = middle
        else:
            high, knots = middle, tried
    return _spaced(knots, count), low


def joined_error(samples: Samples, knots: Array) -> float:
    """The least weighted error of the polyline over these stations."""
    table = with_knots(samples, knots)
    ordinates = fixed_knots(table, knots, settle=False)
    left, share = hats(table.x, knots)
    value = (1.0 - share) * ordinates[left] + share * ordinates[left + 1]
    return float(np.max(table.weight * np.abs(value - table.target)))


def with_knots(samples: Samples, knots: Array) -> Samples:
    """The samples with the stations, and the middles between them, among their positions."""
    x = np.concatenate([knots, (knots[1:] + knots[:-1]) / 2.0])
    return samples.with_points(x, np.interp(x, samples.x, samples.target), np.interp(x, samples.x, samples.weight))


class _Line(NamedTuple):
    """A straight line through a point."""

    slope: float
    x: float
    y: float

    def at(self, x: float) -> float:
        return self.y + self.slope * (x - self.x)

    def meets(self, other: _Line) -> float:
        """Where two lines cross; a vertical one, where it stands; two parallel ones, where this one is known."""
        for line in (self, other):
            if np.isinf(line.slope):
                return line.x
        if self.slope == other.slope:
            return self.x
        return (other.y - self.y + self.slope * self.x - other.slope * other.x) / (self.slope - other.slope)


class _Corners(NamedTuple):
    """Corners of one side of the tube that hold a piece: one between two samples, perhaps, and samples from `first`."""

    x: Array
    y: Array
    first: int
    between: tuple[float, float] | None = None

    @property
    def start(self) -> float:
        """Where the first of them is."""
        return float(self.x[self.first]) if self.between is None else self.between[0]

    def turn(self, x: float, y: float, sign: float) -> _Line:
        """The line through a point that turns about the corners before it: the flattest of them, times a sign."""
        before = int(np.searchsorted(self.x, x))
        slopes = sign * (y - self.y[self.first : before]) / (x - self.x[self.first : before])
        slope = float(np.min(slopes, initial=np.inf))
        if self.between is not None and self.between[0] < x:
            slope = min(slope, sign * (y - self.between[1]) / (x - self.between[0]))
        return _Line(sign * slope, x, y)


class _Piece(NamedTuple):
    """A straight piece that goes as far as the tube allows."""

    line: _Line
    end: int
    """The first sample that it cannot reach; the number of samples where it reaches the last."""
    rising: bool
    """Whether the tube goes on above the line."""
    touched: int | None
    """The sample from which on the line may be left: there it touches the side towards which the tube goes on. None
    where that is the corner between two samples at which the piece itself began."""


def _through(samples: Samples, tolerance: float, count: int) -> Array | None:
    """Stations of a polyline through the tube; None where it takes more than `count`."""
    x = samples.x
    lower = _Corners(x, samples.target - tolerance / samples.weight, 0)
    upper = _Corners(x, samples.target + tolerance / samples.weight, 0)
    knots = [float(x[0])]
    piece = _farthest(lower, upper, 1, (float(x[0]), 0.0))
    while piece.end < len(x):
        if len(knots) == count - 1:
            return None
        leaving, stopping = (upper, lower) if piece.rising else (lower, upper)
        if piece.touched is not None:
            leaving = leaving._replace(first=piece.touched, between=None)
        stop = _meeting(piece.line, stopping, piece.end)
        stopping = stopping._replace(first=piece.end, between=stop)
        lower, upper = (stopping, leaving) if piece.rising else (leaving, stopping)
        following = _farthest(lower, upper, piece.end, stop)
        knots.append(float(np.clip(following.line.meets(piece.line), leaving.start, stop[0])))
        piece = following
    return np.array([*knots, float(x[-1])])


def _meeting(line: _Line, side: _Corners, sample: int) -> tuple[float, float]:
    """Where a line meets a side of the tube between a sample and the one before."""
    start, end = float(side.x[sample - 1]), float(side.x[sample])
    inside = line.at(start) - float(side.y[sample - 1])
    outside = float(side.y[sample]) - line.at(end)
    whole = inside + outside
    x = start + (end - start) * (inside / whole if whole != 0.0 else 0.0)
    return x, line.at(x)


def _farthest(lower: _Corners, upper: _Corners, sample: int, start: tuple[float, float]) -> _Piece:
    """The piece that reaches furthest between corners, from a corner just before a sample on.

    Of all lines that still pass, the steepest and the flattest are carried along; each new sample turns one of them
    about the corners of the other side.
    """
    steep, flat = _Line(np.inf, *start), _Line(-np.inf, *start)
    if lower.between == start:
        flat = upper.turn(*start, -1.0)
    elif upper.between == start:
        steep = lower.turn(*start, 1.0)
    high: int | None = None
    low: int | None = None
    for index in range(sample, len(lower.x)):
        here, bottom, top = float(lower.x[index]), float(lower.y[index]), float(upper.y[index])
        if bottom > steep.at(here):
            return _Piece(steep, index, True, high)
        if top < flat.at(here):
            return _Piece(flat, index, False, low)
        if top < steep.at(here):
            steep, high = lower.turn(here, top, 1.0), index
        if bottom > flat.at(here):
            flat, low = upper.turn(here, bottom, -1.0), index
    return _Piece(_between(steep, flat), len(lower.x), True, None)


def _between(steep: _Line, flat: _Line) -> _Line:
    """A line between the steepest and the flattest that pass, through the point that both share."""
    if np.isinf(steep.slope) or np.isinf(flat.slope):
        return flat if np.isinf(steep.slope) else steep
    x = steep.meets(flat)
    return _Line((steep.slope + flat.slope) / 2.0, x, steep.at(x))


def _spaced(ends: Array, count: int) -> Array:
    """As many stations as asked for: the longest pieces are halved until there are enough, and all are kept apart."""
    knots = ends.tolist()
    while len(knots) < count:
        longest = int(np.argmax(np.diff(knots)))
        knots.insert(longest + 1, (knots[longest] + knots[longest + 1]) / 2.0)
    return _apart(np.array(knots))


def _apart(knots: Array) -> Array:
    """Stations pushed to the right, then to the left, where they lie too near."""
    steps = _LEAST_GAP * np.arange(len(knots))
    pushed = np.maximum.accumulate(knots - steps) + steps
    pushed[-1] = knots[-1]
    back = steps[::-1]
    return np.asarray(np.minimum.accumulate((pushed + back)[::-1])[::-1] - back)
