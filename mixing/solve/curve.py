"""The best curve of N points: the polyline that lies nearest to what is wanted where it is farthest from it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import cast

import numpy as np

from ..language import say
from ..response import Response
from ..throws import Array
from ..wording import given
from .errors import SolveError
from .knots import free_knots, with_knots
from .minimax import Samples, fixed_knots

_SAMPLES = 1601
_THIN_SAMPLES = 201
_THIN_ROUNDS = 12
_THIN_SHARE = 2e-6
"""So far, of the range of the function, the thin table may be from it between its samples."""
_REFINEMENTS = 4

Function = Callable[[Array], Array]


@dataclass(frozen=True)
class Curve:
    """A polyline and how near it is."""

    response: Response
    """The stations (control %, value)."""
    error: float
    """Where it is farthest from the function, so far; of a continuous function, within a thousandth of its range."""
    error_at: float
    """The control position [%] of that."""
    sampled_error: float
    """The same for a curve of as many evenly spaced points that lie on the function: what this one saves."""
    bound: float
    """No curve of so many points, placed as was allowed, has a smaller error."""


def best_curve(function: Function, points: int, free_x: bool) -> Curve:
    """The polyline of N points over −100 … 100 with the least greatest error against a function.

    Evenly spaced points: the linear minimax problem over the values, solved exactly. Free points: the fewest straight
    pieces through a tube about the function, the tube as narrow as so many pieces allow (`mixing.solve.knots`): the
    best there is, but for the samples and for stations that would lie nearer than 0.05 % (compare `error` with
    `bound`: at most 0.02 % above it for twelve functions of every shape and 3 to 17 points, where no stations lie so
    near). Never worse than points on the function, evenly spaced.

    Parameters
    ----------
    function : control % (array of any shape) → value (array of that shape), finite
        A function of single numbers is taken too, and is then called for each.
    points : how many, 2 … 100, both ends among them
    free_x : whether the points may be moved sideways

    Returns
    -------
    Curve

    Raises
    ------
    SolveError
        A number of points out of range, or a function that does not give a finite number somewhere.

    Examples
    --------
    >>> round(best_curve(lambda x: x * x / 100.0, 5, False).error, 3)
    3.125
    """
    if not 2 <= points <= 100:
        raise SolveError(say("a curve of {points} points was asked for; give 2 … 100", points=points))
    values = evaluated(function)
    samples = _table(values, np.linspace(-100.0, 100.0, points))
    knots = np.linspace(-100.0, 100.0, points)
    bound = 0.0
    if free_x:
        knots, bound = free_knots(_thin_table(values), points)
    return fitted(values, samples, knots, None if not free_x else bound)


def evaluated(function: Function) -> Function:
    """The function, checked: arrays in, finite arrays of that shape out."""

    def values(x: Array) -> Array:
        try:
            found = np.asarray(function(x), dtype=np.float64)
        except (TypeError, ValueError) as error:
            if isinstance(error, SolveError):
                raise
            found = np.array([float(cast(Callable[[float], float], function)(float(one))) for one in x.ravel()])
            found = found.reshape(x.shape)
        found = np.broadcast_to(found, x.shape)
        if not np.all(np.isfinite(found)):
            at = float(x[~np.isfinite(found)].flat[0])
            text = say(
                "the function has no finite value at control {position} %; give one that has, from −100 to 100",
                position=given(at),
            )
            raise SolveError(text)
        return found

    return values


def _table(values: Function, knots: Array) -> Samples:
    x = np.unique(np.concatenate([np.linspace(-100.0, 100.0, _SAMPLES), knots]))
    return Samples(x, values(x), np.ones_like(x))


def _thin_table(values: Function) -> Samples:
    """Few samples where the function is straight, many where it bends: straight lines between them follow it."""
    x = np.linspace(-100.0, 100.0, _THIN_SAMPLES)
    target = values(x)
    for _ in range(_THIN_ROUNDS):
        middle = (x[1:] + x[:-1]) / 2.0
        there = values(middle)
        bent = np.abs(there - (target[1:] + target[:-1]) / 2.0) > _THIN_SHARE * float(np.ptp(target))
        if not np.any(bent):
            break
        x, target = np.concatenate([x, middle[bent]]), np.concatenate([target, there[bent]])
        order = np.argsort(x)
        x, target = x[order], target[order]
    return Samples(x, target, np.ones_like(x))


def fitted(values: Function, samples: Samples, knots: Array, bound: float | None) -> Curve:
    """The best polyline over these stations; where the error peaks between the samples, more samples are put."""
    samples = _with_function(values, with_knots(samples, knots), knots)
    ordinates = fixed_knots(samples, knots)
    for _ in range(_REFINEMENTS):
        fine = _peaks(samples, knots, ordinates)
        errors = np.abs(np.interp(fine, knots, ordinates) - values(fine))
        known = float(np.max(np.abs(np.interp(samples.x, knots, ordinates) - samples.target)))
        if float(np.max(errors, initial=0.0)) <= known * (1.0 + 1e-7):
            break
        samples = samples.with_points(fine, values(fine), np.ones_like(fine))
        ordinates = fixed_knots(samples, knots)
    even = np.linspace(-100.0, 100.0, len(knots))
    sampled = _worst(samples, even, values(even))
    here = _worst(samples, knots, ordinates)
    if sampled[0] < here[0]:
        knots, ordinates, here = even, values(even), sampled
    response = Response(np.column_stack([knots, ordinates]).tolist())
    least = here[0] if bound is None else min(bound, here[0])
    return Curve(response, here[0], here[1], sampled[0], least)


def _with_function(values: Function, samples: Samples, knots: Array) -> Samples:
    """The samples, the function itself at every station instead of a value between its neighbours."""
    target = samples.target.copy()
    at = np.searchsorted(samples.x, knots)
    target[at] = values(knots)
    middles = np.searchsorted(samples.x, (knots[1:] + knots[:-1]) / 2.0)
    target[middles] = values(samples.x[middles])
    return samples._replace(target=target)


def _peaks(samples: Samples, knots: Array, ordinates: Array) -> Array:
    """Positions around the larger peaks of the error, finer than the samples."""
    error = np.abs(np.interp(samples.x, knots, ordinates) - samples.target)
    inside = (error[1:-1] >= error[:-2]) & (error[1:-1] >= error[2:]) & (error[1:-1] > 0.9 * np.max(error))
    peaks = np.flatnonzero(inside)[:200] + 1
    share = np.linspace(0.0, 1.0, 22)[1:-1]
    low, high = samples.x[peaks - 1][:, None], samples.x[peaks + 1][:, None]
    return np.unique(low + (high - low) * share)


def _worst(samples: Samples, knots: Array, ordinates: Array) -> tuple[float, float]:
    """The greatest error over the samples, and where."""
    error = np.abs(np.interp(samples.x, knots, ordinates) - samples.target)
    worst = int(np.argmax(error))
    return float(error[worst]), float(samples.x[worst])
