"""Rig: a setup compiled for evaluation. All arrays over positions; no Python loop over them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .document import Channel, Coupling, Setup, Surface
from .errors import PositionError
from .linkage import Followed
from .throws import Array, throw_mm


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
    deflection_deg: Mapping[str, Array]
    """By surface [degrees], positive = trailing edge down (rudder: left)."""
    throw_mm: Mapping[str, Array]
    """By surface [mm], same sign."""
    blocked: Mapping[str, NDArray[np.bool_]]
    """By surface: where its linkage cannot follow; the deflection is then the last that it reaches."""
    level_pct: Mapping[str, Array]
    """By device: how far it has come from off to full, 0 … 100."""


class Rig:
    """A setup compiled for forward evaluation.

    Examples
    --------
    >>> rig = Rig(setup)                                                        # doctest: +SKIP
    >>> rig.at({"lever": [-100, 0, 100], "roll": 50}).throw_mm["right_flap"]    # doctest: +SKIP
    """

    def __init__(self, setup: Setup) -> None:
        self.setup = setup
        self.phase_control: str | None = setup.phases[0].control if setup.phases else None
        self._controls = {control.key: control for control in setup.controls}
        self._phase_at = {phase.position: phase.key for phase in setup.phases}
        self._position_of = {phase.key: phase.position for phase in setup.phases}
        self._stances = {phase.key: phase.stance for phase in setup.phases}
        self._offs = {device.channel: device.off_pct for device in setup.devices}

    def couplings(self, phase: str | None) -> tuple[Coupling, ...]:
        """The couplings at work in a phase: its own where there is one for a control and channel, else the general."""
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
        """
        given = {key: self._checked(key, value) for key, value in positions.items()}
        if phase is not None:
            self._set_phase(given, phase)
        try:
            shape = np.broadcast_shapes(*(value.shape for value in given.values()))
        except ValueError:
            sizes = ", ".join(f"{key} {value.shape}" for key, value in given.items())
            raise PositionError(f"the positions do not broadcast together: {sizes}; give arrays of one shape") from None
        travel = self._travel(given, shape)
        return self._frame(travel)

    def _checked(self, key: str, value: ArrayLike) -> Array:
        control = self._controls.get(key)
        if control is None:
            raise PositionError(f'there is no control "{key}"; give one of {", ".join(self._controls)}')
        try:
            position = np.asarray(value, dtype=np.float64)
        except (TypeError, ValueError):
            raise PositionError(f"{key} was given {value!r}; give a position in % or an array of positions") from None
        allowed = np.isin(position, control.positions) if control.positions else np.abs(position) <= 100.0
        if not np.all(allowed):
            wrong = position[~allowed].flat[0] if position.ndim else float(position)
            choice = ", ".join(f"{p:g}" for p in control.positions) if control.positions else "−100 … 100"
            raise PositionError(f"{key} was given {wrong:g}; give {choice}")
        return position

    def _set_phase(self, given: dict[str, Array], phase: str) -> None:
        if phase not in self._position_of or self.phase_control is None:
            known = ", ".join(self._position_of) or "none: this setup has no phases"
            raise PositionError(f'there is no phase "{phase}"; give one of {known}')
        wanted = self._position_of[phase]
        said = given.get(self.phase_control)
        if said is not None and np.any(said != wanted):
            raise PositionError(
                f"{self.phase_control} was given another position than {wanted:g}, that of phase {phase}; leave it out"
            )
        given[self.phase_control] = np.asarray(wanted)

    def _travel(self, given: Mapping[str, Array], shape: tuple[int, ...]) -> dict[int, Array]:
        if self.phase_control is None:
            return self._travel_in(None, given, shape)
        switch = given.get(self.phase_control, np.asarray(self._controls[self.phase_control].rest))
        if switch.size == 1:
            return self._travel_in(self.phase_at(float(switch.flat[0])), given, shape)
        switch = np.broadcast_to(switch, shape)
        total = {channel.number: np.empty(shape) for channel in self.setup.channels}
        full = {key: np.broadcast_to(value, shape) for key, value in given.items()}
        for position in np.unique(switch):
            mask = switch == position
            part = {key: value[mask] for key, value in full.items()}
            inside = self._travel_in(self.phase_at(float(position)), part, (int(mask.sum()),))
            for number, travel in inside.items():
                total[number][mask] = travel
        return total

    def _travel_in(self, phase: str | None, given: Mapping[str, Array], shape: tuple[int, ...]) -> dict[int, Array]:
        """Travel of every channel within one phase: DESIGN's steps 3 to 5, [%]."""
        total: dict[int, Array] = {}
        stance = self._stances[phase] if phase is not None else {}
        for channel in self.setup.channels:
            total[channel.number] = np.full(shape, stance.get(channel.number, self._offs.get(channel.number, 0.0)))
        for coupling in self.couplings(phase):
            share = coupling.response(self._position(given, coupling.control)) - self._offs.get(coupling.channel, 0.0)
            for fade in coupling.fades:
                share = share * (fade.factor(self._position(given, fade.control)) / 100.0)
            total[coupling.channel] = total[coupling.channel] + share
        return total

    def _position(self, given: Mapping[str, Array], key: str) -> Array:
        position = given.get(key)
        return np.asarray(self._controls[key].rest) if position is None else position

    def _frame(self, travel: dict[int, Array]) -> Frame:
        pulse, held = {}, {}
        for channel in self.setup.channels:
            pulse[channel.number], held[channel.number] = self.pulse(channel, travel[channel.number])
        followed = {surface.key: self.follow(surface, pulse[surface.channel]) for surface in self.setup.surfaces}
        chords = {surface.key: surface.chord_mm for surface in self.setup.surfaces}
        level = {}
        for device in self.setup.devices:
            share = (
                self.travel_of_pulse(self.setup.channel(device.channel), pulse[device.channel]) - device.off_pct
            ) / (device.full_pct - device.off_pct)
            level[device.key] = np.clip(100.0 * share, 0.0, 100.0)
        return Frame(
            travel_pct=travel,
            pulse_us=pulse,
            held=held,
            deflection_deg={key: answer.deflection_deg for key, answer in followed.items()},
            throw_mm={
                key: throw_mm(deflection_deg=answer.deflection_deg, chord_mm=chords[key])
                for key, answer in followed.items()
            },
            blocked={key: answer.blocked for key, answer in followed.items()},
            level_pct=level,
        )

    def pulse(self, channel: Channel, travel_pct: ArrayLike) -> tuple[Array, NDArray[np.bool_]]:
        """Pulse sent [µs] for a travel [%], any shape, and where the limits cut it."""
        travel = np.asarray(travel_pct, dtype=np.float64)
        asked = channel.centre_us + self._us_per_pct(channel) * travel
        sent = np.clip(asked, channel.low_us, channel.high_us)
        # Rounding in the sum must not call a travel cut that just touches its limit.
        return sent, np.abs(asked - sent) > 1e-9 * self.setup.signal.per_100_us

    def travel_of_pulse(self, channel: Channel, pulse_us: ArrayLike) -> Array:
        """Travel [%] that asks for a pulse [µs], any shape: the inverse of `pulse` within the limits."""
        return np.asarray((np.asarray(pulse_us, dtype=np.float64) - channel.centre_us) / self._us_per_pct(channel))

    def _us_per_pct(self, channel: Channel) -> float:
        return (-1.0 if channel.reversed else 1.0) * self.setup.signal.per_100_us / 100.0

    def follow(self, surface: Surface, pulse_us: ArrayLike) -> Followed:
        """Deflection [degrees] of a surface at pulses [µs], any shape, and where its linkage cannot follow."""
        return surface.linkage.follow(pulse_us, chord_mm=surface.chord_mm, centre_us=self.setup.signal.centre_us)
