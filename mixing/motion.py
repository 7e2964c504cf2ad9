"""What one surface does for the travel of its channel: limits, linkage, and where it turns or bends."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable
from contextlib import suppress
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from .document import Surface
from .errors import Unreachable
from .linkage import WIDEST_DEG, FourBar, Measured
from .rig import Rig
from .throws import Array, throw_mm

_STEP_PCT = 0.5
_WELL_APART_PCT = 1e-3


class Motion:
    """A surface as a function of its channel's travel [%], any shape."""

    def __init__(self, rig: Rig, surface: Surface) -> None:
        self.rig = rig
        self.surface = surface
        self.channel = rig.setup.channel(surface.channel)
        self._known: dict[float, tuple[float, bool]] = {}

    def deflections(self, travels_pct: Iterable[float]) -> list[float]:
        """Deflections [degrees] at single travels [%], worked out together and remembered."""
        return [deflection for deflection, _ in self._followed(list(travels_pct))]

    def blocked(self, travels_pct: Iterable[float]) -> list[bool]:
        """Whether the linkage cannot follow at single travels [%]."""
        return [blocked for _, blocked in self._followed(list(travels_pct))]

    def _followed(self, travels_pct: list[float]) -> list[tuple[float, bool]]:
        new = list({travel for travel in travels_pct if travel not in self._known})
        if new:
            followed = self.rig.follow(self.surface, self.pulse_us(new))
            pairs = zip(followed.deflection_deg.tolist(), followed.blocked.tolist(), strict=True)
            self._known.update(zip(new, pairs, strict=True))
        return [self._known[travel] for travel in travels_pct]

    def certainly_differs(self, travel_pct: float, other_pct: float) -> bool:
        """Whether two travels [%] surely give different deflections, without working the second one out.

        So it is where both lie well apart between the same two bends, where the surface moves one way only.
        """
        low, high = min(travel_pct, other_pct), max(travel_pct, other_pct)
        bends = self._bends
        between = bisect_right(bends, low)
        if high - low < _WELL_APART_PCT or between in (0, len(bends)) or high > bends[between]:
            return False
        deflection, blocked = self._followed([travel_pct])[0]
        return not blocked and abs(deflection) < WIDEST_DEG - 1.0

    def pulse_us(self, travel_pct: ArrayLike) -> Array:
        """Pulse sent [µs], after the limits."""
        return self.rig.pulse(self.channel, travel_pct)[0]

    def deflection_deg(self, travel_pct: ArrayLike) -> Array:
        """Deflection [degrees] after limits and linkage."""
        return np.asarray(self.rig.follow(self.surface, self.pulse_us(travel_pct)).deflection_deg)

    def throw_mm(self, travel_pct: ArrayLike) -> Array:
        """Throw [mm] after limits and linkage."""
        return throw_mm(deflection_deg=self.deflection_deg(travel_pct), chord_mm=self.surface.chord_mm)

    @cached_property
    def _limits(self) -> tuple[float, float]:
        """The travels at which the limits begin, lower first."""
        ends = self.rig.travel_of_pulse(self.channel, [self.channel.low_us, self.channel.high_us])
        return float(np.min(ends)), float(np.max(ends))

    @cached_property
    def _turns(self) -> Array:
        """Travels, sorted, at which the surface turns back: arm and rod in line."""
        linkage = self.surface.linkage
        pulses = linkage.turning_pulses(centre_us=self.rig.setup.signal.centre_us)
        if isinstance(linkage, FourBar) and pulses.size and np.all(np.isinf(linkage.reach())):
            # An arm that turns all the way round comes there again each turn.
            turn = 360_000.0 / linkage.servo_deg_per_1000_us
            pulses = np.unique(np.concatenate([pulses + count * turn for count in range(-4, 5)]))
        return np.sort(self.rig.travel_of_pulse(self.channel, pulses))

    def turns_within(self, low_pct: float, high_pct: float) -> Array:
        """Travels between these two, limits kept, at which the surface turns back."""
        low, high = np.clip([low_pct, high_pct], *self._limits)
        return np.extract((self._turns > low) & (self._turns < high), self._turns)

    @cached_property
    def bends(self) -> Array:
        """Travels, sorted, at which the throw turns, bends or stops: limits, readings of a ruler, ends of reach, and
        where the hinge turns no further."""
        linkage = self.surface.linkage
        pulses = self._quarter_turns()
        if isinstance(linkage, Measured):
            pulses += [pulse for pulse, _ in linkage.points]
        elif isinstance(linkage, FourBar):
            reach = np.array(linkage.reach()) / linkage.servo_deg_per_1000_us * 1000.0 + linkage.neutral_us
            pulses += reach[np.isfinite(reach)].tolist()
        found = np.concatenate([self._limits, self._turns, self.rig.travel_of_pulse(self.channel, pulses)])
        return np.unique(np.clip(found, *self._limits))

    def _quarter_turns(self) -> list[float]:
        """Pulses [µs] at which the surface has turned by 90 degrees, as far as its linkage takes it there."""
        linkage, centre_us = self.surface.linkage, self.rig.setup.signal.centre_us
        pulses = []
        for angle in (-WIDEST_DEG, WIDEST_DEG):
            with suppress(Unreachable):
                pulses.append(float(linkage.pulse_for(angle, chord_mm=self.surface.chord_mm, centre_us=centre_us)))
        return pulses

    @cached_property
    def _bends(self) -> list[float]:
        return list(map(float, self.bends))

    @cached_property
    def way(self) -> int:
        """+1 where more travel lowers the surface (rudder: left) all the way, −1 where it raises it, 0 if it turns."""
        if self.turns_within(*self._limits).size:
            return 0
        ends = self.deflections(self._limits)
        return int(np.sign(ends[1] - ends[0]))

    def most_moved_deg(self, travel_pct: float) -> float:
        """No change of the travel by so much [%] moves the surface by more than this [degrees]."""
        return self._most_moved(self._way_deg, travel_pct)

    def most_moved_mm(self, travel_pct: float) -> float:
        """No change of the travel by so much [%] moves the throw by more than this [mm]."""
        return self._most_moved(self._way_mm, travel_pct)

    @cached_property
    def steepest_mm(self) -> float:
        """The most that 1 % of travel moves the throw [mm], where it moves most."""
        return float(np.max(np.diff(self._way_mm))) / _STEP_PCT

    def most_unlike_mm(self, other: Motion, turned: float, sign: float) -> float:
        """The most by which the throw at a travel differs from `sign` times another's at `turned` times it [mm].

        Looked at in small steps over all that the limits of both let through.
        """
        ends = np.concatenate([self._limits, turned * np.asarray(other._limits)])
        steps = np.arange(np.min(ends), np.max(ends) + _STEP_PCT, _STEP_PCT)
        places = np.concatenate([steps, self.bends, turned * other.bends])
        return float(np.max(np.abs(self.throw_mm(places) - sign * other.throw_mm(turned * places))))

    @staticmethod
    def _most_moved(way: Array, travel_pct: float) -> float:
        if not np.isfinite(travel_pct):
            return np.inf
        # One step more than the change spans, since it may begin between two of them.
        steps = min(int(np.ceil(travel_pct / _STEP_PCT)) + 1, len(way) - 1)
        return float(np.max(way[steps:] - way[:-steps]))

    @cached_property
    def _way_deg(self) -> Array:
        return self._gone(self.deflection_deg)

    @cached_property
    def _way_mm(self) -> Array:
        return self._gone(self.throw_mm)

    def _gone(self, value: Callable[[Array], Array]) -> Array:
        """How far a value has gone in all, to and fro, at even steps of the travel from one limit to the other.

        Between two of the places looked at it goes one way only, since every turn is among them.
        """
        low, high = self._limits
        steps = low + _STEP_PCT * np.arange(int(np.ceil((high - low) / _STEP_PCT)) + 2)
        places = np.union1d(steps, self.bends)
        gone = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(value(places))))])
        return np.asarray(gone[np.searchsorted(places, steps)])
