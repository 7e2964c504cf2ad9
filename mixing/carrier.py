"""From a travel that moves one surface to the travel that moves another as far."""

from __future__ import annotations

from functools import cached_property
from typing import Any

import numpy as np

from .document import MOST_STATIONS, NARROWEST_PCT, Coupling, Surface
from .errors import Unreachable
from .motion import Motion
from .response import behind_expo
from .rig import Rig
from .throws import Array, throw_mm

DIGITS = 6
"""Of a travel in %, at most: far below a servo's step, far above the rounding of floats."""
_UNSEEN_MM = 0.01
"""A solved travel is rounded as far as it moves no throw by more than this."""
_NO_MATTER = {"number": 0, "label": "", "failsafe": None}
"""What of a channel does not move its surfaces."""


class Carrier:
    """Carries travels of one surface's channel over to that of another, perhaps on another model.

    Throws count from where each stands with its channel at 0 % travel.
    """

    def __init__(self, source_rig: Rig, source: Surface, target_rig: Rig, target: Surface) -> None:
        self.source_rig, self.source = source_rig, source
        self.target_rig, self.target = target_rig, target
        self._from = source_rig.setup.channel(source.channel)
        self._to = target_rig.setup.channel(target.channel)
        self._rest = float(self._deflection(np.zeros(1))[0])
        pulse, _ = target_rig.pulse(self._to, 0.0)
        self._stands = float(target_rig.follow(target, pulse).deflection_deg)

    def _deflection(self, travel: Array) -> Array:
        pulse, _ = self.source_rig.pulse(self._from, travel)
        return self.source_rig.follow(self.source, pulse).deflection_deg

    def travel(self, travel: Array) -> Array:
        """Travel [%] for the other surface, shape (N,); the last that it follows where it cannot follow so far."""
        # The throw is what counts: a smaller chord turns further for the same millimetres.
        wanted = self.wanted_mm(travel)
        half = np.clip(wanted / (2.0 * self.target.chord_mm), -1.0, 1.0)
        deflection = np.clip(np.degrees(2.0 * np.arcsin(half)) + self._stands, -90.0, 90.0)
        pulse = np.array([self._pulse(float(each)) for each in deflection])
        return self.target_rig.travel_of_pulse(self._to, pulse)

    def wanted_mm(self, travel: Array) -> Array:
        """The throw [mm] that travels of this surface's channel ask for, any shape."""
        return throw_mm(deflection_deg=self._deflection(travel) - self._rest, chord_mm=self.source.chord_mm)

    def got_mm(self, travel: Array) -> Array:
        """The throw [mm] that travels of the other surface's channel give, any shape."""
        pulse, _ = self.target_rig.pulse(self._to, travel)
        turned = self.target_rig.follow(self.target, pulse).deflection_deg - self._stands
        return throw_mm(deflection_deg=turned, chord_mm=self.target.chord_mm)

    def solved(self, travel: Array, stance: float, parts: int = 1) -> Array:
        """As `travel`, counted from the stance and rounded: so many such parts together move no throw by 0.01 mm."""
        if self._is_the_same:
            return travel
        base = self.travel(np.array([stance]))[0]
        found: Array = np.round(self.travel(travel + stance) - base, self._digits(parts)) + 0.0
        return found

    def stations(self, coupling: Coupling, rest: float, stance: float, parts: int = 1) -> list[tuple[float, float]]:
        """The stations of a coupling solved for the other surface, and one more at the position `rest` of its control
        where the straight way past it would have that surface stand elsewhere."""
        if self._is_the_same:
            return list(coupling.stations)
        given = np.array(coupling.stations)
        at = float(behind_expo(rest, coupling.expo_pct))
        x = given[:, 0]
        inside = x[0] < at < x[-1] and np.min(np.abs(x - at)) >= NARROWEST_PCT and len(x) < MOST_STATIONS
        places = np.union1d(x, [at]) if inside else x
        travel = self.solved(np.interp(places, *given.T), stance, parts)
        found = dict(zip(places.tolist(), travel.tolist(), strict=True))
        if inside:
            straight = float(np.interp(at, x, [found[place] for place in x.tolist()]))
            if abs(straight - found[at]) * self._steepest_mm <= _UNSEEN_MM:
                del found[at]
        return list(found.items())

    @cached_property
    def _is_the_same(self) -> bool:
        """Whether the other surface is this one: its travels then stay as they were written."""
        ours, theirs = self.source_rig.setup, self.target_rig.setup
        return (
            (self.source.linkage, self.source.chord_mm) == (self.target.linkage, self.target.chord_mm)
            and self._from.model_copy(update=_NO_MATTER) == self._to.model_copy(update=_NO_MATTER)
            and (ours.signal.centre_us, ours.signal.per_100_us) == (theirs.signal.centre_us, theirs.signal.per_100_us)
        )

    def _digits(self, parts: int) -> int:
        """As few decimals of a travel [%] as the throws allow, 0.01 % or finer."""
        moved_mm = parts * self._steepest_mm * 0.5
        return next(n for n in range(2, DIGITS + 1) if n == DIGITS or moved_mm / 10**n <= _UNSEEN_MM)

    @cached_property
    def _steepest_mm(self) -> float:
        """How far 1 % of travel moves a surface on the other's channel, at most."""
        moved = self.target_rig.setup.surfaces_on(self.target.channel)
        return max(Motion(self.target_rig, surface).steepest_mm for surface in moved)

    def failsafe(self) -> Any:
        """What the other surface's channel is to do without a signal, so that it goes where this one goes."""
        told = self._from.failsafe
        if not isinstance(told, float):
            return told
        limit = self.target_rig.setup.signal.limit_pct
        found = round(float(self.travel(np.array([told]))[0]), self._digits(1))
        return min(max(found, -limit), limit) + 0.0

    def _pulse(self, deflection: float) -> float:
        linkage, chord = self.target.linkage, self.target.chord_mm
        centre = self.target_rig.setup.signal.centre_us
        try:
            return float(linkage.pulse_for(deflection, chord_mm=chord, centre_us=centre))
        except Unreachable as unreachable:
            return float(linkage.pulse_for(unreachable.last, chord_mm=chord, centre_us=centre))
