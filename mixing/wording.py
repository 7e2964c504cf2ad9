"""Numbers and parts in words, for the texts that the computation itself gives: "12 mm up", "−45 %"."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Literal

from .document import Control, Device, Phase, Setup, Surface
from .language import MM_PER_INCH, now, say

EVERY_PHASE = "*"
"""What stands for "every phase" where a phase's key would stand."""


def number(value: float, digits: int = 1) -> str:
    """A value with at most `digits` decimals, a real minus sign, and "0" for what rounds to nothing."""
    text = f"{value:.{digits}f}"
    if not text.strip("-0."):
        return "0"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return typeset(text)


def fixed(value: float, digits: int = 1) -> str:
    """A value with just `digits` decimals, and "0" for what rounds to nothing."""
    text = f"{value:.{digits}f}"
    return typeset(text) if text.strip("-0.") else "0"


def typeset(figure: str) -> str:
    """A figure of Python's as it is read: a real minus sign, and the reader's decimal sign."""
    return figure.replace("-", "−").replace(".", now().decimal)


def length(value_mm: float, digits: int = 1) -> str:
    """A length with its unit: "12.4 mm", or "0.49 in" where the reader measures in inches (one decimal more)."""
    return f"{length_figure(value_mm, digits)} {length_unit()}"


def length_figure(value_mm: float, digits: int = 1) -> str:
    """The figure of a length in the reader's unit: "12.4", "0.49"."""
    return number(value_mm / MM_PER_INCH, digits + 1) if now().inches else number(value_mm, digits)


def length_fixed(value_mm: float, digits: int = 1) -> str:
    """Like `length_figure`, with all its decimals: "12.0", "0.47"."""
    return fixed(value_mm / MM_PER_INCH, digits + 1) if now().inches else fixed(value_mm, digits)


def length_unit() -> str:
    """The reader's unit of length: mm or in."""
    return "in" if now().inches else "mm"


def signed(value: float, digits: int = 1) -> str:
    """Like `number`, with its sign always shown: +100, −50, 0."""
    text = number(value, digits)
    return text if text == "0" or text.startswith("−") else f"+{text}"


def exact(value: float) -> str:
    """Every figure that the document holds, so that two different values never read alike."""
    text = repr(float(value))
    text = text.removesuffix(".0")
    return "0" if text == "-0" else typeset(text)


def throw_words(throw_mm: float, role: str, digits: int = 1) -> str:
    """A throw as it is read at the model: "12 mm up", for a rudder "12 mm left", "neutral"."""
    size = length_figure(abs(throw_mm), digits)
    if size == "0":
        return say("neutral")
    return f"{size} {length_unit()} {way_words(throw_mm, role)}"


def way_words(value: float, role: str) -> str:
    """`direction_words` in the reader's language."""
    way = direction_words(value, role)
    return {"up": say("up"), "down": say("down"), "left": say("left"), "right": say("right")}[way]


def direction_words(value: float, role: str) -> Literal["up", "down", "left", "right"]:
    """Which way the trailing edge goes for a throw or deflection of this sign."""
    if role == "rudder":
        return "left" if value > 0 else "right"
    return "down" if value > 0 else "up"


def lowered(label: str) -> str:
    """A label inside a sentence: "Left flap" becomes "left flap", "RX battery" stays."""
    if not now().lowers:
        return label
    return label[:1].lower() + label[1:] if len(label) > 1 and label[1:2].islower() else label


def together(labels: Iterable[str]) -> str:
    """A list in words: "a", "a and b", "a, b and c"."""
    names = list(labels)
    return say("{list} and {last}", list=", ".join(names[:-1]), last=names[-1]) if len(names) > 1 else "".join(names)


def label_from_key(key: str) -> str:
    """A readable name for a key of which no label is known."""
    return re.sub("_+", " ", key).strip().capitalize()


def control_label(setup: Setup, key: str) -> str:
    """The label of a control, or its key in words where the setup does not have it."""
    return _label_of(setup.controls, key)


def phase_label(setup: Setup, key: str) -> str:
    """The label of a phase, or its key in words where the setup does not have it."""
    return _label_of(setup.phases, key)


def _label_of(parts: Sequence[Control] | Sequence[Phase], key: str) -> str:
    return next((part.label for part in parts if part.key == key), label_from_key(key))


def channel_label(setup: Setup, channel: int) -> str:
    """What a channel moves, in words: "Right flap", "Left flap and right flap", else its own label or number."""
    parts: tuple[Surface | Device, ...] = (*setup.surfaces_on(channel), *setup.devices_on(channel))
    moved = [part.label for part in parts]
    if moved:
        return together([moved[0], *(lowered(label) for label in moved[1:])])
    own = next((part.label for part in setup.channels if part.number == channel), "")
    return own or say("Channel {channel}", channel=channel)


__all__ = [
    "EVERY_PHASE",
    "channel_label",
    "control_label",
    "direction_words",
    "exact",
    "fixed",
    "label_from_key",
    "length",
    "length_figure",
    "length_fixed",
    "length_unit",
    "lowered",
    "number",
    "phase_label",
    "signed",
    "throw_words",
    "together",
    "typeset",
    "way_words",
]
