"""From wanted throws to travel: the linkage and the limits, backwards."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ..document import Setup, Surface
from ..errors import ThrowError, Unreachable
from ..language import say
from ..rig import Rig
from ..throws import Array, deflection_deg
from ..throws import throw_mm as throw_of
from ..wording import length_unit, no_phase, no_surface, number, throw_words
from .errors import SolveError, Unattainable
from .needed import past_limits, unreachable

_SLACK_US = 1e-6
_SLACK_DEG = 1e-6


def travel_for(setup: Setup, surface: str, throw_mm: float, *, phase: str | None = None) -> float:
    """Travel [%] of a surface's channel at which the surface stands at a throw.

    Without a phase this is the travel of the channel in all, as in `Frame.travel_pct`: stance and responses together.
    With a phase its stance is taken off: what the responses must add in that phase.

    Parameters
    ----------
    setup : Setup
    surface : key of a surface
    throw_mm : where the surface shall stand, straight from neutral; positive = down (rudder: left) [mm]
    phase : key of a phase, optional

    Returns
    -------
    float [%], not rounded

    Raises
    ------
    Unattainable
        The linkage, the limits of the channel or the surface's stop do not allow it; the text says what would.
    SolveError
        No such surface or phase.

    Examples
    --------
    >>> round(travel_for(setup, "elevator", -6.0), 1)
    -42.9
    """
    found = surface_of(setup, surface)
    travel = float(travels_for(setup, surface, throw_mm)[()])
    if phase is None:
        return travel
    stances = {known.key: known.stance for known in setup.phases}
    if phase not in stances:
        raise SolveError(no_phase(phase, stances))
    return travel - stances[phase].get(found.channel, 0.0)


def travels_for(setup: Setup, surface: str, throw_mm: ArrayLike) -> Array:
    """Like `travel_for` without a phase, for throws of any shape [mm]; returns travels [%] of that shape.

    >>> travels_for(setup, "elevator", [-6, 0, 4]).round(1).tolist()
    [-42.9, 0.0, 30.8]
    """
    found = surface_of(setup, surface)
    channel = setup.channel(found.channel)
    wanted = np.asarray(throw_mm, dtype=np.float64)
    if not np.all(np.isfinite(wanted)):
        raise SolveError(
            say("a throw is not a number; give {unit}, positive = down (rudder: left)", unit=length_unit())
        )
    angle = _angle(found, wanted)
    _check_stops(found, angle)
    try:
        pulse = found.linkage.pulse_for(angle, chord_mm=found.chord_mm, centre_us=setup.signal.centre_us)
    except Unreachable as error:
        raise Unattainable(unreachable(setup, found, wanted, error)) from None
    if np.any((pulse < channel.low_us - _SLACK_US) | (pulse > channel.high_us + _SLACK_US)):
        raise Unattainable(past_limits(setup, found, pulse, wanted))
    return Rig(setup).travel_of_pulse(channel, np.clip(pulse, channel.low_us, channel.high_us))


def surface_of(setup: Setup, key: str) -> Surface:
    """The surface of that key, or SolveError."""
    try:
        return setup.surface(key)
    except KeyError:
        raise SolveError(no_surface(key, (surface.key for surface in setup.surfaces))) from None


def _angle(surface: Surface, throw: Array) -> Array:
    try:
        return deflection_deg(throw_mm=throw, chord_mm=surface.chord_mm)
    except ThrowError as error:
        raise Unattainable(f"{surface.label}: {error}") from None


def _check_stops(surface: Surface, angle: Array) -> None:
    for stop, past in (
        (-surface.stop_up_deg, angle < -surface.stop_up_deg - _SLACK_DEG),
        (surface.stop_down_deg, angle > surface.stop_down_deg + _SLACK_DEG),
    ):
        if np.any(past):
            given = float(angle[past].flat[0]) if angle.ndim else float(angle)
            throws = throw_of(deflection_deg=[given, stop], chord_mm=surface.chord_mm).tolist()
            words = [throw_words(mm, surface.role) for mm in throws]
            text = say(
                "{surface} {throw} needs {angle}°, past its stop of {stop}°; "
                "ask for at most {most}, or move the stop at the model",
                surface=surface.label,
                throw=words[0],
                angle=number(abs(given)),
                stop=number(abs(stop)),
                most=words[1],
            )
            raise Unattainable(text)
