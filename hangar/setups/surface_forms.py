"""The form of a control surface with its linkage, of which there are three kinds."""

import re
from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from hangar.inputs import LengthField, NumberField, as_typed, read_number, read_throw
from hangar.pictures.words import unit_word
from mixing import wording
from mixing.wording import length_unit

from .editing import Data
from .part_forms import ChannelField, PartForm, channel_choices

ROLES = {
    "aileron": gettext_lazy("aileron"), "flap": gettext_lazy("flap"), "elevator": gettext_lazy("elevator"),
    "canard": gettext_lazy("canard"), "rudder": gettext_lazy("rudder"), "elevon": gettext_lazy("elevon"),
    "flaperon": gettext_lazy("flaperon"), "ruddervator": gettext_lazy("V-tail panel"),
    "ruddervator_inverted": gettext_lazy("inverted V-tail panel"), "spoiler": gettext_lazy("spoiler"),
    "other": gettext_lazy("another surface"),
}  # fmt: skip
SIDES = {
    "left": gettext_lazy("left"), "right": gettext_lazy("right"), "centre": gettext_lazy("centre"),
}  # fmt: skip
KINDS = [
    ("unmeasured", gettext_lazy("not measured yet: throws are estimated")),
    ("measured", gettext_lazy("measured with a ruler at known pulses")),
    ("four_bar", gettext_lazy("from the lengths of servo arm, pushrod and horn")),
]
_LOWERS = [
    ("lowers", gettext_lazy("lowers it (a rudder: left)")), ("raises", gettext_lazy("raises it (a rudder: right)")),
]  # fmt: skip
FOUR_BAR = (
    "arm_mm", "horn_mm", "pivot_d_mm", "pivot_e_mm", "arm_neutral_deg", "horn_neutral_deg", "neutral_us",
    "servo_deg_per_1000_us", "longer_pulse", "push",
)  # fmt: skip
PLAIN = ("label", "role", "side", "channel", "chord_mm", "stop_up_deg", "stop_down_deg", "measure_at", "neutral_ref")


class SurfaceForm(PartForm):
    label = forms.CharField(
        label=gettext_lazy("Label"), max_length=80, help_text=gettext_lazy("Such as “Right aileron”.")
    )
    role = forms.ChoiceField(label=gettext_lazy("It is a"), choices=list(ROLES.items()))
    side = forms.ChoiceField(label=gettext_lazy("Side"), choices=list(SIDES.items()))
    pair = forms.CharField(
        label=gettext_lazy("Pair"), max_length=80, required=False,
        help_text=gettext_lazy("The same word on a left and a right surface that belong together."),
    )  # fmt: skip
    channel = ChannelField(help_text=gettext_lazy("Two surfaces on one channel are a Y-lead."))
    chord_mm = LengthField(
        label=gettext_lazy("Chord from the hinge line"), help_text=gettext_lazy("Where the ruler goes.")
    )
    stop_up_deg = NumberField(
        label=gettext_lazy("Stop up, in degrees"),
        help_text=gettext_lazy("How far it can go before something touches."),
    )  # fmt: skip
    stop_down_deg = NumberField(
        label=gettext_lazy("Stop down, in degrees"),
        help_text=gettext_lazy("A rudder: up means right, down means left."),
    )  # fmt: skip
    measure_at = forms.CharField(label=gettext_lazy("Where the ruler goes"), max_length=200, required=False)
    neutral_ref = forms.CharField(label=gettext_lazy("What neutral is flush with"), max_length=200, required=False)

    kind = forms.ChoiceField(
        label=gettext_lazy("Its linkage is"), choices=KINDS, widget=forms.RadioSelect, initial="unmeasured"
    )
    points = forms.CharField(
        label=gettext_lazy("Readings"), required=False, widget=forms.Textarea(attrs={"rows": 5}),
    )  # fmt: skip
    deg_per_1000_us = NumberField(label=gettext_lazy("Assumed degrees for 1000 µs"), required=False, initial=60)
    assumed_way = forms.ChoiceField(label=gettext_lazy("A longer pulse"), required=False, choices=_LOWERS)
    arm_mm = LengthField(label=gettext_lazy("Servo arm"), required=False)
    horn_mm = LengthField(label=gettext_lazy("Horn"), required=False)
    pivot_d_mm = LengthField(label=gettext_lazy("From servo pivot to hinge, along"), required=False)
    pivot_e_mm = LengthField(label=gettext_lazy("and across"), required=False, initial=0)
    arm_neutral_deg = NumberField(
        label=gettext_lazy("Lean of the arm at neutral, in degrees"), required=False, initial=0,
        help_text=gettext_lazy(
            "From the perpendicular to the line of the pivots; positive leans towards the hinge."
        ),
    )  # fmt: skip
    horn_neutral_deg = NumberField(
        label=gettext_lazy("Lean of the horn at neutral, in degrees"), required=False, initial=0,
        help_text=gettext_lazy("Positive leans away from the servo."),
    )  # fmt: skip
    neutral_us = NumberField(label=gettext_lazy("Pulse at neutral, in µs"), required=False, initial=1500)
    servo_deg_per_1000_us = NumberField(label=gettext_lazy("Servo degrees for 1000 µs"), required=False, initial=90)
    longer_pulse = forms.ChoiceField(
        label=gettext_lazy("A longer pulse"), required=False,
        choices=[("pushes", gettext_lazy("pushes the rod")), ("pulls", gettext_lazy("pulls the rod"))],
    )  # fmt: skip
    push = forms.ChoiceField(label=gettext_lazy("A push"), required=False, choices=_LOWERS)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        told = _("One a line, pulse and throw in {unit}: {example}. At least two, in order.")
        self.fields["points"].help_text = told.format(unit=unit_word(), example=example_reading(self.initial))
        self.fields["channel"].choices = channel_choices(self.draft)  # type: ignore[attr-defined]

    def plain_fields(self) -> list[Any]:
        """The fields of the surface itself."""
        return [self[name] for name in (*PLAIN[:3], "pair", *PLAIN[3:])]

    def four_bar_fields(self) -> list[Any]:
        """The fields of a linkage from its lengths."""
        return [self[name] for name in FOUR_BAR]

    @classmethod
    def initial_of(cls, part: Mapping[str, Any]) -> dict[str, Any]:
        initial = {**part, "pair": part.get("pair") or ""}
        linkage = part.get("linkage") or {}
        initial["kind"] = linkage.get("kind", "unmeasured")
        if initial["kind"] == "measured":
            initial["points"] = points_text(linkage.get("points"), str(part.get("role")))
        elif initial["kind"] == "four_bar":
            pivot = linkage.get("pivot_mm") or [None, None]
            initial |= {**linkage, "pivot_d_mm": pivot[0], "pivot_e_mm": pivot[1]}
        else:
            initial |= {"deg_per_1000_us": linkage.get("deg_per_1000_us"), "assumed_way": linkage.get("longer_pulse")}
        return initial

    def clean(self) -> None:
        kind = self.cleaned_data.get("kind")
        needed = {"measured": ("points",), "unmeasured": ("deg_per_1000_us",), "four_bar": FOUR_BAR[:8]}
        for name in needed.get(str(kind), ()):
            if name not in self.errors and self.cleaned_data.get(name) in (None, ""):
                self.add_error(name, _("This is needed for a linkage of this kind."))
        if kind == "measured" and self.cleaned_data.get("points"):
            try:
                role, linkage = str(self.cleaned_data.get("role")), self.initial.get("linkage") or {}
                self.cleaned_data["points"] = read_points(
                    self.cleaned_data["points"], role, shown_points(linkage.get("points"), role)
                )
            except ValueError as error:
                self.add_error("points", str(error))

    def part(self) -> Data:
        part = {name: self.value(name) for name in PLAIN}
        return {**part, "pair": self.value("pair") or None, "linkage": self._linkage()}

    def _linkage(self) -> Data:
        kind = self.value("kind")
        if kind == "measured":
            return {"kind": kind, "points": self.value("points")}
        if kind == "four_bar":
            linkage = {name: self.value(name) for name in FOUR_BAR if not name.startswith("pivot")}
            return {"kind": kind, **linkage, "pivot_mm": [self.value("pivot_d_mm"), self.value("pivot_e_mm")]}
        return {
            "kind": kind,
            "deg_per_1000_us": self.value("deg_per_1000_us"),
            "longer_pulse": self.value("assumed_way") or "lowers",
        }

    def place_of(self, path: str) -> str | None:
        if path.startswith("linkage.pivot_mm"):
            return "pivot_e_mm" if path.endswith("[1]") else "pivot_d_mm"
        if path == "linkage.longer_pulse" and self.value("kind") == "unmeasured":
            return "assumed_way"
        if path == "linkage":
            return {"measured": "points", "four_bar": "arm_mm"}.get(str(self.value("kind")), "kind")
        return super().place_of(re.sub(r"^linkage\.", "", path))


Shown = Mapping[str, tuple[float, float]]


def points_text(points: Any, role: str) -> str:
    """Readings as `read_points` reads them, in the reader's unit."""
    if not isinstance(points, list):
        return str(points or "")
    return "\n".join(_line(pulse, throw, role) for pulse, throw in points)


def shown_points(points: Any, role: str) -> dict[str, tuple[float, float]]:
    """Stored readings by the line in which they are shown: a line that is left as it was stays what it was."""
    if not isinstance(points, list):
        return {}
    return {_line(pulse, throw, role): (pulse, throw) for pulse, throw in points}


def _line(pulse: Any, throw: Any, role: str) -> str:
    """One reading: exact in mm, to a thousandth in inches."""
    told = as_typed(pulse)
    if not isinstance(throw, int | float):
        return f"{told} {throw}"
    size = as_typed(abs(throw)) if length_unit() == "mm" else wording.length_figure(abs(throw), 2)
    return f"{told} {size} {wording.way_words(throw, role)}" if throw else f"{told} 0"


def example_reading(part: Mapping[str, Any]) -> str:
    """A reading as it is to be typed for a surface of that role, in the reader's words and unit."""
    size = 14.0 if length_unit() == "mm" else 12.7
    return _line(1000, size, "rudder") if part.get("role") == "rudder" else _line(1000, -size, "")


def read_points(text: str, role: str, shown: Shown) -> list[list[float]]:
    """Readings, one a line: "1000 14 up". ValueError in words, naming the line."""
    points = []
    for number, line in enumerate((line.strip() for line in text.splitlines() if line.strip()), 1):
        pulse, _space, throw = line.partition(" ")
        if line in shown:
            points.append(list(shown[line]))
            continue
        try:
            points.append([read_number(pulse.rstrip(":")), read_throw(throw.strip(), sideways=role == "rudder")])
        except ValueError as error:
            raise ValueError(_("Line {number}: {problem}").format(number=number, problem=error)) from None
    return points
