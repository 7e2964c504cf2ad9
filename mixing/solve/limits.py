"""The limits of a channel as its owner enters them: % of travel from the channel's own centre."""

from __future__ import annotations

import numpy as np

from ..conventions import UNPROVEN_MARK, Conventions
from ..document import Channel, Setup
from ..language import say
from ..rig import Rig
from ..rounding import round_to_step
from ..wording import channel_label, number, signed, throw_words
from .entry import Entry

_SAME_US = 1e-6


def in_steps(setup: Setup, value: float) -> float:
    """A figure rounded to the transmitter's step."""
    return float(round_to_step(value, setup.signal.step_pct))


def in_steps_pct(setup: Setup, us: float) -> float:
    """µs as % of travel, rounded to the transmitter's step."""
    return in_steps(setup, us / setup.signal.per_100_us * 100.0)


def limits(setup: Setup, channel: Channel, known: Conventions) -> Entry:
    """The entry for the limits of a channel; what the transmitter cannot take is told, with the nearest that it can."""
    needed = [in_steps_pct(setup, us - channel.centre_us) for us in (channel.low_us, channel.high_us)]
    low, high = _possible(setup, needed)
    pulses = f"{number(channel.low_us)} … {number(channel.high_us)} µs"
    words = "; ".join([pulses, *_out_of_range(setup, channel, known)])
    gives, error = _held_at(setup, channel, [low, high])
    if channel.reversed and known.reversal == "after":
        low, high = -high, -low
    enter = say("{low} % and {high} %", low=signed(low), high=signed(high))
    mark = say(UNPROVEN_MARK) if channel.reversed and known.reversal == "unproven" and low != -high else ""
    return Entry(
        "limits",
        channel.number,
        channel_label(setup, channel.number),
        enter,
        ((-100.0, low), (100.0, high)),
        gives,
        error,
        words,
        mark=mark,
    )


def _possible(setup: Setup, needed: list[float]) -> tuple[float, float]:
    """The limits [%] that the transmitter takes, as near to the needed ones as it can."""
    step = setup.signal.step_pct
    widest = step * np.floor(setup.signal.limit_pct / step + 1e-9)
    low, high = np.clip(needed, -widest, widest).tolist()
    return float(low), float(high)


def _out_of_range(setup: Setup, channel: Channel, known: Conventions) -> list[str]:
    """What to say where a limit lies further from the channel's centre than the transmitter can set one."""
    signal, sign = setup.signal, -1.0 if channel.reversed and known.reversal == "after" else 1.0
    widest = signal.limit_pct * signal.per_100_us / 100.0
    told = []
    for limit in (channel.low_us, channel.high_us):
        away = limit - channel.centre_us
        if abs(away) > widest + _SAME_US:
            ends = channel.centre_us + np.copysign(widest, away)
            text = say(
                "{limit} µs would need {needed} %, the transmitter takes at most {most} %, which ends at {ends} µs",
                limit=number(limit),
                needed=signed(sign * in_steps_pct(setup, away)),
                most=number(signal.limit_pct),
                ends=number(ends),
            )
            told.append(text)
    if told:
        told.append(_advice(channel, widest))
    return told


def _advice(channel: Channel, widest: float) -> str:
    """Which centre would bring both limits within reach."""
    least, most = channel.high_us - widest, channel.low_us + widest
    if least > most:
        return say("no centre has both limits within reach")
    if channel.centre_us < least:
        return say("a centre of {least} µs or more would do", least=number(least))
    return say("a centre of {most} µs or less would do", most=number(most))


def _held_at(setup: Setup, channel: Channel, limits_pct: list[float]) -> tuple[str, float]:
    """Where a channel's surfaces stand at limits as entered, and how far that is from the exact ones."""
    exact = np.array([channel.low_us, channel.high_us])
    rounded = [channel.centre_us + limit * setup.signal.per_100_us / 100.0 for limit in limits_pct]
    words, error = [], 0.0
    for surface in setup.surfaces_on(channel.number):
        was, now = (
            Rig(setup).follow(surface, pulses).throw_mm(chord_mm=surface.chord_mm)
            for pulses in (exact, np.array(rounded))
        )
        low, high = (throw_words(float(mm), surface.role) for mm in now)
        words.append(say("{surface} held at {low} and {high}", surface=surface.label, low=low, high=high))
        error = max(error, float(np.max(np.abs(now - was))))
    return "; ".join(words), error
