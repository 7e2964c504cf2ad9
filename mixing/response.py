"""Responses: how one control moves one channel, as a polyline of stations."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from .errors import ResponseError
from .language import say
from .ramps import Polyline
from .throws import Array
from .wording import given

EXPO_TOLERANCE_PCT = 0.05
"""How far the compiled polyline may lie from the cubic law [travel %]."""


class Response:
    """A polyline through stations (control %, travel %), straight between them, its end values held beyond.

    Parameters
    ----------
    stations : sequence of (control %, travel %)
        At least two, finite, strictly increasing in the control.

    Raises
    ------
    ResponseError
        Unsorted, repeated, too few or not finite stations.

    Examples
    --------
    >>> float(Response([(-100, -100), (50, -100), (100, 100)])(75))
    0.0
    """

    __slots__ = ("_polyline", "key", "travel", "x")

    def __init__(self, stations: Sequence[Sequence[float]]) -> None:
        table = np.asarray(stations, dtype=np.float64)
        if table.ndim != 2 or table.shape[1] != 2 or len(table) < 2:
            raise ResponseError(say("a response needs at least two stations, each a control % and a travel %"))
        if not np.all(np.isfinite(table)):
            raise ResponseError(say("a station holds something that is not a number"))
        if np.any(np.diff(table[:, 0]) <= 0.0):
            raise ResponseError(say("stations must be in order, each control % above the one before"))
        self.x: Array = table[:, 0].copy()
        self.travel: Array = table[:, 1].copy()
        self.x.flags.writeable = False
        self.travel.flags.writeable = False
        self.key = table.tobytes()
        """The same for responses of the same stations."""
        self._polyline = Polyline(self.x, self.travel)

    @classmethod
    def from_ends(cls, low: float, high: float) -> Response:
        """Straight from `low` at control −100 to `high` at +100 [travel %].

        >>> float(Response.from_ends(0, 60)(50))
        45.0
        """
        return cls([(-100.0, low), (100.0, high)])

    @classmethod
    def from_slope_and_middle(cls, slope: float, middle: float) -> Response:
        """Travel = slope · control + middle. Slope 0.3 with middle 30 gives 60 at +100 and 0 at −100.

        >>> Response.from_slope_and_middle(0.3, 30).stations
        [(-100.0, 0.0), (100.0, 60.0)]
        """
        return cls.from_ends(middle - 100.0 * slope, middle + 100.0 * slope)

    @classmethod
    def one_sided(cls, start: float, end: float, travel: float) -> Response:
        """Nothing up to `start`, then straight to `travel` at `end`, held beyond it [control %, travel %].

        >>> Response.one_sided(50, -100, 40).stations
        [(-100.0, 40.0), (50.0, 0.0), (100.0, 0.0)]
        """
        if start == end:
            text = say(
                "start and end are both {position} %; give two different control positions", position=given(start)
            )
            raise ResponseError(text)
        ordered = sorted([(float(start), 0.0), (float(end), float(travel))])
        first, last = ordered[0], ordered[-1]
        if first[0] > -100.0:
            ordered.insert(0, (-100.0, first[1]))
        if last[0] < 100.0:
            ordered.append((100.0, last[1]))
        return cls(ordered)

    @classmethod
    def differential(cls, up: float, down: float) -> Response:
        """Two straight halves: `up` at control +100, 0 in the middle, −`down` at −100 [travel %].

        Equal values give a straight response; `down` below `up` is differential. Common practice, no source.

        >>> Response.differential(100, 60).stations
        [(-100.0, -60.0), (0.0, 0.0), (100.0, 100.0)]
        """
        return cls([(-100.0, -down), (0.0, 0.0), (100.0, up)])

    def __call__(self, control: ArrayLike) -> Array:
        """Travel [%] at control positions [%] of any shape; the end values are held beyond the end stations.

        >>> Response.from_ends(-100, 100)([-250, 25]).tolist()
        [-100.0, 25.0]
        """
        return self._polyline(np.asarray(control, dtype=np.float64))

    @property
    def stations(self) -> list[tuple[float, float]]:
        """The stations as (control %, travel %) pairs."""
        return list(zip(self.x.tolist(), self.travel.tolist(), strict=True))

    def slope_and_middle(self) -> tuple[float, float]:
        """The straight line as (slope, middle): travel = slope · control + middle.

        Raises
        ------
        ResponseError
            The response is not one straight line over the whole travel of the control.

        Examples
        --------
        >>> Response.from_ends(0, 60).slope_and_middle()
        (0.3, 30.0)
        """
        low, high = float(self(-100.0)), float(self(100.0))
        slope, middle = (high - low) / 200.0, (high + low) / 2.0
        inside = np.clip(self.x, -100.0, 100.0)
        if np.any(np.abs(self(inside) - (slope * inside + middle)) > 1e-9):
            text = say("this response bends; slope and middle describe only a straight line from −100 to +100")
            raise ResponseError(text)
        return slope, middle

    def with_expo(self, expo_pct: float) -> Response:
        """This response behind a cubic expo, as one polyline within `EXPO_TOLERANCE_PCT` of the exact curve.

        The control x, taken as −1 … 1, first becomes (1 − k)·x + k·x³ with k = expo_pct/100 (common practice,
        no source); the polyline's stations lie on the exact curve.

        Raises
        ------
        ResponseError
            expo_pct outside −50 … 100, where the law would turn back on itself.

        Examples
        --------
        >>> round(float(Response.from_ends(-100, 100).with_expo(30)(50)), 1)
        38.8
        """
        if not -50.0 <= expo_pct <= 100.0:
            text = say("expo of {expo} % was given; give −50 … 100, where it does not turn back", expo=given(expo_pct))
            raise ResponseError(text)
        if expo_pct == 0.0:
            return self
        k = expo_pct / 100.0
        corners = np.unique(np.concatenate([[-100.0, 0.0, 100.0], _expo_inverse(self.x[np.abs(self.x) < 100.0], k)]))
        pieces = [self._graded(low, high, k) for low, high in pairwise(corners)]
        x = np.concatenate([*pieces, corners[-1:]])
        travel = self(_expo(x, k))
        at_corner = _expo_inverse(self.x, k)
        near = np.searchsorted(x, at_corner)
        hit = (near < len(x)) & (x[np.minimum(near, len(x) - 1)] == at_corner)
        travel[near[hit]] = self.travel[hit]
        return Response(np.column_stack([x, travel]).tolist())

    def _graded(self, low: float, high: float, k: float) -> Array:
        """Stations from `low` up to, not with, `high`: as few as the tolerance allows, denser where the cubic bends."""
        ends = _expo(np.array([low, high]), k)
        slope = abs(float(np.diff(self(ends))[0]) / float(np.diff(ends)[0])) if ends[1] > ends[0] else 0.0
        sign = 1.0 if low >= 0.0 else -1.0
        u, v = sorted([abs(low) ** 1.5, abs(high) ** 1.5])
        for count in range(1, 400):
            points = sign * np.linspace(u, v, count + 1) ** (2.0 / 3.0)
            points = np.sort(points)
            points[0], points[-1] = low, high
            if slope * _cubic_sag(points, k) <= EXPO_TOLERANCE_PCT:
                break
        return points[:-1]


def behind_expo(control: ArrayLike, expo_pct: float) -> Array:
    """Where on the axis of the stations a control position [%] of any shape is read, behind a cubic expo."""
    return _expo(np.asarray(control, dtype=np.float64), expo_pct / 100.0)


def _expo(x: Array, k: float) -> Array:
    """(1 − k)·x + k·x³ on the scale −100 … 100, exact at −100, 0 and 100."""
    unit = x / 100.0
    return 100.0 * unit * (1.0 + k * (unit * unit - 1.0))


def _expo_inverse(y: Array, k: float) -> Array:
    """The x in −100 … 100 whose expo is y, by bisection (the law is monotone there); values beyond are kept."""
    low, high = np.full_like(y, -100.0), np.full_like(y, 100.0)
    for _ in range(70):
        middle = (low + high) / 2.0
        above = _expo(middle, k) > y
        high = np.where(above, middle, high)
        low = np.where(above, low, middle)
    exact = (y == 0.0) | (np.abs(y) >= 100.0)
    return np.where(exact, y, (low + high) / 2.0)


def _cubic_sag(points: Array, k: float) -> float:
    """Largest distance of the chords through `points` from 100·k·(x/100)³, all on one side of 0.

    On a chord from p to q the cubic's distance is largest where 3x² = p² + pq + q².
    """
    p, q = points[:-1] / 100.0, points[1:] / 100.0
    square = (p * p + p * q + q * q) / 3.0
    x = np.sqrt(square) * np.sign(p + q)
    return float(np.max(100.0 * abs(k) * np.abs((x - p) * (x - q) * (x + p + q))))
