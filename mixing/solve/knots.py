"""Where the stations of a curve lie best when they may be moved sideways.

Straight pieces that need not meet are a bound from below: with a tolerance each piece goes as far as it can (the
error of a piece only grows with its length, so going farther is never worse), and the least tolerance at which the
pieces reach the end is found by bisection. A convex or concave target is met by exactly these pieces, since
neighbours then meet anyhow; elsewhere their ends are the start of a search over the joined polyline.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..throws import Array
from .minimax import Samples, fixed_knots, hats, line_error

_BISECTIONS = 24
_LEAST_GAP = 0.05
"""Stations nearer than this are one [control %]."""
_EXACT = 2e-5
"""An error of this share of the target's range is none: the samples themselves are no nearer."""
_STARTS = 2
_GOOD_ENOUGH = 1.002
"""So near to the bound, and no search is needed."""
_STEPS = (12.0, 6.0, 3.0, 1.5, 0.7, 0.3, 0.1)
_MOST_TRIES = 3000
"""Divided by the number of stations: each try then takes longer, too."""


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
    if count == 2:
        return even, line_error(samples, float(even[0]), float(even[1]))
    pieces, bound = _pieces(samples, count - 1, joined_error(samples, even))
    starts = [_spaced(pieces, count), _by_bend(samples, count), even]
    starts.sort(key=lambda knots: joined_error(samples, knots))
    enough = max(bound * _GOOD_ENOUGH, _EXACT * float(np.ptp(samples.target)))
    best, error = starts[0], np.inf
    for start in starts[:_STARTS]:
        if error > enough:
            knots, reached = _searched(samples, start, enough)
            best, error = (knots, reached) if reached < error else (best, error)
    return best, bound


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


def _pieces(samples: Samples, count: int, enough: float) -> tuple[Array, float]:
    """Ends of `count` separate pieces with the least tolerance, and a tolerance that is not enough for them."""
    low, high = 0.0, enough
    exact = _EXACT * float(np.ptp(samples.target))
    ends = _reach(samples, count, high)
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2.0
        tried = _reach(samples, count, middle)
        if tried is None:
            low = middle
        else:
            high, ends = middle, tried
        if high - low <= 1e-5 * high or high <= exact:
            break
    return np.array([samples.x[0], samples.x[-1]]) if ends is None else ends, low


def _reach(samples: Samples, count: int, tolerance: float) -> Array | None:
    """Ends of the pieces, each as long as the tolerance allows; None where `count` of them do not reach the end."""
    ends = [float(samples.x[0])]
    last = float(samples.x[-1])
    for _ in range(count):
        ends.append(_farthest(samples, ends[-1], last, tolerance))
        if ends[-1] >= last:
            return np.array(ends)
    return None


def _farthest(samples: Samples, start: float, last: float, tolerance: float) -> float:
    """How far one piece goes: whole samples first, then in between, by bisection."""
    if line_error(samples, start, last) <= tolerance:
        return last
    low, high = int(np.searchsorted(samples.x, start, side="right")), len(samples.x) - 1
    if line_error(samples, start, float(samples.x[low])) > tolerance:
        return float(samples.x[low])
    while high - low > 1:
        middle = (low + high) // 2
        inside = line_error(samples, start, float(samples.x[middle])) <= tolerance
        low, high = (middle, high) if inside else (low, middle)
    near, far = float(samples.x[low]), float(samples.x[high])
    for _ in range(8):
        between = (near + far) / 2.0
        inside = line_error(samples, start, between) <= tolerance
        near, far = (between, far) if inside else (near, between)
    return near


def _spaced(ends: Array, count: int) -> Array:
    """As many stations as asked for: the longest pieces are halved until there are enough, and all are kept apart."""
    knots = ends.tolist()
    while len(knots) < count:
        longest = int(np.argmax(np.diff(knots)))
        knots.insert(longest + 1, (knots[longest] + knots[longest + 1]) / 2.0)
    return _apart(np.array(knots))


def _by_bend(samples: Samples, count: int) -> Array:
    """Stations spread by the square root of the bend, as is best where they are many (from memory)."""
    steps = np.diff(samples.x)
    bend = np.abs(np.diff(np.diff(samples.target) / steps))
    density = np.sqrt(bend / ((steps[1:] + steps[:-1]) / 2.0))
    spread = (density + 0.02 * float(np.max(density, initial=0.0)) + 1e-12) * (steps[1:] + steps[:-1]) / 2.0
    grown = np.concatenate([[0.0], np.cumsum(spread)])
    at = np.concatenate([(samples.x[:-1] + samples.x[1:]) / 2.0])
    knots = np.interp(np.linspace(0.0, grown[-1], count), grown, at)
    knots[0], knots[-1] = samples.x[0], samples.x[-1]
    return _apart(knots)


def _apart(knots: Array) -> Array:
    """Stations pushed to the right, then to the left, where they lie too near."""
    steps = _LEAST_GAP * np.arange(len(knots))
    pushed = np.maximum.accumulate(knots - steps) + steps
    pushed[-1] = knots[-1]
    back = steps[::-1]
    return np.asarray(np.minimum.accumulate((pushed + back)[::-1])[::-1] - back)


def _searched(samples: Samples, knots: Array, enough: float) -> tuple[Array, float]:
    """A search by ever smaller steps of one station or of neighbours together, until the error is small enough."""
    best, error, tries = knots, joined_error(samples, knots), 0
    for step in _STEPS:
        better = True
        while better and error > enough and tries < _MOST_TRIES / len(knots):
            better = False
            for candidate in _moved(best, step):
                tries += 1
                new = joined_error(samples, candidate)
                if new < error * (1.0 - 1e-6):
                    best, error, better = candidate, new, True
    return best, error


def _moved(knots: Array, step: float) -> Iterator[Array]:
    """Stations with one inner station moved, or two neighbours, the same way or against each other."""
    inner = range(1, len(knots) - 1)
    moves = [{k: sign} for k in inner for sign in (1.0, -1.0)]
    moves += [{k: sign, k + 1: other} for k in inner[:-1] for sign in (1.0, -1.0) for other in (1.0, -1.0)]
    for move in moves:
        candidate = knots.copy()
        for knot, sign in move.items():
            candidate[knot] += sign * step
        if np.all(np.diff(candidate) >= _LEAST_GAP):
            yield candidate
