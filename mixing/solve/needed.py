"""What would be needed where a throw cannot be reached: a wider limit, another arm or horn."""

from __future__ import annotations

from typing import cast

import numpy as np

from ..document import Channel, Setup, Surface
from ..errors import Unreachable
from ..linkage import FourBar
from ..rig import Rig
from ..throws import Array, deflection_deg
from ..throws import throw_mm as throw_of
from ..wording import number, throw_words

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
    return (
        f"{surface.label} {throw_words(throw, surface.role)} needs {number(travels[0])} % travel; "
        f"channel {channel.number} is held at {number(travels[1])} % ({number(limit)} µs)"
        + _advice(setup, surface, channel, wanted, needed)
    )


def unreachable(setup: Setup, surface: Surface, wanted: Array, error: Unreachable) -> str:
    """What to say of throws [mm] that the linkage cannot reach."""
    angles = deflection_deg(throw_mm=wanted, chord_mm=surface.chord_mm)
    beyond = np.sign(error.last) * angles if error.last else np.abs(angles)
    throw = float(wanted.flat[int(np.argmax(beyond))])
    last = float(throw_of(deflection_deg=error.last, chord_mm=surface.chord_mm))
    channel = setup.channel(surface.channel)
    return (
        f"{surface.label} {throw_words(throw, surface.role)} is out of reach: "
        f"this linkage ends at {throw_words(last, surface.role)}" + _advice(setup, surface, channel, wanted, None)
    )


def _advice(setup: Setup, surface: Surface, channel: Channel, wanted: Array, needed_us: float | None) -> str:
    """What would do: a wider limit where the transmitter has it, another arm or horn."""
    ways = []
    widest = setup.signal.limit_pct / 100.0 * setup.signal.per_100_us
    if needed_us is not None and abs(needed_us - setup.signal.centre_us) <= widest:
        ways.append(f"a limit of {number(needed_us)} µs would do")
    if isinstance(surface.linkage, FourBar):
        ways += _other_lengths(setup, surface, channel, wanted)
    elif needed_us is not None:
        limit = channel.low_us if needed_us < channel.low_us else channel.high_us
        times = number((needed_us - setup.signal.centre_us) / (limit - setup.signal.centre_us), 2)
        ways.append(
            f"so would an arm about {times} times as long" if ways else f"an arm about {times} times as long would do"
        )
    return "".join(f"; {way}" for way in ways) or "; no arm up to 25 mm and no shorter horn would do"


def _other_lengths(setup: Setup, surface: Surface, channel: Channel, wanted: Array) -> list[str]:
    """The nearest whole mm of arm, else of horn, with which every wanted throw lies within the limits."""
    linkage = cast(FourBar, surface.linkage)
    arms = range(int(np.floor(linkage.arm_mm)) + 1, LONGEST_ARM_MM + 1)
    horns = range(int(np.ceil(linkage.horn_mm)) - 1, 3, -1)
    tries = [("arm", {"arm_mm": float(mm)}, mm) for mm in arms] + [("horn", {"horn_mm": float(mm)}, mm) for mm in horns]
    for name, lengths, mm in tries:
        travel = _largest_travel(setup, surface, channel, wanted, lengths)
        if travel is not None:
            return [f"a {mm} mm {name} would do with {number(travel)} %"]
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
