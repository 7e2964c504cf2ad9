"""Forms of the club's rules."""

from django import forms

from hangar.inputs import NumberField

from .rules import Asked


class ClubRulesForm(forms.Form):
    first_flight = forms.BooleanField(
        label="A second person releases a model before its first flight", required=False,
        help_text="An airframe that has not flown is grounded until an instructor or a secretary has released it who "
        "neither owns nor helps with it, and did not record its setup.",
    )  # fmt: skip
    after_rebuild = forms.BooleanField(
        label="A second person releases a model after a rebuild",
        required=False,
        help_text="A rebuild grounds it in any case. With this, nobody releases what is their own work.",
    )
    mark = forms.ChoiceField(label="A mark on the model, such as that of its operator", choices=Asked.choices)
    mark_seen = forms.ChoiceField(
        label="Its mark seen on the model",
        choices=Asked.choices,
        help_text="Someone looked, and it says what is recorded.",
    )
    mass_weighed = forms.ChoiceField(
        label="Its flying mass as weighed", choices=Asked.choices, help_text="Logged with where it balanced."
    )


class MassBandForm(forms.Form):
    label = forms.CharField(
        label="Name of the band", max_length=60, error_messages={"required": "Give it a name, such as “heavy”."}
    )
    from_g = NumberField(label="From a flying mass in g", least=0, most=150_000)
    asks = forms.CharField(
        label="What the club asks of a model in it", max_length=200, required=False,
        help_text="Such as: only from the north strip, with a helper.",
    )  # fmt: skip
    weight = forms.ChoiceField(
        label="A model in it", initial=Asked.TOLD,
        choices=[
            (Asked.OFF, "is left as it is"), (Asked.TOLD, "is told so on its page"),
            (Asked.LOOK_FIRST, "is “look first”"),
        ],
    )  # fmt: skip
