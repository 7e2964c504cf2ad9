"""Forms of the club's rules."""

from django import forms
from django.utils.translation import gettext_lazy as _

from hangar.inputs import NumberField

from .rules import Asked


class ClubRulesForm(forms.Form):
    first_flight = forms.BooleanField(
        label=_("A second person releases a model before its first flight"), required=False,
        help_text=_(
            "An airframe that has not flown is grounded until an instructor or a secretary has released it who "
            "neither owns nor helps with it, and did not record its setup."
        ),
    )  # fmt: skip
    after_rebuild = forms.BooleanField(
        label=_("A second person releases a model after a rebuild"),
        required=False,
        help_text=_("A rebuild grounds it in any case. With this, nobody releases what is their own work."),
    )
    mark = forms.ChoiceField(label=_("A mark on the model, such as that of its operator"), choices=Asked.choices)
    mark_seen = forms.ChoiceField(
        label=_("Its mark seen on the model"),
        choices=Asked.choices,
        help_text=_("Someone looked, and it says what is recorded."),
    )
    mass_weighed = forms.ChoiceField(
        label=_("Its flying mass as weighed"), choices=Asked.choices, help_text=_("Logged with where it balanced.")
    )


class MassBandForm(forms.Form):
    label = forms.CharField(
        label=_("Name of the band"),
        max_length=60,
        error_messages={"required": _("Give it a name, such as “heavy”.")},
    )
    from_g = NumberField(label=_("From a flying mass in g"), least=0, most=150_000)
    asks = forms.CharField(
        label=_("What the club asks of a model in it"), max_length=200, required=False,
        help_text=_("Such as: only from the north strip, with a helper."),
    )  # fmt: skip
    weight = forms.ChoiceField(
        label=_("A model in it"), initial=Asked.TOLD,
        choices=[
            (Asked.OFF, _("is left as it is")), (Asked.TOLD, _("is told so on its page")),
            (Asked.LOOK_FIRST, _("is “look first”")),
        ],
    )  # fmt: skip
