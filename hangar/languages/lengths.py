"""Lengths as they are typed: in the reader's unit of length, or with a unit of their own."""

import re

from mixing.language import MM_PER_INCH, now

_UNIT = re.compile(r"(?<=[\d\s.,])(mm|millimet(?:re|er)s?|cm|in|inch|inches|zoll|\"|″)(?![a-z])", re.IGNORECASE)


def with_unit(text: str) -> tuple[str, str]:
    """What was typed without its unit, and the unit: mm, cm or in, "" where none was typed.

    >>> with_unit("12cm"), with_unit("12 up")
    (('12 ', 'cm'), ('12 up', ''))
    """
    found = _UNIT.findall(text)
    if len(found) != 1:
        return text, ""
    unit = found[0].lower()
    return _UNIT.sub(" ", text), "mm" if unit.startswith("m") else "cm" if unit == "cm" else "in"


def from_reader(number: float, unit: str = "") -> float:
    """A length in mm from a figure in `unit`; where that is "", in the reader's unit.

    >>> from_reader(0.5, "in"), from_reader(2.0, "cm"), from_reader(12.0)
    (12.7, 20.0, 12.0)
    """
    if unit == "cm":
        return number * 10
    if unit == "in" or (not unit and now().inches):
        return number * MM_PER_INCH
    return number
