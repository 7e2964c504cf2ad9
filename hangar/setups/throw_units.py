"""A throw in the unit that a member reads: mm at the trailing edge, degrees of deflection, or % of travel."""

import re

from hangar.inputs import read_number
from hangar.pictures.words import plain, short
from mixing import wording

UNITS = {"mm": "mm", "deg": "degrees", "travel": "travel %"}

_ARROWS = str.maketrans({"↑": " up ", "↓": " down ", "←": " left ", "→": " right ", "−": "-", "–": "-"})
_UNIT_WORDS = re.compile(r"(?<![a-z])(mm|millimetres?|degs?|degrees?)(?![a-z])|[°%]")
_PIECES = re.compile(r"[a-z]+|[^a-z\s]+")


def figure(value: float, role: str, unit: str) -> str:
    """A throw [mm], deflection [degrees] or travel [%] as it is shown: "12.3 mm up", "17.1° up", "−45 %"."""
    if unit == "travel":
        return f"{short(value)} %"
    mark = "°" if unit == "deg" else " mm"
    size = plain(abs(value))
    return f"0{mark}" if size == "0" else f"{size}{mark} {wording.direction_words(value, role)}"


def read_figure(text: str, role: str, unit: str, *, now: float) -> float:
    """What was typed into a cell, in its unit, down and left positive. ValueError, in words, where it says none.

    "12 up" says its way. "−12" and "+12" have the sign that the page states. "12" alone keeps the way in which the
    surface stands `now`; where it stands in neither, the way is asked for.
    """
    if not text.strip():
        raise ValueError("Give a throw; 0 for none.")
    if unit == "travel":
        return read_number(text)
    ways = ("left", "right") if role == "rudder" else ("down", "up")
    bare = _UNIT_WORDS.sub(" ", text.strip().lower().translate(_ARROWS))
    pieces = _PIECES.findall(bare)
    words = [piece for piece in pieces if piece.isalpha()]
    try:
        number = _one_number([piece for piece in pieces if not piece.isalpha()])
    except ValueError:
        raise ValueError(f"“{text.strip()[:40]}” is not a throw; give one such as 12 {ways[1]}.") from None
    if not words and (number == 0 or "-" in bare or "+" in bare):
        return number
    way = _way(words, ways) if words else _way_of(now, ways)
    if not way or number < 0:
        shown = f"{abs(number):g}"
        raise ValueError(f"“{text.strip()[:40]}” does not say which way; give {shown} {ways[1]} or {shown} {ways[0]}.")
    return number if way == ways[0] else -number


def _way(words: list[str], ways: tuple[str, str]) -> str:
    return next((way for way in ways if len(words) == 1 and way.startswith(words[0])), "")


def _way_of(now: float, ways: tuple[str, str]) -> str:
    """The way in which it is shown to stand; "" where it is shown as nothing."""
    return "" if plain(now) == "0" else ways[0] if now > 0 else ways[1]


def _one_number(pieces: list[str]) -> float:
    if len(pieces) == 2 and pieces[0] in ("-", "+"):
        pieces = ["".join(pieces)]
    if len(pieces) != 1:
        raise ValueError("not one number")
    return read_number(pieces[0])
