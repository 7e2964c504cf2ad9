"""Numbers and parts in words, for the texts that the computation itself gives: "12 mm up", "−45 %"."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Literal

from .language import MM_PER_INCH, later, now, say

if TYPE_CHECKING:
    from .document import Control, Device, Phase, Setup, Surface

EVERY_PHASE = "*"
"""What stands for "every phase" where a phase's key would stand."""

_WAYS = {"up": later("up"), "down": later("down"), "left": later("left"), "right": later("right")}


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
    """A length with its unit: "12.4 mm", or "0.49 in" where the reader measures in inches (one decimal more, and one
    more again for what is no more than a few thousandths: "0.004 in")."""
    return f"{length_figure(value_mm, digits)} {length_unit()}"


def length_figure(value_mm: float, digits: int = 1) -> str:
    """The figure of a length in the reader's unit: "12.4", "0.49"."""
    return number(_in_unit(value_mm), length_decimals(value_mm, digits))


def length_fixed(value_mm: float, digits: int = 1) -> str:
    """Like `length_figure`, with all its decimals: "12.0", "0.47"."""
    return fixed(_in_unit(value_mm), length_decimals(value_mm, digits))


def length_decimals(value_mm: float, digits: int = 1) -> int:
    """The decimals of a length that has `digits` in mm: one more in inches, and two more where that would be nothing
    though it is something in mm."""
    if not now().inches:
        return digits
    lost = round(value_mm / MM_PER_INCH, digits + 1) == 0 and round(value_mm, digits) != 0
    return digits + (2 if lost else 1)


def _in_unit(value_mm: float) -> float:
    return value_mm / MM_PER_INCH if now().inches else value_mm


def length_unit() -> str:
    """The reader's unit of length: mm or in."""
    return "in" if now().inches else "mm"


def length_size(value_mm: float, digits: int = 1) -> str:
    """How long something is, without its sign: "2.3 mm"; what would round to nothing is "less than 0.1 mm"."""
    figure = length_figure(abs(value_mm), digits)
    if figure == "0":
        figure = less_than(digits + 1 if now().inches else digits)
    return f"{figure} {length_unit()}"


def size(value: float, digits: int = 1) -> str:
    """How large something is, without its sign: "2.3"; what would round to nothing is "less than 0.1"."""
    figure = number(abs(value), digits)
    return figure if figure != "0" else less_than(digits)


def less_than(digits: int) -> str:
    """What is told of a figure that rounds to nothing: "less than 0.1"."""
    return say("less than {figure}", figure=number(10.0**-digits, digits))


def length_exact(value_mm: float) -> str:
    """Every figure that the document holds, with its unit; in inches so many that two lengths never read alike."""
    if not now().inches:
        return f"{exact(value_mm)} mm"
    decimals = len(f"{value_mm:.6f}".rstrip("0").partition(".")[2])
    return f"{number(value_mm / MM_PER_INCH, max(decimals, 1) + 2)} in"


def given(value: float) -> str:
    """A figure as someone gave it, six figures at most: "12.5", "−100"."""
    return typeset(f"{value:g}")


def given_length(value_mm: float) -> str:
    """A length as someone gave it, with its unit."""
    return f"{given_length_figure(value_mm)} {length_unit()}"


def given_length_figure(value_mm: float) -> str:
    """The figure of a length as someone gave it, in the reader's unit."""
    return given(_in_unit(value_mm))


def field_length(value_mm: float) -> str:
    """A length as a field in mm holds it: the bare figure, with a unit only where that is not the reader's."""
    return given_length(value_mm) if now().inches else given(value_mm)


def signed(value: float, digits: int = 1) -> str:
    """Like `number`, with its sign always shown: +100, −50, 0."""
    text = number(value, digits)
    return text if text == "0" or text.startswith("−") else f"+{text}"


def signed_length(value_mm: float, digits: int = 1) -> str:
    """A length with its sign always shown, and its unit: "+2.5 mm"."""
    figure = length_figure(value_mm, digits)
    figure = figure if figure == "0" or figure.startswith("−") else f"+{figure}"
    return f"{figure} {length_unit()}"


def exact(value: float) -> str:
    """Every figure that the document holds, so that two different values never read alike."""
    text = repr(float(value))
    text = text.removesuffix(".0")
    return "0" if text == "-0" else typeset(text)


def throw_words(throw_mm: float, role: str, digits: int = 1) -> str:
    """A throw as it is read at the model: "12 mm up", for a rudder "12 mm left", "neutral"; in inches with both its
    decimals, "0.50 in up"."""
    size = (length_fixed if now().inches else length_figure)(abs(throw_mm), digits)
    if size == "0":
        return say("neutral")
    return f"{size} {length_unit()} {way_words(throw_mm, role)}"


def way_words(value: float, role: str) -> str:
    """`direction_words` in the reader's language."""
    return say(_WAYS[direction_words(value, role)])


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


def capital(text: str) -> str:
    """A text that begins a sentence."""
    return text[:1].upper() + text[1:]


def both(parts: Sequence[str]) -> str:
    """One piece of a sentence or two: "a", "a; and b"."""
    return parts[0] if len(parts) == 1 else say("{first}; and {second}", first=parts[0], second=parts[1])


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


def channel_words(setup: Setup, channel: int) -> str:
    """A channel and what it moves, inside a sentence: "channel 6 (right flap)"."""
    return say("channel {channel} ({moved})", channel=channel, moved=lowered(channel_label(setup, channel)))


def no_control(key: str, known: Iterable[str]) -> str:
    """What to say of a control that is not there."""
    return say('there is no control "{key}"; give one of {known}', key=key, known=", ".join(known))


def no_phase(key: str, known: Iterable[str]) -> str:
    """What to say of a phase that is not there."""
    keys = ", ".join(known)
    if not keys:
        return say('there is no phase "{key}"; give none: this setup has no phases', key=key)
    return say('there is no phase "{key}"; give one of {known}', key=key, known=keys)


def no_surface(key: str, known: Iterable[str]) -> str:
    """What to say of a surface that is not there."""
    keys = ", ".join(known)
    if not keys:
        return say('there is no surface "{key}"; this setup has no surfaces', key=key)
    return say('there is no surface "{key}"; give one of {known}', key=key, known=keys)


__all__ = [
    "EVERY_PHASE",
    "both",
    "capital",
    "channel_label",
    "channel_words",
    "control_label",
    "direction_words",
    "exact",
    "field_length",
    "fixed",
    "given",
    "given_length",
    "given_length_figure",
    "label_from_key",
    "length",
    "length_decimals",
    "length_exact",
    "length_figure",
    "length_fixed",
    "length_size",
    "length_unit",
    "less_than",
    "lowered",
    "no_control",
    "no_phase",
    "no_surface",
    "number",
    "phase_label",
    "signed",
    "signed_length",
    "size",
    "throw_words",
    "together",
    "typeset",
    "way_words",
]
