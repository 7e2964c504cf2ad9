"""The words of findings: where the controls stand, which way something goes, and by how much."""

from __future__ import annotations

from collections.abc import Mapping

from ..document import Control, Setup, Surface
from ..wording import direction_words, lowered, number, together

_OPPOSITES = {
    "right": "left", "back": "forward", "forward": "back", "up": "down", "on": "off", "open": "closed", "high": "low",
    "in": "out", "clockwise": "anticlockwise", "full": "off", "fast": "slow",
}  # fmt: skip
_OPPOSITE = {**{other: word for word, other in _OPPOSITES.items()}, **_OPPOSITES}


def with_positions(setup: Setup, at: Mapping[str, float]) -> str:
    """Where the controls stand: "with left lever full back and aileron stick full right, in cruise"."""
    phase_control = setup.phases[0].control if setup.phases else ""
    others = [control_words(setup.control(key), position) for key, position in at.items() if key != phase_control]
    words = f"with {together(others)}" if others else f"with all {'other ' if at else ''}controls at rest"
    return f"{words}, in {phase_words(setup, at[phase_control])}" if phase_control in at else words


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
    full = "" if control.positions else "full "
    if position == high:
        return f"{full}{control.plus}"
    other = _OPPOSITE.get(control.plus.lower())
    if position == low and other is not None:
        return f"{full}{other}"
    return "in the middle" if position == 0.0 else f"at {number(position)} %"


def named(surface: Surface) -> str:
    """A surface's label inside a sentence."""
    return lowered(surface.label)


def capital(text: str) -> str:
    """A sentence's first letter."""
    return text[:1].upper() + text[1:]


def size(value: float, digits: int = 1) -> str:
    """How large something is, without its sign: "2.3"; what would round to nothing is "less than 0.1"."""
    text = number(abs(value), digits)
    return text if text != "0" else f"less than {number(10.0**-digits, digits)}"


def degrees(value: float, surface: Surface) -> str:
    """A deflection: "32.3° up"."""
    return f"{number(abs(value))}° {direction_words(value, surface.role)}"


def millimetres(value: float, surface: Surface) -> str:
    """A throw or a change of it, however small: "0.6 mm up"."""
    return f"{size(value)} mm {direction_words(value, surface.role)}"
