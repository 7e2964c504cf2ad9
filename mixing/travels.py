"""Every channel's travel as a sum, in every phase, with its extremes: worked out once and kept."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from math import inf

from .document import Coupling
from .extremes import Budget, Peak, highest, lowest
from .motion import Motion
from .rig import Rig
from .sums import Line, Product, TravelSum


class Travels:
    """The sums of every channel, at every position of the phase control that makes a difference."""

    def __init__(self, rig: Rig) -> None:
        self.rig = rig
        self.setup = rig.setup
        self._controls = {control.key: control for control in self.setup.controls}
        self._rests = {control.key: control.rest for control in self.setup.controls}
        self._switches = frozenset(control.key for control in self.setup.controls if control.positions)
        self._offs = {device.channel: device.off_pct for device in self.setup.devices}
        self._stances = {phase.key: phase.stance for phase in self.setup.phases}
        self._sums: dict[tuple[int, float | None], TravelSum] = {}
        self._without_stances: dict[tuple[int, str | None], TravelSum] = {}
        self._products: dict[tuple[str, int, str], Product] = {}
        self._at_work: dict[str | None, dict[int, list[Coupling]]] = {}
        self._peaks: dict[tuple[object, ...], tuple[Peak, Peak]] = {}
        self.budget = Budget()

    @cached_property
    def places(self) -> tuple[float | None, ...]:
        """Positions of the phase control, one of each kind, its rest first; (None,) where there are no phases.

        A position without a phase is left out where its phase has one of its own and the switch does nothing else.
        """
        if self.rig.phase_control is None:
            return (None,)
        own = [phase.position for phase in self.setup.phases]
        others = [position for position in self._phase_positions if position not in own]
        found = (*own, *(others if self._moves_by_itself else ()))
        return tuple(sorted(found, key=lambda place: place != self._rests[self.rig.phase_control or ""]))

    @cached_property
    def motions(self) -> dict[str, Motion]:
        """What each surface makes of its channel's travel, by key."""
        return {surface.key: Motion(self.rig, surface) for surface in self.setup.surfaces}

    @property
    def _phase_positions(self) -> tuple[float, ...]:
        return self._controls[self.rig.phase_control or ""].positions or ()

    @cached_property
    def _moves_by_itself(self) -> bool:
        """Whether the phase control also drives or fades something."""
        key = self.rig.phase_control
        return any(
            coupling.control == key or any(fade.control == key for fade in coupling.fades)
            for coupling in self.setup.couplings
        )

    def places_of(self, phase: str | None) -> tuple[float | None, ...]:
        """The place of one phase, or all of them.

        Raises
        ------
        PositionError
            No such phase.
        """
        if phase is None:
            return self.places
        self.rig.at({}, phase=phase)
        return (next(one.position for one in self.setup.phases if one.key == phase),)

    def phase_at(self, place: float | None) -> str | None:
        """The key of the phase there."""
        return None if place is None else self.rig.phase_at(place)

    def fixed(self, place: float | None) -> dict[str, float]:
        """The phase control's position as a mapping; empty without phases."""
        return {} if place is None or self.rig.phase_control is None else {self.rig.phase_control: place}

    def sum(self, channel: int, place: float | None) -> TravelSum:
        """The travel of a channel with the phase control there."""
        known = self._sums.get((channel, place))
        if known is None:
            known = self._sums[channel, place] = self._build(channel, place)
        return known

    def _build(self, channel: int, place: float | None) -> TravelSum:
        phase = self.phase_at(place)
        total = self._coupled(channel, phase)
        stance = None if phase is None else self._stances[phase].get(channel)
        if stance is not None:
            total = replace(total, base=stance + (total.base - self._offs.get(channel, 0.0)))
        return total.with_fixed(self.fixed(place))

    def without_stance(self, channel: int, phase: str | None) -> float:
        """What a phase's couplings alone ask of a channel with all controls, the phase control too, at rest [%]."""
        return self._coupled(channel, phase).value({})

    def _coupled(self, channel: int, phase: str | None) -> TravelSum:
        """The travel of a channel in a phase, the stance left out and the phase control free."""
        known = self._without_stances.get((channel, phase))
        if known is None:
            off = self._offs.get(channel, 0.0)
            products = [self._product(coupling, off) for coupling in self._working(phase).get(channel, ())]
            known = TravelSum.of(off, products, self._rests, self._switches)
            self._without_stances[channel, phase] = known
        return known

    def _working(self, phase: str | None) -> dict[int, list[Coupling]]:
        """The couplings at work in a phase, by channel."""
        known = self._at_work.get(phase)
        if known is None:
            known = self._at_work[phase] = {}
            for coupling in self.rig.couplings(phase):
                known.setdefault(coupling.channel, []).append(coupling)
        return known

    def _product(self, coupling: Coupling, off: float) -> Product:
        known = self._products.get(coupling.place)
        if known is None:
            known = self._products[coupling.place] = self._compiled(coupling, off)
        return known

    def _compiled(self, coupling: Coupling, off: float) -> Product:
        own = Line.over(self._controls[coupling.control], coupling.response, minus=off)
        fades = (Line.over(self._controls[fade.control], fade.factor, scale=0.01) for fade in coupling.fades)
        return Product(1.0, (own, *fades), coupling.control)

    def peaks(self, total: TravelSum) -> tuple[Peak, Peak]:
        """The lowest and highest value of a sum."""
        known = self._peaks.get(total.key)
        if known is None:
            known = lowest(total, budget=self.budget), highest(total, budget=self.budget)
            self._peaks[total.key] = known
        low, high = known
        return low._replace(value=total.value(low.at)), high._replace(value=total.value(high.at))

    def apart(self, first: TravelSum, second: TravelSum) -> tuple[float, float]:
        """The least and the most that the first sum is above the second [%]; infinite where that is not certain."""
        _, own, other = first.compared_with(second)
        if not own and not other:
            return first.base - second.base, first.base - second.base
        products = (*own, *(one.negated() for one in other))
        gap = TravelSum(first.base - second.base, products, first.rests, first.switches)
        low, high = self.peaks(gap)
        return (low.value, high.value) if low.exact and high.exact else (-inf, inf)
