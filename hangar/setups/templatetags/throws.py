"""Numbers and throws in templates, in the words that pictures and paper use too."""

from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from hangar.pictures import words
from hangar.setups.matrix import Cell, alike
from mixing import wording

register = template.Library()


@register.filter
def short(value: Any, digits: int = 1) -> str:
    """A number without needless decimals; what is not a number passes as it is."""
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return words.short(value, digits) if is_number else str(value)


@register.filter
def magnitude(value: float) -> str:
    """How much, whichever way."""
    return words.short(abs(value), 0)


@register.filter
def signed(value: float) -> str:
    """A number with its sign: +50, −50, 0."""
    return words.signed(value, 1)


@register.filter
def length_told(value_mm: Any, digits: int = 1) -> str:
    """A length in the reader's unit, with it: "435 mm", "17.13 in"."""
    return wording.length(float(value_mm), digits)


@register.filter
def length_figure(value_mm: Any, digits: int = 1) -> str:
    """The figure of a length in the reader's unit."""
    return wording.length_figure(float(value_mm), digits)


@register.filter
def unbroken(text: str) -> str:
    """A text in which no line ends between a figure and its unit."""
    return words.unbroken(text)


@register.simple_tag
def length_unit() -> str:
    """The reader's unit of length: mm or in."""
    return wording.length_unit()


@register.simple_tag
def unit_word() -> str:
    """The same as a word: mm or inches."""
    return words.unit_word()


@register.filter
def at_words(position: Any, control: Any) -> str:
    """Where a control stands: "back", "half forward"."""
    return words.position_words(control, float(position))


@register.simple_tag
def throw(cell: Cell) -> SafeString:
    """A throw or level as HTML: arrow, figure, word, and what to know of it."""
    notes = format_html('<span class="estimated">{}</span>', ", ".join(cell.notes)) if cell.notes else ""
    if cell.still:
        return format_html('<span class="throw still"><b>{}</b>{}</span>', cell.figure, notes)
    arrow = format_html('<span class="arrow" aria-hidden="true">{}</span>', cell.arrow)
    return format_html(
        '<span class="throw">{}<b>{}</b> <span class="word">{}</span>{}</span>', arrow, cell.figure, cell.word, notes
    )


register.filter("alike", alike)


@register.filter
def drawing(markup: str) -> SafeString:
    """A picture of hangar.pictures, which escapes everything put into it."""
    return mark_safe(markup)


@register.filter
def in_words(marked: str) -> str:
    """A word of ours that is stored in English, in the reader's language."""
    return gettext(marked)
