"""A throw in the unit that a member reads: a length at the trailing edge, degrees of deflection, or % of travel."""

import re

from django.utils.translation import gettext as _

from hangar.inputs import plain_letters, read_number, typed_throw
from hangar.languages.lengths import from_reader, with_unit
from hangar.pictures.words import length, plain, short
from mixing import wording
from mixing.language import MM_PER_INCH

UNITS = ("mm", "deg", "travel")
"""`mm` stands for a length: it is shown and typed in the reader's unit of length."""

_DEGREES = re.compile(r"(?<![a-z])(degs?|degrees?|grad)(?![a-z])|°")


def unit_words() -> dict[str, str]:
    """Each unit by its name."""
    return {"mm": wording.length_unit(), "deg": _("degrees"), "travel": _("travel %")}


def written_mm(throw_mm: float) -> float:
    """A throw as it is written: what a reader who takes one figure from another counts with [mm]."""
    if wording.length_unit() == "mm":
        return round(throw_mm, 1)
    return round(throw_mm / MM_PER_INCH, wording.length_decimals(throw_mm)) * MM_PER_INCH


def figure(value: float, role: str, unit: str) -> str:
    """A throw [mm], deflection [degrees] or travel [%] as it is shown: "12.3 mm up", "17.1° up", "−45 %".

    >>> figure(-12.34, "flap", "deg"), figure(20.0, "rudder", "mm"), figure(-45.0, "flap", "travel")
    ('12.3° up', '20.0 mm left', '−45 %')
    """
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

    >>> [read_figure(typed, "flap", "mm", now=-3.0) for typed in ("12 down", "+12", "12")]
    [12.0, 12.0, -12.0]
    """
    if not text.strip():
        raise ValueError(_("Give a throw; 0 for none."))
    if unit == "travel":
        return read_number(text)
    bare, named = _bare(text, unit)
    throw = typed_throw(text, bare, named, sideways=role == "rudder")
    size = throw.number if unit == "deg" else from_reader(throw.number, named)
    if throw.number == 0 or (throw.signed and not throw.words):
        return size
    return throw.towards(throw.way if throw.words else _way_of(now, role), size)


def _bare(text: str, unit: str) -> tuple[str, str]:
    """What was typed without its unit, in small letters, and the unit of length that was typed, if any."""
    typed, lowered = text.strip()[:40], plain_letters(text)
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


def _way_of(now: float, role: str) -> str:
    """The way in which it is shown to stand; "" where it is shown as nothing."""
    return "" if plain(now) == "0" else wording.direction_words(now, role)
