"""What one surface does for the travel of its channel: limits, linkage, and where it turns or bends."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from .document import Surface
from .linkage import FourBar, Measured
from .rig import Rig
from .throws import Array, throw_mm


class Motion:
    """A surface as a function of its channel's travel [%], any shape."""

    def __init__(self, rig: Rig, surface: Surface) -> None:
        self.rig = rig
        self.surface = surface
        self.channel = rig.setup.channel(surface.channel)

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
        """Travels, sorted, at which the throw turns, bends or stops: limits, readings of a ruler, ends of reach."""
        linkage = self.surface.linkage
        pulses: list[float] = []
        if isinstance(linkage, Measured):
            pulses = [pulse for pulse, _ in linkage.points]
        elif isinstance(linkage, FourBar):
            reach = np.array(linkage.reach()) / linkage.servo_deg_per_1000_us * 1000.0 + linkage.neutral_us
            pulses = reach[np.isfinite(reach)].tolist()
        found = np.concatenate([self._limits, self._turns, self.rig.travel_of_pulse(self.channel, pulses)])
        return np.unique(np.clip(found, *self._limits))
