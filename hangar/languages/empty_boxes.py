"""What is said at a box that was left empty and may not be, in our words instead of Django's."""

from django import forms
from django.utils.translation import gettext_lazy as _


def told_in_our_words() -> None:
    """A form's own words for a field still come first."""
    for kind, text in (
        (forms.CharField, _("Nothing is written here; write something.")),
        (forms.ChoiceField, _("Nothing is chosen here; choose one.")),
        (forms.ModelChoiceField, _("Nothing is chosen here; choose one.")),
        (forms.DateField, _("No day is given here; give one.")),
    ):
        kind.default_error_messages = {**kind.default_error_messages, "required": text}
