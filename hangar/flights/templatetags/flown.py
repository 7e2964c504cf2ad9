"""What the pages about flying say in words: origins of revisions, lengths, layouts."""

from django import template

from hangar.flights.told import origin_words
from hangar.setups.summaries import layout_told
from mixing.wording import length, length_unit

register = template.Library()

register.filter("origin_words", origin_words)
register.filter("layout_words", layout_told)
register.filter("length", length)


@register.simple_tag
def unit_of_length() -> str:
    """The reader's: mm or in."""
    return length_unit()
