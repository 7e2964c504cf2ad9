"""The forms of the page for a new airframe: its facts, and what sits where on it."""

from typing import Any

from django import forms

from hangar.inputs import NumberField

from .shapes import CHORDS, EXTRAS, Shape

_CHORD_WORDS = {
    "aileron": "Ailerons, flaperons or elevons", "flap": "Flaps", "spoiler": "Spoilers",
    "elevator": "Elevator, V-tail or canard", "rudder": "Rudder",
}  # fmt: skip
_KIT = ("receiver_channels", "cg_datum", "cg_low_mm", "cg_high_mm", "mass_g")
_TAKEN = (
    "wing", "inner_flaps", "outer_flaps", "flap_lead", "spoilers", "crow", "tail", "rudder", "nose", *EXTRAS,
    "cg_datum", "mass_g",
)  # fmt: skip


class FactsForm(forms.Form):
    """What the club calls the model."""

    name = forms.CharField(
        max_length=80, error_messages={"required": "Give the name by which the club knows the model."}
    )
    span_mm = NumberField(label="Wing span in mm", whole=True, least=1, most=100_000, required=False)
    mark = forms.CharField(label="Identification mark", max_length=40, required=False)


def _tick(label: str, help_text: str = "") -> forms.BooleanField:
    return forms.BooleanField(label=label, help_text=help_text, required=False)


def _one_of(label: str, *choices: tuple[str, str]) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=choices, widget=forms.RadioSelect)


class ShapeForm(forms.Form):
    """The parts of a model as they are seen from above, and what kit and ruler tell of them."""

    wing = _one_of(
        "Outer wing",
        ("two", "Ailerons, a servo each"), ("one", "Ailerons, one servo for both"),
        ("flaperons", "Flaperons: ailerons that also droop"), ("elevons", "Elevons: roll and pitch"),
        ("none", "Nothing"),
    )  # fmt: skip
    inner_flaps = _tick("Inner flaps")
    outer_flaps = _tick("Outer flaps")
    spoilers = _tick("Spoilers")
    flap_lead = _tick("Each pair of flaps on one channel, by a Y-lead")
    crow = _tick("Ailerons go up with the brake: crow")
    tail = _one_of(
        "Tail",
        ("conventional", "Tailplane and fin"), ("t", "T-tail"), ("v", "V-tail"),
        ("inverted_v", "Inverted V-tail"), ("canard", "Canard, in front"), ("none", "None"),
    )  # fmt: skip
    rudder = _tick("Rudder on the fin")
    nose = _one_of("Motor", ("none", "None"), ("electric", "Electric motor"), ("engine", "Engine"))
    release = _tick("Tow release")
    retract = _tick("Retracting undercarriage")
    wheel_brake = _tick("Wheel brake")
    receiver_channels = NumberField(
        label="Channels of its receiver", whole=True, least=1, most=64, required=False,
        help_text="To see whether they are enough. Leave it out if you do not know.",
    )  # fmt: skip
    cg_datum = forms.CharField(label="Balance is measured from", max_length=120, required=False)
    cg_low_mm = NumberField(label="Foremost, in mm", least=-10_000, most=10_000, required=False)
    cg_high_mm = NumberField(label="Rearmost, in mm", least=-10_000, most=10_000, required=False)
    mass_g = NumberField(label="Mass ready to fly, in g", least=1, most=150_000, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"wing": "two", "tail": "conventional", "rudder": True, "nose": "none"})
        super().__init__(*args, **kwargs)
        for kind in CHORDS:
            self.fields[f"chord_{kind}"] = NumberField(label=_CHORD_WORDS[kind], least=1, most=5000, required=False)

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
            raise forms.ValidationError("This holds a control character, such as a line break; give one line of text.")
        return text

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        # An error takes its field out of what was cleaned, and the drawing shows it all the same.
        self.chosen = dict(cleaned)
        low, high = cleaned.get("cg_low_mm"), cleaned.get("cg_high_mm")
        if (low is None) != (high is None) and not {"cg_low_mm", "cg_high_mm"} & self.errors.keys():
            self.add_error("cg_low_mm" if low is None else "cg_high_mm", "Give both ends of the range, or neither.")
        if low is not None and high is not None and low > high:
            self.add_error("cg_high_mm", f"{high:g} is ahead of {low:g}: the rearmost place is the larger figure.")
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
