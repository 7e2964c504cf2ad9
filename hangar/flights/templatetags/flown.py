"""What a model has, and the unit of length, in words, for the pages about flying."""

from django import template
from django.utils.translation import gettext as _

from hangar.setups.summaries import layout_told
from mixing.wording import length_unit

register = template.Library()

register.filter("layout_words", layout_told)


@register.simple_tag
def unit_in_words() -> str:
    """The reader's unit of length inside a sentence: "in inches" reads better than "in in"."""
    return _("inches") if length_unit() == "in" else length_unit()
