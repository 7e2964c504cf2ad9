"""In which language, with which decimal sign and in which unit of length the computation puts its texts.

The texts are English with a decimal point and millimetres unless whoever uses the computation says otherwise: once,
with `follow`, which is asked anew for each text. `mixing` itself holds no translation.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

MM_PER_INCH = 25.4
"""Exactly: the international inch of 1959, as in ISO 80000-3."""


def _as_it_is(text: str) -> str:
    return text


def _one_or_many(one: str, many: str, count: int) -> str:
    return one if count == 1 else many


class Language(NamedTuple):
    """How texts are put."""

    translate: Callable[[str], str] = _as_it_is
    """A text in English, with places such as {surface}, in the language of the reader, with the same places."""
    choose: Callable[[str, str, int], str] = _one_or_many
    """The same for a text that depends on a count: English singular, English plural, count."""
    decimal: str = "."
    inches: bool = False
    """Lengths in inches; else in mm."""
    lowers: bool = True
    """A label begins with a small letter inside a sentence; not where nouns are capitals, as in German."""


PLAIN = Language()


def _plain() -> Language:
    return PLAIN


_source: Callable[[], Language] = _plain


def follow(source: Callable[[], Language]) -> None:
    """From now on ask `source` how to put each text."""
    global _source  # noqa: PLW0603
    _source = source


def now() -> Language:
    """How texts are put at this moment."""
    return _source()


def say(text: str, /, **values: object) -> str:
    """A text in the reader's language, its places filled.

    >>> say("{surface} goes {throw}.", surface="Left flap", throw="12 mm down")
    'Left flap goes 12 mm down.'
    """
    told = now().translate(text)
    return told.format(**values) if values else told


def say_count(one: str, many: str, count: int, /, **values: object) -> str:
    """Like `say`, for a text that depends on a count, which fills the place {count}.

    >>> say_count("{count} station", "{count} stations", 3)
    '3 stations'
    """
    return now().choose(one, many, count).format(count=count, **values)


def later(text: str) -> str:
    """Marks a text of a table that is put into the reader's language only when it is needed, with `say`."""
    return text


__all__ = ["MM_PER_INCH", "PLAIN", "Language", "follow", "later", "now", "say", "say_count"]
