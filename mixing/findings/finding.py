"""What a finding is, and what every rule of the audit works with."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Literal, NamedTuple

from ..differences import Difference, Value, differences
from ..document import Control, Device, Setup, Surface
from ..envelope import Envelope, Positions, envelope_of, tidied
from ..extremes import Peak, highest, lowest
from ..rig import Rig
from ..sums import TravelSum
from ..throws import Array
from ..travels import Travels

Severity = Literal["warning", "caution", "note"]

MOTORS = frozenset({"electric_motor", "engine_throttle"})
"""Kinds of device that turn a propeller."""

RUNNING_PCT = 1e-6
"""A level above this is running."""


class Finding(NamedTuple):
    """One line of the audit."""

    severity: Severity
    """warning: someone can get hurt or a model lost; caution; note."""
    code: str
    """What was found; see `mixing.audit.CODES`."""
    where: str
    """The part of the document, as a place of `mixing.places`: "surfaces/right_flap", "channels/5"."""
    text: str
    """One sentence for a pilot: what happens, where, and by how much."""
    at: Mapping[str, float]
    """Positions of the controls that show it; a control left out is at rest. Empty where no position matters."""


class Examined:
    """A setup under examination: its parts, travels and motions, each worked out once."""

    def __init__(self, setup: Setup, receiver_channels: int | None = None) -> None:
        self.setup = setup
        self.receiver_channels = receiver_channels
        self.rig = Rig(setup)
        self.travels = Travels(self.rig)
        self.motions = self.travels.motions

    @cached_property
    def envelope(self) -> Envelope:
        """The extremes over all phases."""
        return envelope_of(self.travels, self.travels.places)

    @property
    def places(self) -> tuple[float | None, ...]:
        """The positions of the phase control that make a difference."""
        return self.travels.places

    @property
    def phases(self) -> tuple[str | None, ...]:
        """The keys of the phases; (None,) where there are none."""
        return tuple(phase.key for phase in self.setup.phases) or (None,)

    @property
    def motors(self) -> tuple[Device, ...]:
        """Electric motors and throttles."""
        return tuple(device for device in self.setup.devices if device.kind in MOTORS)

    def total(self, number: int, place: float | None) -> TravelSum:
        """The travel of a channel with the phase control there."""
        return self.travels.sum(number, place)

    def with_control(self, number: int, place: float | None, control: Control, position: float) -> TravelSum:
        """The travel of a channel with the phase control and one other control held; it may be the phase control."""
        if control.key == self.rig.phase_control:
            return self.total(number, position)
        return self.total(number, place).with_fixed({control.key: position})

    def with_driver(
        self, number: int, place: float | None, control: Control, *, driving: float, fading: float
    ) -> TravelSum:
        """The travel of a channel with a control at one position where it drives, at another where it fades others.

        The phase control does both by changing the phase: it is where it drives.
        """
        if control.key == self.rig.phase_control:
            return self.total(number, driving)
        return self.total(number, place).with_driver_at(control.key, driving, fading)

    def throw(self, surface: Surface, total: TravelSum, sign: float = 1.0) -> Value:
        """The throw [mm] of a surface over the positions of its controls, times a sign."""
        motion = self.motions[surface.key]
        return Value(total, lambda travel: sign * motion.throw_mm(travel), motion.bends)

    def deflection(self, surface: Surface, total: TravelSum) -> Value:
        """The deflection [degrees] of a surface over the positions of its controls."""
        motion = self.motions[surface.key]
        return Value(total, motion.deflection_deg, motion.bends)

    def most_above(self, first: Value, second: Value) -> Difference:
        """The most that the first value is above the second, anywhere."""
        return differences(self.travels, first, second, both=False)[0]

    def most_apart(self, first: Value, second: Value) -> list[Difference]:
        """The most that the first value is above the second, and the most that the second is above the first."""
        return differences(self.travels, first, second, both=True)

    def never_further(
        self, surface: Surface, first: TravelSum, second: TravelSum, sign: float, limit_mm: float
    ) -> bool:
        """Whether a surface's throw, times a sign, is surely nowhere above that of another travel by more than a limit.

        Quick, by what the travels differ in and how far that can move the surface; where it says False, look closely.
        """
        way = self.motions[surface.key].way
        low, high = self.travels.apart(first, second)
        further = max(-low, high) if way == 0 else high if way * sign > 0 else -low
        return further <= 0.0 or self.motions[surface.key].most_moved_mm(further) <= limit_mm

    def never_apart(self, surface: Surface, first: TravelSum, second: TravelSum, limit_mm: float) -> bool:
        """Whether the throws of a surface at two travels surely differ nowhere by more than a limit [mm]."""
        apart = max(map(abs, self.travels.apart(first, second)))
        return self.motions[surface.key].most_moved_mm(apart) <= limit_mm

    def level(self, device: Device, travel_pct: Array | float) -> Array:
        """How far a device has come from off to full [%] at a travel asked of its channel, 0 … 100."""
        return self.rig.level(device, self.rig.pulse(self.setup.channel(device.channel), travel_pct)[0])

    def most_running(self, device: Device, total: TravelSum, only: Mapping[str, Array] | None = None) -> Peak:
        """The highest level [%] of a device, and positions that give it, said briefly."""
        find = highest if device.full_pct > device.off_pct else lowest
        peak = find(total, only, self.travels.budget)
        held = {key: peak.at[key] for key in only or {} if key in peak.at}
        free = {key: position for key, position in peak.at.items() if key not in held}
        at = tidied(total, free, lambda positions: float(self.level(device, total.value({**positions, **held}))))
        return peak._replace(value=float(self.level(device, peak.value)), at={**at, **held})

    def at(self, place: float | None, positions: Mapping[str, float]) -> Positions:
        """Positions together with that of the phase control."""
        return {**positions, **self.travels.fixed(place)}

    def controls_with(self, purpose: str) -> Iterator[tuple[Control, float]]:
        """The controls for a purpose, each with the end at which it acts fully."""
        for control in self.setup.controls:
            use = control.use(purpose)
            if use is not None:
                yield control, use.full
