"""Polylines with fixed stations that lie as near to a target as they can: linear minimax, solved exactly.

With the ordinates y at the knots, the value at sample i is a row of hat functions A_i · y (two neighbours at most).
Wanted: the least t with g_i · |A_i y − u_i| ≤ t for all samples. Its dual,

    max −Σ s_j v_j g_j u_j   with   Σ v_j s_j g_j A_j = 0,  Σ v_j = 1,  v ≥ 0,  s_j = ±1,

is solved by the simplex method: a basis of n + 1 samples whose weighted errors are all t in size, into which the worst
sample enters (the exchange of E. Remez; as a linear program: E. Stiefel, 1960, both from memory). Hat functions leave
most shares v at 0, where a step gains nothing and the method can go round in circles: the zeros on the right are
therefore made tiny and all different.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..throws import Array

_MOST_STEPS = 2000
_TINY = 1e-9
_SETTLING_SWEEPS = 12


class Samples(NamedTuple):
    """Where the polyline is looked at: positions, rising; the target there; how much an error counts (above 0)."""

    x: Array
    target: Array
    weight: Array

    def with_points(self, x: Array, target: Array, weight: Array) -> Samples:
        """These samples and others, in order, none twice."""
        merged, index = np.unique(np.concatenate([self.x, x]), return_index=True)
        return Samples(
            merged,
            np.concatenate([self.target, target])[index],
            np.concatenate([self.weight, weight])[index],
        )


def fixed_knots(samples: Samples, knots: Array, *, settle: bool = True) -> Array:
    """Ordinates at the knots of the polyline with the least weighted error over the samples.

    Parameters
    ----------
    samples : Samples
        Every knot must be among the positions, and one more between two neighbouring knots at least.
    knots : (n,) rising; the first and last are the ends of the samples
    settle : of several with the same least error, take one that is near everywhere

    Returns
    -------
    (n,) ordinates
    """
    left, share = hats(samples.x, knots)
    problem = _Exchange(samples, left, share, np.searchsorted(samples.x, knots))
    ordinates = problem.solve()
    return _settled(samples, left, share, ordinates) if settle else ordinates


def hats(x: Array, knots: Array) -> tuple[NDArray[np.intp], Array]:
    """Of each position: the knot to its left, and how far it lies towards the next one (0 … 1)."""
    left = np.clip(np.searchsorted(knots, x, side="right") - 1, 0, len(knots) - 2)
    return left, (x - knots[left]) / (knots[left + 1] - knots[left])


def _settled(samples: Samples, left: NDArray[np.intp], share: Array, ordinates: Array) -> Array:
    """Ordinates with the same greatest error and smaller squares: often one stretch alone sets the greatest error,
    and the others could wander as far as it without need. One ordinate after the other, none past the bound."""
    settled = ordinates.copy()
    weight = samples.weight
    error = weight * ((1.0 - share) * settled[left] + share * settled[left + 1] - samples.target)
    bound = float(np.max(np.abs(error)))
    parts = []
    for knot in range(len(settled)):
        at = np.flatnonzero((left == knot) | (left == knot - 1))
        hat = weight[at] * np.where(left[at] == knot, 1.0 - share[at], share[at])
        parts.append((at[hat > 0.0], hat[hat > 0.0]))
    for _ in range(_SETTLING_SWEEPS):
        for knot, (at, hat) in enumerate(parts):
            best = -float(error[at] @ hat) / float(hat @ hat)
            low, high = float(np.max((-bound - error[at]) / hat)), float(np.min((bound - error[at]) / hat))
            step = min(max(best, min(low, 0.0)), max(high, 0.0))
            settled[knot] += step
            error[at] += step * hat
    return settled


class _Exchange:
    """The linear program."""

    def __init__(self, samples: Samples, left: NDArray[np.intp], share: Array, at_knots: NDArray[np.intp]) -> None:
        self._left, self._at_knots = left, at_knots
        self._a, self._b = samples.weight * (1.0 - share), samples.weight * share
        self._target = samples.weight * samples.target
        self._start = samples.target[at_knots]

    def solve(self) -> Array:
        """The ordinates with the least error."""
        size = len(self._start)
        scale = float(np.max(np.abs(self._target))) or 1.0
        residual = self._residual(self._start)
        worst = int(np.argmax(np.abs(residual)))
        if abs(residual[worst]) <= 1e-13 * scale:
            return self._start
        rows = np.append(self._at_knots, worst)
        signs = np.ones(size + 1)
        signs[-1] = np.sign(residual[worst])
        signs[self._left[worst] : self._left[worst] + 2] = -signs[-1]
        # Multiples of the golden ratio: as unlike each other as so few numbers can be.
        right = np.append(_TINY * (0.5 + np.arange(1, size + 1) * 0.6180339887498949 % 1.0), 1.0)
        ordinates = self._start
        for _ in range(_MOST_STEPS):
            basis = np.vstack([self._dense(rows).T * signs, np.ones(size + 1)])
            solution = np.linalg.solve(basis.T, signs * self._target[rows])
            ordinates, error = solution[:-1], -float(solution[-1])
            residual = self._residual(ordinates)
            entering = int(np.argmax(np.abs(residual)))
            if abs(residual[entering]) <= error + 1e-12 * scale:
                break
            sign = float(np.sign(residual[entering]))
            shares, falling = np.linalg.solve(basis, np.column_stack([right, self._column(entering, sign)])).T
            can = falling > 1e-11
            leaving = int(np.argmin(np.where(can, shares / np.where(can, falling, 1.0), np.inf)))
            rows[leaving], signs[leaving] = entering, sign
        return ordinates

    def _residual(self, ordinates: Array) -> Array:
        return np.asarray(self._a * ordinates[self._left] + self._b * ordinates[self._left + 1] - self._target)

    def _dense(self, rows: NDArray[np.intp]) -> Array:
        """Those rows of the hat functions, weighted: (len(rows), knots)."""
        dense = np.zeros((len(rows), len(self._start)))
        places = np.arange(len(rows))
        dense[places, self._left[rows]] = self._a[rows]
        dense[places, self._left[rows] + 1] = self._b[rows]
        return dense

    def _column(self, row: int, sign: float) -> Array:
        return np.append(sign * self._dense(np.array([row]))[0], 1.0)
