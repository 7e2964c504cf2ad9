"""The words of findings: where the controls stand, which way something goes, and by how much."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..differences import Difference
from ..document import Control, Setup, Surface
from ..language import later, say
from ..opposites import opposite
from ..wording import length_size, lowered, number, together, way_words


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


def with_controls(setup: Setup, at: Mapping[str, float]) -> str:
    """Where some controls stand: "with left lever full back and aileron stick full right"."""
    told = together(control_words(setup.control(key), position) for key, position in at.items())
    return say("with {controls}", controls=told)


def phase_words(setup: Setup, position: float) -> str:
    """The phase at a position of the phase control: "cruise"; a position without one is named."""
    phase = next((one for one in setup.phases if one.position == position), setup.phases[0])
    if phase.position == position:
        return lowered(phase.label)
    return f"{lowered(phase.label)} ({control_words(setup.control(phase.control), position)})"


def control_words(control: Control, position: float) -> str:
    """Where one control stands: "left lever full back", "aileron stick at −35 %", "arming switch up"."""
    return f"{lowered(control.label)} {position_words(control, position)}"


def position_words(control: Control, position: float) -> str:
    """A position in words: "full right", "in the middle", "at −35 %"; a switch's ends without "full"."""
    low, high = control.ends
    end = control.plus if position == high else opposite(control.plus) if position == low else None
    if end is not None:
        return end if control.positions else say("full {way}", way=end)
    return say("in the middle") if position == 0.0 else say("at {position} %", position=number(position))


def told_apart(positions: Sequence[float]) -> list[str]:
    """Positions with one decimal, or with as many as it takes to tell them apart: "49.99" and "50"."""
    for digits in range(1, 7):
        told = [number(position, digits) for position in positions]
        if len(set(told)) == len(set(positions)):
            break
    return told


def named(surface: Surface) -> str:
    """A surface's label inside a sentence."""
    return lowered(surface.label)


def degrees(value: float, surface: Surface) -> str:
    """A deflection: "32.3° up"."""
    return f"{number(abs(value))}° {way_words(value, surface.role)}"


def moved(value_mm: float, surface: Surface) -> str:
    """A throw or a change of it, however small: "0.6 mm up"."""
    return f"{length_size(value_mm)} {way_words(value_mm, surface.role)}"


def or_more(amount: str, difference: Difference) -> str:
    """An amount, and that there may be more where that is not certain."""
    return amount if difference.sure else say("{amount} or more", amount=amount)


PURPOSES = {
    "roll": later("roll"),
    "pitch": later("pitch"),
    "yaw": later("yaw"),
    "brake": later("brake"),
    "camber": later("camber"),
}
"""What a control that moves surfaces is for."""
