"""A polyline evaluated as a sum of ramps: on random positions quicker than searching for the stations."""

from __future__ import annotations

import numpy as np

from .throws import Array

MOST_RAMPS = 8
"""With more ramps than this a binary search among the stations is quicker (measured in tests/benchmarks)."""


class Polyline:
    """Straight between stations, both ends met exactly and held beyond, between them up to rounding of the sum.

    Parameters
    ----------
    x, y : ndarray (K,), K ≥ 2, x strictly increasing
    """

    __slots__ = ("_ramps", "_start", "_x", "_y")

    def __init__(self, x: Array, y: Array) -> None:
        self._x, self._y = x, y
        self._start = float(y[0])
        rises = [
            (float(low), float(high - low), float(after - before))
            for low, high, before, after in zip(x[:-1], x[1:], y[:-1], y[1:], strict=True)
            if after != before
        ]
        self._ramps = rises if len(rises) <= MOST_RAMPS else None

    def __call__(self, at: Array) -> Array:
        """Values at positions of any shape."""
        if self._ramps is None:
            return np.asarray(np.interp(at, self._x, self._y))
        total = np.full(at.shape, self._start)
        for begin, width, rise in self._ramps:
            share = np.asarray((at - begin) / width)
            np.maximum(share, 0.0, out=share)
            np.minimum(share, 1.0, out=share)
            share *= rise
            total += share
        # The sum of all rises may miss the last station by a hair; a control at its end must not.
        return np.where(at >= self._x[-1], self._y[-1], total)
