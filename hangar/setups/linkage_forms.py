"""What is asked of a linkage: readings of a ruler, and which holes of arm and horn give wanted throws."""

import re
from typing import Any

from django import forms

from hangar.inputs import NumberField, read_number, read_throw
from hangar.pictures.words import short
from mixing import calibrate, solve
from mixing.calibrate import Calibrated
from mixing.document import FourBar, Setup, Surface
from mixing.errors import LinkageError
from mixing.linkage import Linkage
from mixing.rig import Rig
from mixing.solve import ArmAndHorn

_LINE = re.compile(r"\s*([^\s%µu:]+)\s*(%|µs|us)?\s*:?\s+(.*)")
_MOST_HOLES = 40
_SHOWN = 10


class ReadingsForm(forms.Form):
    """Throws read with a ruler at known pulses or travels."""

    readings = forms.CharField(
        label="Readings", widget=forms.Textarea(attrs={"rows": 7, "class": "number"}), max_length=8000,
        error_messages={"required": "Give at least two readings, one a line, such as 1000 14 up."},
    )  # fmt: skip

    def __init__(self, *args: Any, setup: Setup, surface: Surface, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.setup, self.surface = setup, surface
        ways = "right", "left"
        if surface.role != "rudder":
            ways = "up", "down"
        self.fields["readings"].help_text = (
            f"One a line, in the order in which you read them: the pulse in µs or the travel in %, then the throw. "
            f"1000 14 {ways[0]}; 1500 0; +100 % 12.5 {ways[1]}. Read each place once coming from either side, and the "
            f"play is told too."
        )
        self.measurements: list[tuple[float, float]] = []
        self.fitted: Calibrated | None = None

    def clean_readings(self) -> str:
        text: str = self.cleaned_data["readings"]
        lines = [line for line in text.splitlines() if line.strip()]
        if len(lines) > 200:
            raise forms.ValidationError(f"{len(lines)} readings were given; give at most 200.")
        try:
            self.measurements = [self._read(number, line) for number, line in enumerate(lines, 1)]
            self.fitted = calibrate.linkage(self.measurements)
        except ValueError as error:
            raise forms.ValidationError(_sentence(str(error))) from error
        return text

    def _read(self, number: int, line: str) -> tuple[float, float]:
        match = _LINE.fullmatch(line.strip())
        if match is None:
            raise ValueError(f"Line {number}: “{line.strip()[:40]}” is no reading; give one such as 1000 14 up.")
        try:
            place = read_number(match[1])
            throw = read_throw(match[3], sideways=self.surface.role == "rudder")
        except ValueError as error:
            raise ValueError(f"Line {number}: {error}") from None
        if match[2] == "%":
            if abs(place) > 200:
                raise ValueError(f"Line {number}: a travel of {short(place)} % was given; give −200 to 200 %.")
            place = float(Rig(self.setup).pulse(self.setup.channel(self.surface.channel), place)[0])
        if not 300 <= place <= 3000:
            raise ValueError(
                f"Line {number}: a pulse of {short(place)} µs was given; give 300 to 3000 µs, or a travel in %."
            )
        return place, throw


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith('.') else '.'}"


class HolesForm(forms.Form):
    """Wanted throws, where the pivots are, and the holes that there are."""

    up_mm = NumberField(label="Up, in mm", least=0, most=1000)
    down_mm = NumberField(label="Down, in mm", least=0, most=1000)
    pivot_d_mm = NumberField(label="Servo pivot to hinge, in mm", least=1, most=5000, help_text="Along the model.")
    pivot_e_mm = NumberField(label="and across, in mm", least=-5000, most=5000)
    arm_holes = forms.CharField(label="Holes of the arm, in mm", max_length=200, help_text="6 to 20, or 8, 10.5, 13.")
    horn_holes = forms.CharField(label="Holes of the horn, in mm", max_length=200, help_text="From the hinge line.")
    most_pct = NumberField(label="Travel to use at most, in %", least=10, most=200)

    def __init__(self, *args: Any, setup: Setup, surface: Surface, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.setup, self.surface = setup, surface
        if surface.role == "rudder":
            self.fields["up_mm"].label, self.fields["down_mm"].label = "Right, in mm", "Left, in mm"

    def clean_arm_holes(self) -> tuple[float, ...]:
        return read_holes(self.cleaned_data["arm_holes"])

    def clean_horn_holes(self) -> tuple[float, ...]:
        return read_holes(self.cleaned_data["horn_holes"])

    def choices(self) -> tuple[ArmAndHorn, ...]:
        """The best pairs of holes, those that use most of the travel first; empty where an error tells why."""
        if not self.is_valid():
            return ()
        given = self.cleaned_data
        try:
            base = start_of(self.setup, self.surface, given["pivot_d_mm"], given["pivot_e_mm"])
            return solve.arm_and_horn(
                up_mm=given["up_mm"], down_mm=given["down_mm"], chord_mm=self.surface.chord_mm, base=base,
                arm_holes_mm=given["arm_holes"], horn_holes_mm=given["horn_holes"],
                per_100_us=self.setup.signal.per_100_us, most_travel_pct=given["most_pct"],
            )[:_SHOWN]  # fmt: skip
        except (LinkageError, solve.SolveError, ValueError) as error:
            self.add_error("up_mm", _sentence(str(error)))
            return ()


def holes_asked(surface: Surface, ends_mm: tuple[float, float]) -> dict[str, Any]:
    """What the form shows before anything was asked: the throws of today, and the usual holes."""
    bar = surface.linkage if isinstance(surface.linkage, FourBar) else None
    return {
        "up_mm": round(max(0.0, -ends_mm[0]), 1), "down_mm": round(max(0.0, ends_mm[1]), 1),
        "pivot_d_mm": bar.pivot_mm[0] if bar else 80.0, "pivot_e_mm": bar.pivot_mm[1] if bar else 0.0,
        "arm_holes": "6 to 20", "horn_holes": "8 to 25", "most_pct": 100.0,
    }  # fmt: skip


def start_of(setup: Setup, surface: Surface, along_mm: float, across_mm: float) -> FourBar:
    """The linkage whose holes are looked for: as it is, or a square one that moves the surface as it moves now."""
    linkage: Linkage = surface.linkage
    if isinstance(linkage, FourBar):
        return FourBar.model_validate({**linkage.model_dump(), "pivot_mm": (along_mm, across_mm)})
    centre = setup.channel(surface.channel).centre_us
    rig = Rig(setup)
    low, high = (float(rig.follow(surface, centre + step).deflection_deg) for step in (-5.0, 5.0))
    return FourBar(
        arm_mm=10, horn_mm=12, pivot_mm=(along_mm, across_mm), neutral_us=centre, push="lowers",
        longer_pulse="pushes" if high >= low else "pulls",
    )  # fmt: skip


def read_holes(text: str) -> tuple[float, ...]:
    """Distances of holes: "6 to 20", every mm of it, or "8, 10.5, 13"."""
    ranged = re.fullmatch(r"\s*([\d.,]+)\s*(?:to|–|-)\s*([\d.,]+)\s*", text)
    try:
        if ranged:
            low, high = read_number(ranged[1]), read_number(ranged[2])
            found = [low + step for step in range(int(min(high - low, 1000)) + 1)] if high >= low else []
        else:
            found = [read_number(one) for one in re.split(r"[;\s]+|,\s+|,(?=\d+(?:,|$))", text.strip()) if one]
    except ValueError as error:
        raise forms.ValidationError(str(error)) from error
    if not found or len(found) > _MOST_HOLES or not all(0 < one <= 1000 for one in found):
        raise forms.ValidationError(f"“{text[:40]}” names no holes; give 1 to {_MOST_HOLES} of them, such as 6 to 20.")
    return tuple(dict.fromkeys(found))
