"""Branch and bound over boxes of stations: the search for sums whose tables would be too large.

A box leaves each control a run of neighbouring stations. The sum of each term's own best within the box bounds what
any choice in it gives (interval arithmetic). Boxes with high bounds are halved where that helps most, and boxes whose
bound cannot win are dropped; when none is left, the best choice seen is the highest (A. H. Land and A. G. Doig, 1960,
from memory). Boxes are worked on thousands at a time.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .throws import Array

Indices = NDArray[np.intp]

_BATCH = 4096
_SAME = 1e-12


class Term(NamedTuple):
    """A coefficient times values of controls, one array a control over the positions that are left."""

    coefficient: float
    values: dict[str, Array]


class Choice(NamedTuple):
    """A value and an index for every control."""

    value: float
    indices: dict[str, int]


def search(terms: Sequence[Term], sizes: dict[str, int], budget: int) -> tuple[Choice, bool, int]:
    """The best choice of an index for every control.

    Parameters
    ----------
    terms : their values have the length that `sizes` says
    sizes : control → number of positions
    budget : look-ups of a term's range that it may take

    Returns
    -------
    The choice, whether it is certain to be the best, and what it took of the budget.
    """
    controls = sorted(sizes)
    factors = [_Factors(term, controls) for term in terms]
    steps_a_box = sum(len(factor.ranges) for factor in factors)
    best, spent = climb(terms, sizes), 0
    waiting = _Waiting()
    whole = np.array([[sizes[key] for key in controls]], dtype=np.intp)
    waiting.add(_Boxes.of(np.zeros_like(whole), whole, factors))
    while True:
        boxes = waiting.next_above(best.value + _SAME * (1.0 + abs(best.value)))
        if boxes is None or spent > budget:
            return best, boxes is None, spent
        low, high = boxes.halves()
        if len(low):
            spent += steps_a_box * len(low)
            waiting.add(_Boxes.of(low, high, factors))
            best = max(best, _best_middle(factors, controls, (low + high) // 2), key=lambda choice: choice.value)


def _best_middle(factors: list[_Factors], controls: list[str], middles: Indices) -> Choice:
    values = sum((factor.at(middles) for factor in factors), np.zeros(len(middles)))
    top = int(np.argmax(values))
    return Choice(float(values[top]), dict(zip(controls, middles[top].tolist(), strict=True)))


class _Factors:
    """One term, with the least and most of each control's values over any run of stations at once."""

    def __init__(self, term: Term, controls: list[str]) -> None:
        self.coefficient = term.coefficient
        self.ranges = {
            column: (_runs(np.minimum, term.values[key]), _runs(np.maximum, term.values[key]))
            for column, key in enumerate(controls)
            if key in term.values
        }

    def at(self, indices: Indices) -> Array:
        """Its values at indices, shape (boxes, controls)."""
        value = np.full(len(indices), self.coefficient)
        for column, (least, _) in self.ranges.items():
            value = value * least[0, indices[:, column]]
        return value

    def within(self, low: Indices, high: Indices) -> tuple[Array, Array]:
        """Its bound in each box, and by box and control how much of its size is that control's spread."""
        least = most = np.full(len(low), self.coefficient)
        spreads = {}
        for column, (leasts, mosts) in self.ranges.items():
            start, end = low[:, column], high[:, column]
            level = np.frexp(end - start)[1] - 1
            last = end - (1 << level)
            a = np.minimum(leasts[level, start], leasts[level, last])
            b = np.maximum(mosts[level, start], mosts[level, last])
            corners = (least * a, least * b, most * a, most * b)
            least, most = np.minimum.reduce(corners), np.maximum.reduce(corners)
            spreads[column] = (b - a) / np.maximum(np.maximum(np.abs(a), np.abs(b)), 1e-300)
        size = np.maximum(np.abs(least), np.abs(most))
        shares = np.zeros(low.shape)
        for column, spread in spreads.items():
            shares[:, column] = spread * size
        return most, shares


def _runs(extreme: np.ufunc, values: Array) -> Array:
    """Row k: the extreme of every run of 2^k values, by its first (a sparse table)."""
    rows = [values]
    while 2 ** len(rows) <= len(values):
        half = 2 ** (len(rows) - 1)
        rows.append(extreme(rows[-1][:-half], rows[-1][half:]))
    table = np.zeros((len(rows), len(values)))
    for row, found in zip(table, rows, strict=True):
        row[: len(found)] = found
    return table


class _Boxes(NamedTuple):
    """Boxes as index ranges low ≤ i < high, shape (boxes, controls), their bounds, and what each control spreads."""

    low: Indices
    high: Indices
    bound: Array
    shares: Array

    @classmethod
    def of(cls, low: Indices, high: Indices, factors: list[_Factors]) -> _Boxes:
        bound, shares = np.zeros(len(low)), np.zeros(low.shape)
        for factor in factors:
            most, own = factor.within(low, high)
            bound = bound + most
            shares = shares + own
        return cls(low, high, bound, np.where(high - low > 1, shares, -1.0))

    def chosen(self, which: NDArray[np.bool_] | Indices) -> _Boxes:
        return _Boxes(self.low[which], self.high[which], self.bound[which], self.shares[which])

    def halves(self) -> tuple[Indices, Indices]:
        """Both halves of every box that holds more than one choice, cut where the spread is widest."""
        column = np.argmax(self.shares, axis=1)
        row = np.flatnonzero(self.shares[np.arange(len(column)), column] >= 0.0)
        column = column[row]
        low, high = self.low[row], self.high[row]
        rows = np.arange(len(row))
        middle = (low[rows, column] + high[rows, column]) // 2
        upper, lower = low.copy(), high.copy()
        upper[rows, column] = middle
        lower[rows, column] = middle
        return np.concatenate([low, upper]), np.concatenate([lower, high])


class _Waiting:
    """Boxes not halved yet, in heaps of some thousands, the one with the highest bound first."""

    def __init__(self) -> None:
        self._heaps: list[tuple[float, int, _Boxes]] = []
        self._count = 0

    def add(self, boxes: _Boxes) -> None:
        if len(boxes.bound):
            self._count += 1
            heapq.heappush(self._heaps, (-float(boxes.bound.max()), self._count, boxes))

    def next_above(self, floor: float) -> _Boxes | None:
        """Some boxes whose bound is above `floor`; None where there are no more."""
        while self._heaps:
            boxes = heapq.heappop(self._heaps)[2]
            boxes = boxes.chosen(boxes.bound > floor)
            if len(boxes.bound) > _BATCH:
                order = np.argsort(-boxes.bound, kind="stable")
                self.add(boxes.chosen(order[_BATCH:]))
                boxes = boxes.chosen(order[:_BATCH])
            if len(boxes.bound):
                return boxes
        return None


def climb(terms: Sequence[Term], sizes: dict[str, int]) -> Choice:
    """A good choice, quickly: one control after the other to its best, until none gains."""
    indices = dict.fromkeys(sizes, 0)
    value, gained = -np.inf, True
    while gained:
        gained = False
        for control, size in sizes.items():
            line = np.zeros(size)
            for term in terms:
                others = term.coefficient
                for key, values in term.values.items():
                    if key != control:
                        others *= float(values[indices[key]])
                line = line + others * term.values.get(control, np.ones(1))
            if line.max() > value + _SAME * (1.0 + abs(value) if np.isfinite(value) else 0.0):
                indices[control] = int(np.argmax(line))
                value, gained = float(line.max()), True
    return Choice(value, indices)
