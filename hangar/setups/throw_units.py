"""A throw in the unit that a member reads: a length at the trailing edge, degrees of deflection, or % of travel."""

import re

from django.utils.translation import gettext as _

from hangar.inputs import read_number, read_way
from hangar.languages.lengths import from_reader, with_unit
from hangar.pictures.words import length, plain, short
from mixing import wording
from mixing.language import MM_PER_INCH

UNITS = ("mm", "deg", "travel")
"""`mm` stands for a length: it is shown and typed in the reader's unit of length."""

_ARROWS = str.maketrans({"↑": " up ", "↓": " down ", "←": " left ", "→": " right ", "−": "-", "–": "-"})
_DEGREES = re.compile(r"(?<![a-z])(degs?|degrees?|grad)(?![a-z])|°")
_PIECES = re.compile(r"[a-z]+|[^a-z\s]+")


def unit_words() -> dict[str, str]:
    """Each unit by its name."""
    return {"mm": wording.length_unit(), "deg": _("degrees"), "travel": _("travel %")}


def written_mm(throw_mm: float) -> float:
    """A throw as it is written: what a reader who takes one figure from another counts with [mm]."""
    if wording.length_unit() == "mm":
        return round(throw_mm, 1)
    return round(throw_mm / MM_PER_INCH, wording.length_decimals(throw_mm)) * MM_PER_INCH


def figure(value: float, role: str, unit: str) -> str:
    """A throw [mm], deflection [degrees] or travel [%] as it is shown: "12.3 mm up", "17.1° up", "−45 %"."""
    if unit == "travel":
        return f"{short(value)} %"
    size = f"{plain(abs(value))}°" if unit == "deg" else length(abs(value))
    nothing = "0°" if unit == "deg" else f"0 {wording.length_unit()}"
    return size if size == nothing else f"{size} {wording.way_words(value, role)}"


def read_figure(text: str, role: str, unit: str, *, now: float) -> float:
    """What was typed into a cell, in its unit, down and left positive. ValueError, in words, where it says none.

    "12 up" says its way. "−12" and "+12" have the sign that the page states. "12" alone keeps the way in which the
    surface stands `now`; where it stands in neither, the way is asked for. A length is in mm: what was typed without
    a unit of its own is in the reader's.
    """
    if not text.strip():
        raise ValueError(_("Give a throw; 0 for none."))
    if unit == "travel":
        return read_number(text)
    ways = ("left", "right") if role == "rudder" else ("down", "up")
    bare, named = _bare(text, unit)
    pieces = _PIECES.findall(bare)
    words = [piece for piece in pieces if piece.isalpha()]
    typed, names = text.strip()[:40], {"up": _(ways[1]), "down": _(ways[0])}
    try:
        number = _one_number([piece for piece in pieces if not piece.isalpha()])
    except ValueError:
        told = _("“{typed}” is not a throw; give one such as 12 {way}.").format(typed=typed, way=names["up"])
        raise ValueError(told) from None
    size = number if unit == "deg" else from_reader(number, named)
    if not words and (number == 0 or "-" in bare or "+" in bare):
        return size
    way = _way(words) if words else _way_of(now, ways)
    if way not in ways or number < 0:
        shown = wording.given(abs(number))
        told = _("“{typed}” does not say which way; give {figure} {up} or {figure} {down}.")
        raise ValueError(told.format(typed=typed, figure=shown, **names))
    return size if way == ways[0] else -size


def _bare(text: str, unit: str) -> tuple[str, str]:
    """What was typed without its unit, in small letters, and the unit of length that was typed, if any."""
    typed, lowered = text.strip()[:40], text.strip().lower().translate(_ARROWS)
    bare, named = with_unit(lowered)
    if unit != "deg":
        if _DEGREES.search(lowered):
            raise ValueError(
                _("“{typed}” is an angle, and throws are lengths here; give a length.").format(typed=typed)
            )
        return bare, named
    if named:
        raise ValueError(_("“{typed}” is a length, and throws are degrees here; give degrees.").format(typed=typed))
    return _DEGREES.sub(" ", lowered), ""


def _way(words: list[str]) -> str:
    return read_way(words[0]) if len(words) == 1 else ""


def _way_of(now: float, ways: tuple[str, str]) -> str:
    """The way in which it is shown to stand; "" where it is shown as nothing."""
    return "" if plain(now) == "0" else ways[0] if now > 0 else ways[1]


def _one_number(pieces: list[str]) -> float:
    if len(pieces) == 2 and pieces[0] in ("-", "+"):
        pieces = ["".join(pieces)]
    if len(pieces) != 1 or "%" in pieces[0]:
        raise ValueError("not one number")
    return read_number(pieces[0])
