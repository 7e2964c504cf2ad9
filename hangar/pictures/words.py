"""Numbers as a pilot reads them: "12.4 mm up", "−45 %", with real minus signs and arrows.

Used by pictures, pages and paper alike, so that one number has one text everywhere.
"""

import re
from collections.abc import Iterable
from typing import Literal

from mixing import opposites, positions, wording
from mixing.document import Control
from mixing.language import MM_PER_INCH, now, say

position_words = positions.position_words
opposite = opposites.other_end

Direction = Literal["up", "down", "left", "right", ""]

ARROWS: dict[str, str] = {"up": "↑", "down": "↓", "left": "←", "right": "→", "": ""}

_UNITS = r"(?<=\d) (?:({length}) ({ways})|(%|{length}|µs|g|[↑↓←→]))(?!\w)"
_SIDES = {"left": "left", "right": "right", "links": "left", "rechts": "right", "linke": "left", "rechte": "right",
          "linker": "left", "rechter": "right", "linkes": "left", "rechtes": "right"}  # fmt: skip


def plain(value: float, digits: int = 1) -> str:
    """`value` with `digits` decimals and a real minus sign; a value that rounds to nothing is "0".

    >>> plain(12.0), plain(-0.04), plain(-7.25, 2)
    ('12.0', '0', '−7.25')
    """
    return wording.fixed(value, digits)


def short(value: float, digits: int = 1) -> str:
    """Like `plain`, without decimals that are nought: 95, 12.5, −7.

    >>> short(95.0), short(12.5), short(-7.0)
    ('95', '12.5', '−7')
    """
    return wording.number(value, digits)


def signed(value: float, digits: int = 0) -> str:
    """`value` with its sign always shown: +50, −50, 0.

    >>> signed(50.0), signed(-49.6), signed(0.2)
    ('+50', '−50', '0')
    """
    return wording.signed(value, digits)


def direction(throw_mm: float, role: str, *, digits: int = 1) -> Direction:
    """Which way a trailing edge went: positive is down, for a rudder left; "" where it rounds to neutral.

    A word for programs; `mixing.wording.way_words` is for people.

    >>> direction(-12.0, "flap"), direction(12.0, "rudder"), direction(0.01, "flap")
    ('up', 'left', '')
    """
    if plain(throw_mm, digits) == "0":
        return ""
    return wording.direction_words(throw_mm, role)


def arrow(throw_mm: float, role: str, *, digits: int = 1) -> str:
    """The arrow for `direction`."""
    return ARROWS[direction(throw_mm, role, digits=digits)]


def throw_words(throw_mm: float, role: str, *, digits: int = 1) -> str:
    """A throw in words: "12.4 mm up", "neutral".

    >>> throw_words(-12.4, "flap"), throw_words(0.0, "flap")
    ('12.4 mm up', 'neutral')
    """
    if is_nothing(throw_mm, digits=digits):
        return say("neutral")
    return f"{length(abs(throw_mm), digits)} {wording.way_words(throw_mm, role)}"


def unbroken(text: str) -> str:
    """The text with no place for a line to end between a figure, its unit and its way.

    >>> unbroken("95 % at −100: 8 ↓, 32.1 mm down")
    '95\\xa0% at −100: 8\\xa0↓, 32.1\\xa0mm\\xa0down'
    """
    ways = "|".join(wording.way_words(value, role) for role in ("elevator", "rudder") for value in (1, -1))
    # "in" is a word, too, for who measures in mm.
    pattern = _UNITS.format(length="mm|in" if now().inches else "mm", ways=ways)
    return re.sub(pattern, lambda found: found[0].replace(" ", "\u00a0"), text)


def unit_mm() -> float:
    """How many mm the reader's unit of length has: what a scale or an axis is divided by."""
    return MM_PER_INCH if now().inches else 1.0


def sentence(text: str) -> str:
    """What the computation says inside a sentence, as one: with a capital and a full stop."""
    return wording.capital(text) + ("" if text.endswith(".") else ".")


def unit_word() -> str:
    """The reader's unit of length where "in" would read as the word: "mm", "inches"."""
    return say("inches") if now().inches else "mm"


def is_nothing(throw_mm: float, *, digits: int = 1) -> bool:
    """Whether a throw rounds to nothing in the reader's unit of length."""
    return wording.length_fixed(throw_mm, digits) == "0"


def length(value_mm: float, digits: int = 1) -> str:
    """A length with all its decimals and its unit: "12.0 mm", "0.47 in" for who measures in inches."""
    return f"{wording.length_fixed(value_mm, digits)} {wording.length_unit()}"


def throw_figure(throw_mm: float, role: str, *, digits: int = 1) -> str:
    """A throw in a narrow place: "12.4 ↑", or "0".

    >>> throw_figure(12.0, "flap"), throw_figure(-12.4, "rudder"), throw_figure(0.0, "flap")
    ('12.0 ↓', '12.4 →', '0')
    """
    if is_nothing(throw_mm, digits=digits):
        return "0"
    return f"{wording.length_fixed(abs(throw_mm), digits)} {arrow(throw_mm, role, digits=digits)}"


def throw_caption(roles: Iterable[str]) -> str:
    """What stands over an axis of throws of surfaces with these roles: the unit, and which way is which."""
    kinds, unit = set(roles), unit_word()
    if kinds == {"rudder"}:
        return say("throw in {unit}: ↑ right, ↓ left", unit=unit)
    if "rudder" in kinds:
        return say("throw in {unit}: ↑ up or right, ↓ down or left", unit=unit)
    return say("throw in {unit}: ↑ up, ↓ down", unit=unit)


def stands(control: Control, position: float) -> str:
    """A control and where it stands: "Elevator stick back", "Left lever half forward".

    >>> stands(setup.control("pitch"), 100)
    'Elevator stick back'
    """
    return f"{control.label} {position_words(control, position)}"


def together(labels: Iterable[str]) -> str:
    """One name for surfaces that do the same: ["Left flap", "Right flap"] is "Flap left + right".

    >>> together(["Left flap", "Right flap"]), together(["Rudder", "Nose wheel"])
    ('Flap left + right', 'Rudder + Nose wheel')
    """
    names = list(labels)
    if len(names) == 2:
        sides = [side_of(name) for name in names]
        stems = {without_side(name).lower() for name in names}
        if set(sides) == {"left", "right"} and len(stems) == 1 and stems != {""}:
            stem = without_side(names[0])
            return say("{stem} left + right", stem=wording.capital(stem))
    return " + ".join(names)


def listed(labels: Iterable[str]) -> str:
    """Names in a row, pairs taken together: "Aileron left + right, Elevator".

    >>> listed(["Left aileron", "Elevator", "Right aileron"])
    'Aileron left + right, Elevator'
    """
    names = list(labels)
    told: list[str] = []
    while names:
        name = names.pop(0)
        partner = next((n for n in names if {side_of(name), side_of(n)} == {"left", "right"}
                        and without_side(name).lower() == without_side(n).lower() != ""), None)  # fmt: skip
        if partner is not None:
            names.remove(partner)
        told.append(name if partner is None else together((name, partner)))
    return ", ".join(told)


def side_of(name: str) -> str:
    """ "left" or "right" where the name says so, in whichever language, else ""."""
    found = {_SIDES[word] for word in name.lower().split() if word in _SIDES}
    return "left" if "left" in found else "right" if found else ""


def without_side(name: str) -> str:
    """The name without the words left and right."""
    return " ".join(word for word in name.split() if word.lower() not in _SIDES)
