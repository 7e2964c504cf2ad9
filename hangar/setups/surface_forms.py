"""The form of a control surface with its linkage, of which there are three kinds."""

import re
from collections.abc import Mapping
from typing import Any

from django import forms

from hangar.inputs import NumberField, read_number, read_throw
from hangar.pictures.words import direction

from .editing import Data
from .part_forms import ChannelField, PartForm, channel_choices

ROLES = [
    ("aileron", "aileron"), ("flap", "flap"), ("elevator", "elevator"), ("canard", "canard"), ("rudder", "rudder"),
    ("elevon", "elevon"), ("flaperon", "flaperon"), ("ruddervator", "V-tail panel"),
    ("ruddervator_inverted", "inverted V-tail panel"), ("spoiler", "spoiler"), ("other", "another surface"),
]  # fmt: skip
KINDS = [
    ("unmeasured", "not measured yet: throws are estimated"),
    ("measured", "measured with a ruler at known pulses"),
    ("four_bar", "from the lengths of servo arm, pushrod and horn"),
]
FOUR_BAR = (
    "arm_mm", "horn_mm", "pivot_d_mm", "pivot_e_mm", "arm_neutral_deg", "horn_neutral_deg", "neutral_us",
    "servo_deg_per_1000_us", "longer_pulse", "push",
)  # fmt: skip
PLAIN = ("label", "role", "side", "channel", "chord_mm", "stop_up_deg", "stop_down_deg", "measure_at", "neutral_ref")


class SurfaceForm(PartForm):
    label = forms.CharField(max_length=80, help_text="Such as “Right aileron”.")
    role = forms.ChoiceField(label="It is a", choices=ROLES)
    side = forms.ChoiceField(choices=[("left", "left"), ("right", "right"), ("centre", "centre")])
    pair = forms.CharField(
        max_length=80, required=False, help_text="The same word on a left and a right surface that belong together."
    )
    channel = ChannelField(help_text="Two surfaces on one channel are a Y-lead.")
    chord_mm = NumberField(label="Chord from the hinge line, in mm", help_text="Where the ruler goes.")
    stop_up_deg = NumberField(label="Stop up, in degrees", help_text="How far it can go before something touches.")
    stop_down_deg = NumberField(label="Stop down, in degrees", help_text="A rudder: up means right, down means left.")
    measure_at = forms.CharField(label="Where the ruler goes", max_length=200, required=False)
    neutral_ref = forms.CharField(label="What neutral is flush with", max_length=200, required=False)

    kind = forms.ChoiceField(label="Its linkage is", choices=KINDS, widget=forms.RadioSelect, initial="unmeasured")
    points = forms.CharField(
        label="Readings", required=False, widget=forms.Textarea(attrs={"rows": 5}),
        help_text="One a line, pulse and throw: 1000 14 up. At least two, in order.",
    )  # fmt: skip
    deg_per_1000_us = NumberField(label="Assumed degrees for 1000 µs", required=False, initial=60)
    assumed_way = forms.ChoiceField(
        label="A longer pulse",
        required=False,
        choices=[("lowers", "lowers it (a rudder: left)"), ("raises", "raises it (a rudder: right)")],
    )
    arm_mm = NumberField(label="Servo arm, in mm", required=False)
    horn_mm = NumberField(label="Horn, in mm", required=False)
    pivot_d_mm = NumberField(label="From servo pivot to hinge, along, in mm", required=False)
    pivot_e_mm = NumberField(label="and across, in mm", required=False, initial=0)
    arm_neutral_deg = NumberField(
        label="Lean of the arm at neutral, in degrees", required=False, initial=0,
        help_text="From the perpendicular to the line of the pivots; positive leans towards the hinge.",
    )  # fmt: skip
    horn_neutral_deg = NumberField(
        label="Lean of the horn at neutral, in degrees", required=False, initial=0,
        help_text="Positive leans away from the servo.",
    )  # fmt: skip
    neutral_us = NumberField(label="Pulse at neutral, in µs", required=False, initial=1500)
    servo_deg_per_1000_us = NumberField(label="Servo degrees for 1000 µs", required=False, initial=90)
    longer_pulse = forms.ChoiceField(
        label="A longer pulse", required=False, choices=[("pushes", "pushes the rod"), ("pulls", "pulls the rod")]
    )
    push = forms.ChoiceField(
        label="A push",
        required=False,
        choices=[("lowers", "lowers it (a rudder: left)"), ("raises", "raises it (a rudder: right)")],
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
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
                self.add_error(name, "This is needed for a linkage of this kind.")
        if kind == "measured" and self.cleaned_data.get("points"):
            try:
                self.cleaned_data["points"] = read_points(
                    self.cleaned_data["points"], str(self.cleaned_data.get("role"))
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


def points_text(points: Any, role: str) -> str:
    """Readings as `read_points` reads them, exactly."""
    if not isinstance(points, list):
        return str(points or "")
    return "\n".join(f"{pulse:.10g} {_throw_text(throw, role)}" for pulse, throw in points)


def _throw_text(throw: Any, role: str) -> str:
    """A reading exactly as it is stored: what is saved again unchanged must stay unchanged."""
    if not isinstance(throw, int | float) or throw == 0:
        return str(throw)
    return f"{abs(throw):.10g} {direction(throw, role, digits=9)}"


def read_points(text: str, role: str) -> list[list[float]]:
    """Readings, one a line: "1000 14 up". ValueError in words, naming the line."""
    points = []
    for number, line in enumerate((line for line in text.splitlines() if line.strip()), 1):
        pulse, _, throw = line.strip().partition(" ")
        try:
            points.append([read_number(pulse.rstrip(":")), read_throw(throw.strip(), sideways=role == "rudder")])
        except ValueError as error:
            raise ValueError(f"Line {number}: {error}") from None
    return points
