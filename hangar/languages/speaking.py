"""How texts are put at this moment: Django's active language, and the unit of length of whom the page is made for."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache

from django.conf import settings
from django.utils import translation
from django.utils.formats import get_format

from mixing.language import Language

INCH = "inch"
MM = "mm"

_spoken: ContextVar[Language | None] = ContextVar("spoken", default=None)


def spoken() -> Language:
    """For `mixing.language.follow`: asked for every figure, so inside `speaking` it is worked out once."""
    return _spoken.get() or _language(translation.get_language() or "", inches=False)


@cache
def _language(code: str, inches: bool) -> Language:
    # Not kept: `gettext` itself, which looks at the active language at each call.
    return Language(
        translate=translation.gettext,
        choose=translation.ngettext,
        decimal=str(get_format("DECIMAL_SEPARATOR", code or None)),
        inches=inches,
        lowers=code[:2] != "de",
    )


@contextmanager
def speaking(code: str, length_unit: str = MM) -> Iterator[None]:
    """Inside, everything is put in this language and unit of length: for paper, letters and tests."""
    with translation.override(code or settings.LANGUAGE_CODE):
        before = _spoken.set(_language(translation.get_language() or "", inches=length_unit == INCH))
        try:
            yield
        finally:
            _spoken.reset(before)


def unit_of_length() -> str:
    """The reader's unit of length, as a member's choice is stored."""
    return INCH if spoken().inches else MM


def way() -> str:
    """Language and unit of length as a short text: what is kept of a finished page or answer must be kept under it."""
    return f"{translation.get_language() or ''}-{unit_of_length()}"
