"""The forms of the page for a new airframe: its facts, and what sits where on it."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from hangar.inputs import LengthField, NumberField
from mixing.wording import length

from .shapes import CHORDS, EXTRAS, Shape

_CHORD_WORDS = {
    "aileron": gettext_lazy("Ailerons, flaperons or elevons"), "flap": gettext_lazy("Flaps"),
    "spoiler": gettext_lazy("Spoilers"), "elevator": gettext_lazy("Elevator, V-tail or canard"),
    "rudder": gettext_lazy("Rudder"),
}  # fmt: skip
_KIT = ("receiver_channels", "cg_datum", "cg_low_mm", "cg_high_mm", "mass_g")
_TAKEN = (
    "wing", "inner_flaps", "outer_flaps", "flap_lead", "spoilers", "crow", "tail", "rudder", "nose", *EXTRAS,
    "cg_datum", "mass_g",
)  # fmt: skip


class FactsForm(forms.Form):
    """What the club calls the model."""

    name = forms.CharField(
        label=gettext_lazy("Name"), max_length=80,
        error_messages={"required": gettext_lazy("Give the name by which the club knows the model.")},
    )  # fmt: skip
    span_mm = LengthField(label=gettext_lazy("Wing span"), least=1, most=100_000, required=False)
    mark = forms.CharField(label=gettext_lazy("Identification mark"), max_length=40, required=False)

    def clean_span_mm(self) -> int | None:
        """Kept in whole mm, which is as well as a span is known."""
        span: float | None = self.cleaned_data["span_mm"]
        return None if span is None else round(span)


def _tick(label: Any) -> forms.BooleanField:
    return forms.BooleanField(label=label, required=False)


def _one_of(label: Any, *choices: tuple[str, Any]) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=choices, widget=forms.RadioSelect)


class ShapeForm(forms.Form):
    """The parts of a model as they are seen from above, and what kit and ruler tell of them."""

    wing = _one_of(
        gettext_lazy("Outer wing"),
        ("two", gettext_lazy("Ailerons, a servo each")), ("one", gettext_lazy("Ailerons, one servo for both")),
        ("flaperons", gettext_lazy("Flaperons: ailerons that also droop")),
        ("elevons", gettext_lazy("Elevons: roll and pitch")), ("none", gettext_lazy("Nothing")),
    )  # fmt: skip
    inner_flaps = _tick(gettext_lazy("Inner flaps"))
    outer_flaps = _tick(gettext_lazy("Outer flaps"))
    spoilers = _tick(gettext_lazy("Spoilers"))
    flap_lead = _tick(gettext_lazy("Each pair of flaps on one channel, by a Y-lead"))
    crow = _tick(gettext_lazy("Ailerons go up with the brake: crow"))
    tail = _one_of(
        gettext_lazy("Tail"),
        ("conventional", gettext_lazy("Tailplane and fin")), ("t", gettext_lazy("T-tail")),
        ("v", gettext_lazy("V-tail")), ("inverted_v", gettext_lazy("Inverted V-tail")),
        ("canard", gettext_lazy("Canard, in front")), ("none", pgettext_lazy("tail", "None")),
    )  # fmt: skip
    rudder = _tick(gettext_lazy("Rudder on the fin"))
    nose = _one_of(
        gettext_lazy("Motor"),
        ("none", pgettext_lazy("motor", "None")), ("electric", gettext_lazy("Electric motor")),
        ("engine", gettext_lazy("Engine")),
    )  # fmt: skip
    release = _tick(gettext_lazy("Tow release"))
    retract = _tick(gettext_lazy("Retracting undercarriage"))
    wheel_brake = _tick(gettext_lazy("Wheel brake"))
    receiver_channels = NumberField(
        label=gettext_lazy("Channels of its receiver"), whole=True, least=1, most=64, required=False,
        help_text=gettext_lazy("To see whether they are enough. Leave it out if you do not know."),
    )  # fmt: skip
    cg_datum = forms.CharField(label=gettext_lazy("Balance is measured from"), max_length=120, required=False)
    cg_low_mm = LengthField(label=gettext_lazy("Foremost"), least=-10_000, most=10_000, required=False)
    cg_high_mm = LengthField(label=gettext_lazy("Rearmost"), least=-10_000, most=10_000, required=False)
    mass_g = NumberField(label=gettext_lazy("Mass ready to fly, in g"), least=1, most=150_000, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"wing": "two", "tail": "conventional", "rudder": True, "nose": "none"})
        super().__init__(*args, **kwargs)
        for kind in CHORDS:
            self.fields[f"chord_{kind}"] = LengthField(label=_CHORD_WORDS[kind], least=1, most=5000, required=False)
        self.chosen: dict[str, Any] = dict(self.initial)

    def shape(self, span_mm: Any = None) -> Shape:
        """What was chosen, whether or not it can fly; a choice that is none counts as the usual one."""
        self.is_valid()
        return _shape_of(self.chosen, span_mm)

    @property
    def chords(self) -> list[forms.BoundField]:
        return [self[f"chord_{kind}"] for kind in CHORDS]

    @property
    def kit_is_wrong(self) -> bool:
        """What kit and ruler tell is folded away on the page, but not where something is wrong with it."""
        return any(self[name].errors for name in _KIT) or any(field.errors for field in self.chords)

    def clean_cg_datum(self) -> str:
        text = str(self.cleaned_data["cg_datum"])
        if not text.isprintable():
            told = _("This holds a control character, such as a line break; give one line of text.")
            raise forms.ValidationError(told)
        return text

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        # An error takes its field out of what was cleaned, and the drawing shows it all the same.
        self.chosen = dict(cleaned)
        low, high = cleaned.get("cg_low_mm"), cleaned.get("cg_high_mm")
        if (low is None) != (high is None) and not {"cg_low_mm", "cg_high_mm"} & self.errors.keys():
            self.add_error("cg_low_mm" if low is None else "cg_high_mm", _("Give both ends of the range, or neither."))
        if low is not None and high is not None and low > high:
            told = _("{rearmost} is ahead of {foremost}: the rearmost place is the larger figure.")
            self.add_error("cg_high_mm", told.format(rearmost=length(high), foremost=length(low)))
        if not {"wing", "tail", "nose"} & self.errors.keys():
            for name, text in _shape_of(cleaned).problems(cleaned.get("receiver_channels")).items():
                self.add_error(name, text)
        return cleaned


def _shape_of(given: dict[str, Any], span_mm: Any = None) -> Shape:
    low, high = given.get("cg_low_mm"), given.get("cg_high_mm")
    chosen = {name: given[name] for name in _TAKEN if given.get(name) is not None}
    return Shape(
        **chosen,
        span_mm=span_mm,
        chords_mm={kind: given[f"chord_{kind}"] for kind in CHORDS if given.get(f"chord_{kind}") is not None},
        cg_range_mm=(low, high) if low is not None and high is not None and low <= high else None,
    )
