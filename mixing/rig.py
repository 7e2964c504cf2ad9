"""Rig: a setup compiled for evaluation. All arrays over positions; no Python loop over them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .document import Channel, Coupling, Device, Setup, Surface
from .errors import PositionError
from .language import say
from .linkage import BLOCK, Followed
from .response import Response
from .throws import Array, deflection_deg
from .wording import given as figure
from .wording import no_control, no_phase


@dataclass(frozen=True)
class Frame:
    """What every channel, surface and device does at the positions that were asked for.

    All arrays have the shape that the positions broadcast to.
    """

    travel_pct: Mapping[int, Array]
    """By channel: the travel asked for, before the limits [%]."""
    pulse_us: Mapping[int, Array]
    """By channel: the pulse sent, after the limits [µs]."""
    held: Mapping[int, NDArray[np.bool_]]
    """By channel: where the limits cut it."""
    throw_mm: Mapping[str, Array]
    """By surface [mm], positive = trailing edge down (rudder: left)."""
    chord_mm: Mapping[str, float]
    """By surface: the chord that its throw was worked out with [mm]."""
    blocked: Mapping[str, NDArray[np.bool_]]
    """By surface: where its linkage cannot follow; the deflection is then the last that it reaches."""
    level_pct: Mapping[str, Array]
    """By device: how far it has come from off to full, 0 … 100."""

    @cached_property
    def deflection_deg(self) -> Mapping[str, Array]:
        """By surface [degrees], same sign as the throw. Worked out when first asked for: many need throws only."""
        return {
            key: deflection_deg(throw_mm=throw, chord_mm=self.chord_mm[key]) for key, throw in self.throw_mm.items()
        }


class Rig:
    """A setup compiled for forward evaluation.

    Examples
    --------
    >>> rig = Rig(setup)
    >>> rig.at({"lever": [-100, 0], "roll": 50}).throw_mm["right_flap"].round(1).tolist()
    [45.8, 22.8]
    """

    def __init__(self, setup: Setup) -> None:
        self.setup = setup
        self.phase_control: str | None = setup.phases[0].control if setup.phases else None
        self._controls = {control.key: control for control in setup.controls}
        self._phase_at = {phase.position: phase.key for phase in setup.phases}
        self._position_of = {phase.key: phase.position for phase in setup.phases}
        self._stances = {phase.key: phase.stance for phase in setup.phases}
        self._offs = {device.channel: device.off_pct for device in setup.devices}
        self._at_work: dict[str | None, tuple[Coupling, ...]] = {}

    def couplings(self, phase: str | None) -> tuple[Coupling, ...]:
        """The couplings at work in a phase: its own where there is one for a control and channel, else the general."""
        known = self._at_work.get(phase)
        if known is None:
            known = self._at_work[phase] = self._chosen(phase)
        return known

    def _chosen(self, phase: str | None) -> tuple[Coupling, ...]:
        chosen: dict[tuple[str, int], Coupling] = {}
        for coupling in self.setup.couplings:
            place = coupling.control, coupling.channel
            if coupling.phase == phase or (coupling.phase is None and place not in chosen):
                chosen[place] = coupling
        return tuple(chosen.values())

    def phase_at(self, position: float) -> str | None:
        """The phase at a position of the phase control: the first where the position has none; None without phases."""
        return self._phase_at.get(position, self.setup.phases[0].key) if self.setup.phases else None

    def at(self, positions: Mapping[str, ArrayLike], phase: str | None = None) -> Frame:
        """Evaluate.

        Parameters
        ----------
        positions : control key → position(s) [%], −100 … 100
            Scalars or arrays that broadcast together. A control left out is at rest.
        phase : key of a phase, optional
            Sets the phase control.

        Returns
        -------
        Frame

        Raises
        ------
        PositionError
            An unknown control or phase, a position out of range or that a switch does not have, or a position
            of the phase control that contradicts `phase`.

        Examples
        --------
        >>> Rig(setup).at({"flightphase": [0, -100], "roll": 50}).throw_mm["right_aileron"].round(1).tolist()
        [-7.9, -6.5]
        """
        given = {key: self._checked(key, value) for key, value in positions.items()}
        if phase is not None:
            self._set_phase(given, phase)
        try:
            shape = np.broadcast_shapes(*(value.shape for value in given.values()))
        except ValueError:
            sizes = ", ".join(f"{key} {value.shape}" for key, value in given.items())
            text = say("the positions do not broadcast together: {sizes}; give arrays of one shape", sizes=sizes)
            raise PositionError(text) from None
        return self._evaluate(given, shape)

    def _checked(self, key: str, value: ArrayLike) -> Array:
        control = self._controls.get(key)
        if control is None:
            raise PositionError(no_control(key, self._controls))
        try:
            position = np.asarray(value, dtype=np.float64)
        except (TypeError, ValueError):
            told = say(
                "{control} was given {value}; give a position in % or an array of positions",
                control=key,
                value=repr(value),
            )
            raise PositionError(told) from None
        allowed = np.isin(position, control.positions) if control.positions else np.abs(position) <= 100.0
        if not np.all(allowed):
            wrong = position[~allowed].flat[0] if position.ndim else float(position)
            choice = ", ".join(map(figure, control.positions)) if control.positions else "−100 … 100"
            told = say("{control} was given {value}; give {choice}", control=key, value=figure(wrong), choice=choice)
            raise PositionError(told)
        return position

    def _set_phase(self, given: dict[str, Array], phase: str) -> None:
        if phase not in self._position_of or self.phase_control is None:
            raise PositionError(no_phase(phase, self._position_of))
        wanted = self._position_of[phase]
        said = given.get(self.phase_control)
        if said is not None and np.any(said != wanted):
            text = say(
                "{control} was given another position than {position}, that of phase {phase}; leave it out",
                control=self.phase_control,
                position=figure(wanted),
                phase=phase,
            )
            raise PositionError(text)
        given[self.phase_control] = np.asarray(wanted)

    def _evaluate(self, given: Mapping[str, Array], shape: tuple[int, ...]) -> Frame:
        frame = self._empty(shape)
        size = int(np.prod(shape))
        # A control held still stays a single number: its responses are then worked out once, not at every position.
        flat = {
            key: value.reshape(()) if value.size == 1 else np.broadcast_to(value, shape).ravel()
            for key, value in given.items()
        }
        switch = flat.get(self.phase_control or "", np.asarray(self._rest_of_phase_control))
        if switch.ndim == 0:
            self._fill(frame, self.phase_at(float(switch)), flat, size, None)
            return frame
        for position in np.unique(switch):
            where = np.flatnonzero(switch == position)
            chosen = {key: value if value.ndim == 0 else value[where] for key, value in flat.items()}
            self._fill(frame, self.phase_at(float(position)), chosen, len(where), where)
        return frame

    @property
    def _rest_of_phase_control(self) -> float:
        return self._controls[self.phase_control].rest if self.phase_control else 0.0

    def _empty(self, shape: tuple[int, ...]) -> Frame:
        channels = [channel.number for channel in self.setup.channels]
        surfaces = [surface.key for surface in self.setup.surfaces]
        return Frame(
            travel_pct={number: np.empty(shape) for number in channels},
            pulse_us={number: np.empty(shape) for number in channels},
            held={number: np.empty(shape, dtype=np.bool_) for number in channels},
            throw_mm={key: np.empty(shape) for key in surfaces},
            chord_mm={surface.key: surface.chord_mm for surface in self.setup.surfaces},
            blocked={key: np.empty(shape, dtype=np.bool_) for key in surfaces},
            level_pct={device.key: np.empty(shape) for device in self.setup.devices},
        )

    def _fill(
        self, frame: Frame, phase: str | None, given: Mapping[str, Array], size: int, where: NDArray[np.intp] | None
    ) -> None:
        """Evaluate within one phase, in blocks that stay in the processor's cache, and put the answers in the frame."""
        couplings = self.couplings(phase)
        for start in range(0, size, BLOCK):
            block = slice(start, min(start + BLOCK, size))
            target = block if where is None else where[block]
            part = {key: value if value.ndim == 0 else value[block] for key, value in given.items()}
            self._fill_block(frame, phase, couplings, part, target)

    def _fill_block(
        self,
        frame: Frame,
        phase: str | None,
        couplings: tuple[Coupling, ...],
        given: Mapping[str, Array],
        target: slice | NDArray[np.intp],
    ) -> None:
        travel = self._travel(phase, couplings, given)
        pulses = {}
        for channel in self.setup.channels:
            number = channel.number
            pulses[number], held = self.pulse(channel, travel[number])
            frame.travel_pct[number].reshape(-1)[target] = travel[number]
            frame.pulse_us[number].reshape(-1)[target] = pulses[number]
            frame.held[number].reshape(-1)[target] = held
        for surface in self.setup.surfaces:
            followed = self.follow(surface, pulses[surface.channel])
            frame.throw_mm[surface.key].reshape(-1)[target] = followed.throw_mm(chord_mm=surface.chord_mm)
            frame.blocked[surface.key].reshape(-1)[target] = followed.blocked
        for device in self.setup.devices:
            level = self.level(device, pulses[device.channel])
            frame.level_pct[device.key].reshape(-1)[target] = level

    def _travel(
        self, phase: str | None, couplings: tuple[Coupling, ...], given: Mapping[str, Array]
    ) -> dict[int, Array]:
        """Travel [%] of every channel within one phase: stance, responses, fades, devices counted from off."""
        stance = self._stances[phase] if phase is not None else {}
        total = {
            channel.number: np.asarray(stance.get(channel.number, self._offs.get(channel.number, 0.0)))
            for channel in self.setup.channels
        }
        known: dict[tuple[str, bytes], Array] = {}

        def along(control: str, line: Response) -> Array:
            # Two sides of a model often share a response, and what a lever fades nearly always its factor.
            value = known.get((control, line.key))
            if value is None:
                value = known[control, line.key] = line(self._position(given, control))
            return value

        for coupling in couplings:
            share = along(coupling.control, coupling.response)
            off = self._offs.get(coupling.channel)
            if off is not None:
                share = share - off
            for fade in coupling.fades:
                share = share * (along(fade.control, fade.factor) / 100.0)
            total[coupling.channel] = total[coupling.channel] + share
        return total

    def _position(self, given: Mapping[str, Array], key: str) -> Array:
        position = given.get(key)
        return np.asarray(self._controls[key].rest) if position is None else position

    def level(self, device: Device, pulse_us: ArrayLike) -> Array:
        """How far the travel of a pulse [µs] has come from off to full [%], 0 … 100, any shape."""
        travel = self.travel_of_pulse(self.setup.channel(device.channel), pulse_us)
        return np.clip(100.0 * (travel - device.off_pct) / (device.full_pct - device.off_pct), 0.0, 100.0)

    def pulse(self, channel: Channel, travel_pct: ArrayLike) -> tuple[Array, NDArray[np.bool_]]:
        """Pulse sent [µs] for a travel [%], any shape, and where the limits cut it."""
        travel = np.asarray(travel_pct, dtype=np.float64)
        asked = channel.centre_us + self._us_per_pct(channel) * travel
        # Rounding in the sum must not call a travel cut that just touches its limit.
        slack = 1e-9 * self.setup.signal.per_100_us
        held = (asked < channel.low_us - slack) | (asked > channel.high_us + slack)
        return np.asarray(np.minimum(np.maximum(asked, channel.low_us), channel.high_us)), held

    def travel_of_pulse(self, channel: Channel, pulse_us: ArrayLike) -> Array:
        """Travel [%] that asks for a pulse [µs], any shape: the inverse of `pulse` within the limits."""
        return np.asarray((np.asarray(pulse_us, dtype=np.float64) - channel.centre_us) / self._us_per_pct(channel))

    def _us_per_pct(self, channel: Channel) -> float:
        return (-1.0 if channel.reversed else 1.0) * self.setup.signal.per_100_us / 100.0

    def follow(self, surface: Surface, pulse_us: ArrayLike) -> Followed:
        """Deflection [degrees] of a surface at pulses [µs], any shape, and where its linkage cannot follow."""
        return surface.linkage.follow(pulse_us, chord_mm=surface.chord_mm, centre_us=self.setup.signal.centre_us)
