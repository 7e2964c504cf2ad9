"""What would be needed where a throw cannot be reached: a wider limit, another arm or horn."""

from __future__ import annotations

from typing import cast

import numpy as np

from ..document import Channel, Setup, Surface
from ..errors import Unreachable
from ..language import later, say
from ..linkage import FourBar
from ..rig import Rig
from ..throws import Array, deflection_deg
from ..throws import throw_mm as throw_of
from ..wording import length, number, throw_words

LONGEST_ARM_MM = 25
"""Arms up to this length are proposed."""


def past_limits(setup: Setup, surface: Surface, pulse: Array, wanted: Array) -> str:
    """What to say of pulses [µs] past the limits of the channel, for throws [mm] of the same shape."""
    channel = setup.channel(surface.channel)
    past = np.maximum(channel.low_us - pulse, pulse - channel.high_us)
    worst = int(np.argmax(past))
    needed, throw = float(pulse.flat[worst]), float(wanted.flat[worst])
    limit = channel.low_us if needed < channel.low_us else channel.high_us
    travels = Rig(setup).travel_of_pulse(channel, [needed, limit]).tolist()
    return say(
        "{surface} {throw} needs {travel} % travel; channel {channel} is held at {held} % ({limit} µs); {advice}",
        surface=surface.label,
        throw=throw_words(throw, surface.role),
        travel=number(travels[0]),
        channel=channel.number,
        held=number(travels[1]),
        limit=number(limit),
        advice=_advice(setup, surface, channel, wanted, needed),
    )


def unreachable(setup: Setup, surface: Surface, wanted: Array, error: Unreachable) -> str:
    """What to say of throws [mm] that the linkage cannot reach."""
    angles = deflection_deg(throw_mm=wanted, chord_mm=surface.chord_mm)
    beyond = np.sign(error.last) * angles if error.last else np.abs(angles)
    throw = float(wanted.flat[int(np.argmax(beyond))])
    last = float(throw_of(deflection_deg=error.last, chord_mm=surface.chord_mm))
    channel = setup.channel(surface.channel)
    return say(
        "{surface} {throw} is out of reach: this linkage ends at {last}; {advice}",
        surface=surface.label,
        throw=throw_words(throw, surface.role),
        last=throw_words(last, surface.role),
        advice=_advice(setup, surface, channel, wanted, None),
    )


def _advice(setup: Setup, surface: Surface, channel: Channel, wanted: Array, needed_us: float | None) -> str:
    """What would do: a wider limit where the transmitter has it, another arm or horn."""
    ways = []
    widest = setup.signal.limit_pct / 100.0 * setup.signal.per_100_us
    if needed_us is not None and abs(needed_us - setup.signal.centre_us) <= widest:
        ways.append(say("a limit of {limit} µs would do", limit=number(needed_us)))
    if isinstance(surface.linkage, FourBar):
        ways += _other_lengths(setup, surface, channel, wanted)
    elif needed_us is not None:
        limit = channel.low_us if needed_us < channel.low_us else channel.high_us
        times = number((needed_us - setup.signal.centre_us) / (limit - setup.signal.centre_us), 2)
        ways.append(say(_SO_WOULD_AN_ARM if ways else _AN_ARM_WOULD, times=times))
    if not ways:
        return say("no arm up to {longest} and no shorter horn would do", longest=length(LONGEST_ARM_MM))
    return "; ".join(ways)


_SO_WOULD_AN_ARM = later("so would an arm about {times} times as long")
_AN_ARM_WOULD = later("an arm about {times} times as long would do")
_ARM_OF = later("a {length} arm would do with {travel} %")
_HORN_OF = later("a {length} horn would do with {travel} %")


def _other_lengths(setup: Setup, surface: Surface, channel: Channel, wanted: Array) -> list[str]:
    """The nearest whole mm of arm, else of horn, with which every wanted throw lies within the limits."""
    linkage = cast(FourBar, surface.linkage)
    arms = range(int(np.floor(linkage.arm_mm)) + 1, LONGEST_ARM_MM + 1)
    horns = range(int(np.ceil(linkage.horn_mm)) - 1, 3, -1)
    tries = [(_ARM_OF, "arm_mm", mm) for mm in arms] + [(_HORN_OF, "horn_mm", mm) for mm in horns]
    for text, name, mm in tries:
        travel = _largest_travel(setup, surface, channel, wanted, {name: float(mm)})
        if travel is not None:
            return [say(text, length=length(mm), travel=number(travel))]
    return []


def _largest_travel(
    setup: Setup, surface: Surface, channel: Channel, wanted: Array, lengths: dict[str, float]
) -> float | None:
    """The largest travel that the wanted throws need with other lengths; None where they do not do."""
    try:
        linkage = FourBar.model_validate({**surface.linkage.model_dump(), **lengths})
        angle = deflection_deg(throw_mm=wanted, chord_mm=surface.chord_mm)
        pulse = linkage.pulse_for(angle, chord_mm=surface.chord_mm, centre_us=setup.signal.centre_us)
    except ValueError:
        return None
    if np.any(pulse < channel.low_us) or np.any(pulse > channel.high_us):
        return None
    travel = Rig(setup).travel_of_pulse(channel, pulse)
    return float(travel.flat[int(np.argmax(np.abs(travel)))])
