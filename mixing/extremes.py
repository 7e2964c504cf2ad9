"""The highest value of a sum of products, exactly, over every position of its controls.

The extremes lie where each control stands at one of its stations, so the search is over finitely many positions a
control. Three steps keep it small:

- Controls that never meet in a product, not even by way of others, are searched apart.
- Of a control's positions only those are kept that can win: the corners of the convex hull of what it does to the
  products. A control with one response has two, whatever the number of its stations.
- Controls are eliminated one after the other (nonserial dynamic programming: U. Bertelè and F. Brioschi, 1972, from
  memory): the best position of one, for every combination of the controls it meets, is a table over these only.

Where a table would be too large, `mixing.boxes` searches by branch and bound. A budget ends a search that no real setup
needs; the answer then says that it may not be the extreme.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .boxes import Choice, Term, search
from .sums import TravelSum
from .throws import Array

LARGEST_TABLE = 2_000_000
"""Entries of one table; beyond it boxes are searched."""

ALL_ENTRIES = 100_000_000
"""Entries of all tables of one setup together; beyond it boxes are searched."""

ONE_SEARCH = 8_000_000
"""Steps that one search by boxes may take."""

ALL_SEARCHES = 24_000_000
"""Steps that all searches of one setup may take together."""

ALL_POINTS = 10_000_000
"""Points at which two values are compared, of all comparisons together; later ones make do with fewer."""


@dataclass
class Budget:
    """What may still be spent on one setup: steps of searches by boxes, points at which two values are compared, and
    entries of tables."""

    left: int = ALL_SEARCHES
    points: int = ALL_POINTS
    entries: int = ALL_ENTRIES


class Peak(NamedTuple):
    """The highest value, positions of the sum's controls that give it, and whether it is certain to be the highest."""

    value: float
    at: dict[str, float]
    exact: bool = True


def highest(total: TravelSum, only: Mapping[str, Array] | None = None, budget: Budget | None = None) -> Peak:
    """The highest value of a sum.

    Parameters
    ----------
    total : TravelSum
    only : control → positions, optional
        Leaves a control only these positions.
    budget : Budget, optional
        Shared with other searches.

    Returns
    -------
    Peak
    """
    return _peak(total, 1.0, only or {}, budget or Budget())


def lowest(total: TravelSum, only: Mapping[str, Array] | None = None, budget: Budget | None = None) -> Peak:
    """The lowest value of a sum; see `highest`."""
    return _peak(total, -1.0, only or {}, budget or Budget())


def _peak(total: TravelSum, sign: float, only: Mapping[str, Array], budget: Budget) -> Peak:
    """The highest value of a sum times a sign, told without the sign."""
    positions = {**total.stations, **{key: xs for key, xs in only.items() if key in total.stations}}
    terms = [
        Term(
            sign * product.coefficient,
            {one.control: one.over_positions(positions[one.control]) for one in product.parts},
        )
        for product in total.products
    ]
    granted = min(ONE_SEARCH, budget.left)
    finding = _Search(granted, min(LARGEST_TABLE, budget.entries))
    chosen = finding.best(terms, {key: np.arange(len(xs)) for key, xs in positions.items()})
    budget.left -= granted - finding.left
    budget.entries -= finding.entries
    at = {key: float(positions[key][index]) for key, index in chosen.indices.items()}
    return Peak(total.value(at), at, finding.complete)


_SMALL_TABLE = 2000

_Labels = dict[str, NDArray[np.intp]]
_Table = tuple[tuple[str, ...], Array]


@dataclass
class _Search:
    left: int
    largest_table: int = LARGEST_TABLE
    entries: int = 0
    complete: bool = True

    def best(self, terms: Sequence[Term], labels: _Labels) -> Choice:
        """The best choice of a position for every control that does something."""
        value, indices = sum(term.coefficient for term in terms if not term.values), {}
        for group in _groups([term for term in terms if term.values]):
            choice = self._best_together(group, labels)
            value += choice.value
            indices.update(choice.indices)
        return Choice(value, indices)

    def _best_together(self, terms: list[Term], labels: _Labels) -> Choice:
        if all(len(term.values) == 1 for term in terms):
            return _of_one_control(terms)
        controls = sorted({key for term in terms for key in term.values}, reverse=True)
        if len(controls) == 2 and len(labels[controls[0]]) * len(labels[controls[1]]) <= _SMALL_TABLE:
            return _of_two_controls(terms, controls)
        terms, labels = _pruned(terms, labels)
        order, entries = _elimination_order(terms, labels, self.largest_table)
        if order is not None:
            self.entries += entries
            found = _eliminated(terms, order)
        else:
            found, sure, spent = search(terms, {key: len(kept) for key, kept in labels.items()}, self.left)
            self.left -= min(spent, self.left)
            self.complete = self.complete and sure
        return Choice(found.value, {control: int(labels[control][index]) for control, index in found.indices.items()})


def _of_one_control(terms: list[Term]) -> Choice:
    """Products that have a single control, the same one: the best of its positions."""
    (control,) = terms[0].values
    line = sum((term.coefficient * term.values[control] for term in terms), np.zeros(1))
    index = int(np.argmax(line))
    return Choice(float(line[index]), {control: index})


def _of_two_controls(terms: list[Term], controls: list[str]) -> Choice:
    """Products of two controls: every combination is quicker than any thought about them."""
    first, second = controls
    one = np.ones(1)
    total: Array = np.zeros((1, 1))
    for term in terms:
        total = total + np.multiply.outer(term.coefficient * term.values.get(first, one), term.values.get(second, one))
    row, column = np.unravel_index(int(np.argmax(total)), total.shape)
    return Choice(float(total[row, column]), {first: int(row), second: int(column)})


def _eliminated(terms: list[Term], order: list[str]) -> Choice:
    tables = [_table(term) for term in terms]
    steps: list[tuple[str, tuple[str, ...], NDArray[np.intp]]] = []
    for control in order:
        scope, joined = _joined([table for table in tables if control in table[0]])
        tables = [table for table in tables if control not in table[0]]
        axis = scope.index(control)
        scope = scope[:axis] + scope[axis + 1 :]
        steps.append((control, scope, np.argmax(joined, axis=axis)))
        tables.append((scope, np.max(joined, axis=axis)))
    indices: dict[str, int] = {}
    for control, scope, winners in reversed(steps):
        indices[control] = int(winners[tuple(indices[other] for other in scope)])
    return Choice(sum(float(values) for _, values in tables), indices)


def _groups(terms: list[Term]) -> list[list[Term]]:
    """Terms that share a control, directly or by way of others, together."""
    groups: list[tuple[set[str], list[Term]]] = []
    for term in terms:
        keys, members = set(term.values), [term]
        apart = []
        for group in groups:
            if group[0] & keys:
                keys |= group[0]
                members = group[1] + members
            else:
                apart.append(group)
        groups = [*apart, (keys, members)]
    return [members for _, members in groups]


def _pruned(terms: list[Term], labels: _Labels) -> tuple[list[Term], _Labels]:
    """The same with only those positions of each control that can win."""
    kept: _Labels = {}
    for control in sorted({key for term in terms for key in term.values}):
        acts = np.column_stack([term.values[control] for term in terms if control in term.values])
        kept[control] = _corners(acts)
    pruned = [Term(c, {key: value[kept[key]] for key, value in values.items()}) for c, values in terms]
    return pruned, {control: labels[control][indices] for control, indices in kept.items()}


def _corners(acts: Array) -> NDArray[np.intp]:
    """Rows of `acts` (positions × products) among which every linear function of the columns has its maximum."""
    if acts.shape[1] == 1:
        return np.unique([np.argmin(acts), np.argmax(acts)])
    rows: NDArray[np.intp] = np.sort(np.unique(acts, axis=0, return_index=True)[1])
    centred = acts[rows] - acts[rows].mean(axis=0)
    if len(rows) < 3:
        return rows
    _, sizes, directions = np.linalg.svd(centred, full_matrices=False)
    rank = int(np.sum(sizes > 1e-13 * max(sizes[0], 1e-300)))
    if rank == 1:
        along = centred @ directions[0]
        return np.sort(rows[[np.argmin(along), np.argmax(along)]])
    return rows[_hull(centred @ directions[:2].T)] if rank == 2 else rows


def _hull(points: Array) -> NDArray[np.intp]:
    """Indices of the corners of the convex hull of points in a plane (monotone chain: A. M. Andrew, 1979)."""
    order: list[int] = np.lexsort((points[:, 1], points[:, 0])).tolist()

    def chain(indices: list[int]) -> list[int]:
        corners: list[int] = []
        for index in indices:
            while len(corners) >= 2 and _turn(points[corners[-2]], points[corners[-1]], points[index]) < 0.0:
                corners.pop()
            corners.append(index)
        return corners

    return np.array(sorted({*chain(order), *chain(order[::-1])}), dtype=np.intp)


def _turn(a: Array, b: Array, c: Array) -> float:
    """Above 0 where a → b → c turns left. Points in line are kept: rounding must not lose a corner."""
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def _elimination_order(terms: list[Term], labels: _Labels, largest: float) -> tuple[list[str] | None, int]:
    """The order in which controls are eliminated, the smallest table first, and the entries of all these tables; None
    for the order where a table is too large."""
    scopes = [frozenset(term.values) for term in terms]
    order: list[str] = []
    entries = 0
    while len(order) < len(labels):
        sizes = {}
        for control in labels:
            if control not in order:
                met = frozenset().union(*(scope for scope in scopes if control in scope))
                sizes[control] = np.prod([float(len(labels[key])) for key in met])
        control = min(sizes, key=lambda key: (sizes[key], key))
        if sizes[control] > largest:
            return None, entries
        entries += int(sizes[control])
        met = frozenset().union(*(scope for scope in scopes if control in scope))
        scopes = [scope for scope in scopes if control not in scope] + [met - {control}]
        order.append(control)
    return order, entries


def _table(term: Term) -> _Table:
    scope = tuple(sorted(term.values))
    table: Array = np.asarray(term.coefficient)
    for key in scope:
        table = np.multiply.outer(table, term.values[key])
    return scope, table


def _joined(tables: list[_Table]) -> _Table:
    """The sum of tables over all their controls."""
    scope = tuple(sorted(frozenset().union(*(table[0] for table in tables))))
    total: Array = np.asarray(0.0)
    for own, values in tables:
        sizes = dict(zip(own, values.shape, strict=True))
        total = total + values.reshape([sizes.get(key, 1) for key in scope])
    return scope, total
