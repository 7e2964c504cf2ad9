"""Numbers as a pilot reads them: "12.4 mm up", "−45 %", with real minus signs and arrows.

Used by pictures, pages and paper alike, so that one number has one text everywhere.
"""

from collections.abc import Iterable
from typing import Literal, Protocol

from mixing import wording
from mixing.language import say

Direction = Literal["up", "down", "left", "right", ""]

ARROWS: dict[str, str] = {"up": "↑", "down": "↓", "left": "←", "right": "→", "": ""}

_OPPOSITES = dict(
    pair
    for a, b in (
        ("right", "left"), ("back", "forward"), ("up", "down"), ("in", "out"), ("on", "off"),
        ("high", "low"), ("open", "closed"), ("fast", "slow"), ("towards you", "away from you"),
        ("clockwise", "anticlockwise"),
    )
    for pair in ((a, b), (b, a))
)  # fmt: skip


class Control(Protocol):
    """What a control must say of itself to be named in words."""

    @property
    def label(self) -> str: ...
    @property
    def plus(self) -> str: ...


def plain(value: float, digits: int = 1) -> str:
    """`value` with `digits` decimals and a real minus sign; a value that rounds to nothing is "0"."""
    return wording.fixed(value, digits)


def short(value: float, digits: int = 1) -> str:
    """Like `plain`, without decimals that are nought: 95, 12.5, −7."""
    return wording.number(value, digits)


def signed(value: float, digits: int = 0) -> str:
    """`value` with its sign always shown: +50, −50, 0."""
    return wording.signed(value, digits)


def direction(throw_mm: float, role: str, *, digits: int = 1) -> Direction:
    """Which way a trailing edge went: positive is down, for a rudder left; "" where it rounds to neutral.

    A word for programs; `mixing.wording.way_words` is for people.
    """
    if plain(throw_mm, digits) == "0":
        return ""
    return wording.direction_words(throw_mm, role)


def arrow(throw_mm: float, role: str, *, digits: int = 1) -> str:
    """The arrow for `direction`."""
    return ARROWS[direction(throw_mm, role, digits=digits)]


def throw_words(throw_mm: float, role: str, *, digits: int = 1) -> str:
    """A throw in words: "12.4 mm up", "neutral"."""
    if not direction(throw_mm, role, digits=digits):
        return say("neutral")
    return f"{length(abs(throw_mm), digits)} {wording.way_words(throw_mm, role)}"


def length(value_mm: float, digits: int = 1) -> str:
    """A length with all its decimals and its unit: "12.0 mm", "0.47 in" for who measures in inches."""
    return f"{wording.length_fixed(value_mm, digits)} {wording.length_unit()}"


def throw_figure(throw_mm: float, role: str, *, digits: int = 1) -> str:
    """A throw in a narrow place: "12.4 ↑", or "0"."""
    way = arrow(throw_mm, role, digits=digits)
    return f"{wording.length_fixed(abs(throw_mm), digits)} {way}" if way else "0"


def opposite(word: str) -> str:
    """The other end of a control whose plus end is `word`."""
    return _OPPOSITES.get(word.strip().lower(), "the other way")


def position_words(control: Control, position: float) -> str:
    """Where a control stands, for someone holding the transmitter: "right", "middle", "half forward"."""
    if position == 0:
        return "middle"
    end = control.plus if position > 0 else opposite(control.plus)
    if abs(position) == 100:
        return end
    return f"half {end}" if abs(position) == 50 else f"{short(abs(position))} % {end}"


def together(labels: Iterable[str]) -> str:
    """One name for surfaces that do the same: ["Left flap", "Right flap"] is "Flap left + right"."""
    names = list(labels)
    if len(names) == 2:
        sides = [side_of(name) for name in names]
        stems = {without_side(name).lower() for name in names}
        if set(sides) == {"left", "right"} and len(stems) == 1 and stems != {""}:
            stem = without_side(names[0])
            return f"{stem[:1].upper()}{stem[1:]} left + right"
    return " + ".join(names)


def listed(labels: Iterable[str]) -> str:
    """Names in a row, pairs taken together: "Aileron left + right, Elevator"."""
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
    """ "left" or "right" where the name says so, else ""."""
    words = name.lower().split()
    return "left" if "left" in words else "right" if "right" in words else ""


def without_side(name: str) -> str:
    """The name without the words left and right."""
    return " ".join(word for word in name.split() if word.lower() not in ("left", "right"))
