"""What a model has, in words, for the pages about flying."""

from django import template

from hangar.setups.summaries import layout_told

register = template.Library()

register.filter("layout_words", layout_told)
