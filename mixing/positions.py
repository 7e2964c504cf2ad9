"""Where controls stand, in words: "right", "half forward", "with brake lever full back, in cruise"."""

from __future__ import annotations

from collections.abc import Mapping

from .document import Control, Setup
from .language import say
from .opposites import opposite, other_end
from .wording import lowered, number, together


def position_words(control: Control, position: float) -> str:
    """Where a control stands, for someone holding the transmitter: "right", "middle", "half forward", "35 % back"."""
    low, high = control.ends
    end = control.plus if position > 0.0 or position == high else other_end(control.plus)
    if position in (low, high):
        return end
    if position == 0.0:
        return say("middle")
    if abs(position) == 50.0:
        return say("half {end}", end=end)
    return say("{figure} % {end}", figure=number(abs(position)), end=end)


def standing_words(control: Control, position: float) -> str:
    """The same inside a sentence: "full right", "in the middle", "half forward"; a switch's ends without "full"."""
    low, high = control.ends
    if position == 0.0 and position not in (low, high):
        return say("in the middle")
    if position < high and (position < 0.0 or position == low) and opposite(control.plus) is None:
        return say("at {position} %", position=number(position))
    words = position_words(control, position)
    return say("full {way}", way=words) if position in (low, high) and not control.positions else words


def control_words(control: Control, position: float) -> str:
    """Where one control stands: "left lever full back", "aileron stick 35 % left", "arming switch up"."""
    return f"{lowered(control.label)} {standing_words(control, position)}"


def with_controls(setup: Setup, at: Mapping[str, float]) -> str:
    """Where some controls stand: "with left lever full back and aileron stick full right"."""
    told = together(control_words(setup.control(key), position) for key, position in at.items())
    return say("with {controls}", controls=told)


def with_positions(setup: Setup, at: Mapping[str, float]) -> str:
    """Where the controls stand: "with left lever full back and aileron stick full right, in cruise"."""
    phase_control = setup.phases[0].control if setup.phases else ""
    others = {key: position for key, position in at.items() if key != phase_control}
    if others:
        words = with_controls(setup, others)
    else:
        words = say("with all other controls at rest") if at else say("with all controls at rest")
    if phase_control not in at:
        return words
    return say("{controls}, in {phase}", controls=words, phase=phase_words(setup, at[phase_control]))


def phase_words(setup: Setup, position: float) -> str:
    """The phase at a position of the phase control: "cruise"; a position without one is named."""
    phase = next((one for one in setup.phases if one.position == position), setup.phases[0])
    if phase.position == position:
        return lowered(phase.label)
    return f"{lowered(phase.label)} ({control_words(setup.control(phase.control), position)})"
