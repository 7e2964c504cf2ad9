"""A channel's travel as a sum of products, within one phase.

    travel = base + Σ coefficient · Π polyline(position of one control)

Each product is a response and the factors of its fades, so it never holds one control twice, and the whole is linear
in each control between two neighbouring stations. Hence its extremes lie where every control stands at a station.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from .document import Control
from .response import Response
from .throws import Array


@dataclass(frozen=True, eq=False)
class Line:
    """A value over the positions of one control: its stations and ends, or a switch's positions."""

    control: str
    x: Array
    y: Array

    @classmethod
    def over(cls, control: Control, response: Response, *, minus: float = 0.0, scale: float = 1.0) -> Line:
        """A response over what its control can do: (response − minus) · scale."""
        if not control.positions and response.x[0] == -100.0 and response.x[-1] == 100.0:
            return cls(control.key, response.x, (response.travel - minus) * scale)
        x = np.array(control.positions) if control.positions else np.union1d(response.x, [-100.0, 100.0])
        return cls(control.key, x, (response(x) - minus) * scale)

    @cached_property
    def key(self) -> tuple[str, bytes, bytes]:
        """Equal for polylines that are the same but for rounding."""
        return self.control, np.round(self.x, 9).tobytes(), (np.round(self.y, 9) + 0.0).tobytes()

    @cached_property
    def flat(self) -> bool:
        """Whether the control moves nothing here."""
        return bool(np.all(self.y == self.y[0]))

    def __call__(self, position: ArrayLike) -> Array:
        """Values at positions of any shape."""
        return np.asarray(np.interp(np.asarray(position, dtype=np.float64), self.x, self.y))

    @cached_property
    def _lists(self) -> tuple[list[float], list[float]]:
        return self.x.tolist(), self.y.tolist()

    def value(self, position: float) -> float:
        """The value at one position, the same as an array of one has: for single numbers plain Python is quicker."""
        xs, ys = self._lists
        right = bisect_right(xs, position)
        if right == 0:
            return ys[0]
        if right == len(xs):
            return ys[-1]
        start, before = xs[right - 1], ys[right - 1]
        if start == position:
            return before
        return (ys[right] - before) / (xs[right] - start) * (position - start) + before

    def over_positions(self, x: Array) -> Array:
        """Values at positions (K,); at its own stations they are known."""
        return self.y if x is self.x else self(x)

    def mirrored(self) -> Line:
        """The same with the control on its other side."""
        return replace(self, x=-self.x[::-1] + 0.0, y=self.y[::-1])


@dataclass(frozen=True, eq=False)
class Product:
    """A coefficient times polylines of different controls: the response to the one that drives it, and its fades."""

    coefficient: float
    parts: tuple[Line, ...]
    driver: str

    @cached_property
    def key(self) -> tuple[object, ...]:
        """Equal for products that are the same but for rounding."""
        return (round(self.coefficient, 9), *sorted(part.key for part in self.parts))

    @cached_property
    def controls(self) -> frozenset[str]:
        """The controls that move it."""
        return frozenset(part.control for part in self.parts)

    def folded(self) -> Product:
        """The same with its flat parts taken into the coefficient."""
        if not any(part.flat for part in self.parts):
            return self
        coefficient = self.coefficient
        for part in self.parts:
            if part.flat:
                coefficient *= float(part.y[0])
        return Product(coefficient, tuple(part for part in self.parts if not part.flat), self.driver)

    def negated(self) -> Product:
        """Minus its value."""
        return replace(self, coefficient=-self.coefficient)


@dataclass(frozen=True, eq=False)
class TravelSum:
    """The travel of one channel [%] over the positions of its controls, within one phase."""

    base: float
    products: tuple[Product, ...]
    rests: Mapping[str, float]
    switches: frozenset[str] = field(default=frozenset())

    @classmethod
    def of(
        cls, base: float, products: Iterable[Product], rests: Mapping[str, float], switches: frozenset[str]
    ) -> TravelSum:
        """The sum in its simplest form: nothing flat, nothing that is 0."""
        kept: list[Product] = []
        for product in products:
            simple = product.folded()
            if not simple.parts:
                base += simple.coefficient
            elif simple.coefficient != 0.0:
                kept.append(simple)
        return cls(base, tuple(kept), rests, switches)

    @cached_property
    def key(self) -> tuple[object, ...]:
        """Equal for sums that differ by a constant and rounding only."""
        return tuple(product.key for product in self.products)

    def same_as(self, other: TravelSum) -> bool:
        """Whether both are the same but for rounding."""
        return self.key == other.key and abs(self.base - other.base) < 1e-9

    @cached_property
    def controls(self) -> tuple[str, ...]:
        """The controls that move it, in the order of their keys."""
        return tuple(sorted(frozenset().union(*(product.controls for product in self.products))))

    @cached_property
    def stations(self) -> dict[str, Array]:
        """By control: every position at which it is not straight, and its ends; a switch's positions."""
        found: dict[str, Array] = {}
        for product in self.products:
            for part in product.parts:
                known = found.get(part.control)
                if known is None:
                    found[part.control] = part.x
                elif known is not part.x and not np.array_equal(known, part.x):
                    found[part.control] = np.union1d(known, part.x)
        return found

    def at(self, positions: Mapping[str, ArrayLike]) -> Array:
        """Travel [%] at positions that broadcast together; a control left out is at rest."""
        total: Array = np.asarray(self.base)
        for product in self.products:
            share: Array = np.asarray(product.coefficient)
            for part in product.parts:
                share = share * part(positions.get(part.control, self.rests[part.control]))
            total = total + share
        return total

    def value(self, positions: Mapping[str, float]) -> float:
        """The travel [%] at one position of each control, the same as `at` gives; one left out is at rest."""
        total = self.base
        for product in self.products:
            share = product.coefficient
            for part in product.parts:
                position = positions.get(part.control)
                share *= part.value(self.rests[part.control] if position is None else position)
            total += share
        return total

    def with_fixed(self, positions: Mapping[str, float]) -> TravelSum:
        """The same with some controls held."""
        if not any(control in positions for control in self.controls):
            return self
        held = (_held(product, positions) for product in self.products)
        return self.of(self.base, held, self.rests, self.switches)

    def with_driver_at(self, control: str, driving: float, fading: float) -> TravelSum:
        """The same with a control held: at one position where it drives, at another where it fades others."""
        held = (
            _held(product, {control: driving if product.driver == control else fading}) for product in self.products
        )
        return self.of(self.base, held, self.rests, self.switches)

    def driven_apart(self, control: str, here: float, there: float, held: Mapping[str, float]) -> float:
        """How far [%] a control can drive the travel from one of its positions to another; of its fades those by a
        control that is held take what they take there, the others nothing."""
        total = 0.0
        for product in self.products:
            if product.driver == control:
                ends = [_held(product, {**held, control: position}) for position in (here, there)]
                fades = np.prod([np.max(np.abs(part.y)) for part in ends[0].parts])
                total += abs(ends[0].coefficient - ends[1].coefficient) * float(fades)
        return total

    def mirrored(self, controls: frozenset[str]) -> TravelSum:
        """The same with these controls on their other side."""
        products = tuple(
            replace(product, parts=tuple(p.mirrored() if p.control in controls else p for p in product.parts))
            for product in self.products
        )
        return replace(self, products=products, rests={k: -v if k in controls else v for k, v in self.rests.items()})

    def negated(self) -> TravelSum:
        """Minus the travel."""
        return replace(self, base=-self.base, products=tuple(product.negated() for product in self.products))

    def compared_with(self, other: TravelSum) -> tuple[list[Product], list[Product], list[Product]]:
        """The products that both sums have, those of this one only, and those of the other only."""
        theirs: dict[tuple[object, ...], list[Product]] = {}
        for one in other.products:
            theirs.setdefault(one.key, []).append(one)
        shared: list[Product] = []
        own: list[Product] = []
        for one in self.products:
            twins = theirs.get(one.key)
            if twins:
                twins.pop()
                shared.append(one)
            else:
                own.append(one)
        return shared, own, [one for left in theirs.values() for one in left]


def _held(product: Product, positions: Mapping[str, float]) -> Product:
    if product.controls.isdisjoint(positions):
        return product
    coefficient = product.coefficient
    parts = []
    for part in product.parts:
        if part.control in positions:
            coefficient *= part.value(positions[part.control])
        else:
            parts.append(part)
    return Product(coefficient, tuple(parts), product.driver)
