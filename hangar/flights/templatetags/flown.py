"""What the pages about flying say in words: lengths, layouts, reasons."""

from django import template

from hangar.setups.summaries import layout_told
from mixing.wording import length, length_unit

register = template.Library()

register.filter("layout_words", layout_told)
register.filter("length", length)


@register.simple_tag
def unit_of_length() -> str:
    """The reader's: mm or in."""
    return length_unit()
