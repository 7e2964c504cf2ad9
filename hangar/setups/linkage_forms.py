"""What is asked of a linkage: readings of a ruler, and which holes of arm and horn give wanted throws."""

import re
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from hangar.inputs import LengthField, NumberField, read_number, read_throw
from hangar.languages.lengths import from_reader, with_unit
from hangar.pictures.words import sentence, short, unit_word
from mixing import calibrate, solve
from mixing.calibrate import Calibrated
from mixing.document import FourBar, Setup, Surface
from mixing.errors import LinkageError
from mixing.language import MM_PER_INCH
from mixing.linkage import Linkage
from mixing.rig import Rig
from mixing.solve import ArmAndHorn
from mixing.wording import length_figure, length_unit, way_words

from .surface_forms import example_reading, shown_points

_LINE = re.compile(r"\s*([^\s%µu:]+)\s*(%|µs|us)?\s*:?\s+(.*)")
_MOST_READINGS = 200
_MOST_HOLES = 40
_STEP_INCH = 0.05
_HOLES_INCH = (0.3 * MM_PER_INCH, 0.4 * MM_PER_INCH, 0.5 * MM_PER_INCH)
"""Between the holes of a range in inches; in mm every mm."""
_SHOWN = 10


class ReadingsForm(forms.Form):
    """Throws read with a ruler at known pulses or travels."""

    readings = forms.CharField(
        label=gettext_lazy("Readings"), widget=forms.Textarea(attrs={"rows": 7, "class": "number"}), max_length=8000
    )

    def __init__(self, *args: Any, setup: Setup, surface: Surface, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.setup, self.surface = setup, surface
        self.example = example_reading({"role": surface.role})
        second = length_figure(12.5 if length_unit() == "mm" else 12.7, 2)
        ends = f"{self.example}; 1500 0; +100 % {second} {way_words(1.0, surface.role)}"
        self.fields["readings"].help_text = _(
            "One a line, in the order in which you read them: the pulse in µs or the travel in %, then the throw in "
            "{unit}. {examples}. Read each place once coming from either side, and the play is told too."
        ).format(unit=unit_word(), examples=ends)
        self.fields["readings"].error_messages["required"] = _(
            "Give at least two readings, one a line, such as {example}."
        ).format(example=self.example)
        # A line that is left as it was shown stays the reading that it was.
        points = surface.linkage.points if surface.linkage.kind == "measured" else ()
        self.shown = shown_points([list(point) for point in points], surface.role)
        self.measurements: list[tuple[float, float]] = []
        self.fitted: Calibrated | None = None

    def clean_readings(self) -> str:
        text: str = self.cleaned_data["readings"]
        lines = [line for line in text.splitlines() if line.strip()]
        if len(lines) > _MOST_READINGS:
            told = _("{count} readings were given; give at most {most}.")
            raise forms.ValidationError(told.format(count=len(lines), most=_MOST_READINGS))
        try:
            self.measurements = [self._read(number, line) for number, line in enumerate(lines, 1)]
            self.fitted = calibrate.linkage(self.measurements)
        except ValueError as error:
            raise forms.ValidationError(sentence(str(error))) from error
        return text

    def _read(self, number: int, line: str) -> tuple[float, float]:
        known = self.shown.get(line.strip())
        if known is not None:
            return known
        try:
            return self._typed(line)
        except ValueError as error:
            raise ValueError(_("Line {number}: {problem}").format(number=number, problem=error)) from None

    def _typed(self, line: str) -> tuple[float, float]:
        """A reading as someone types it: pulse and throw."""
        match = _LINE.fullmatch(line.strip())
        if match is None:
            told = _("“{typed}” is no reading; give one such as {example}.")
            raise ValueError(told.format(typed=line.strip()[:40], example=self.example))
        place = read_number(match[1])
        throw = read_throw(match[3], sideways=self.surface.role == "rudder")
        if match[2] == "%":
            if abs(place) > 200:
                told = _("a travel of {travel} % was given; give −200 to 200 %.")
                raise ValueError(told.format(travel=short(place)))
            place = float(Rig(self.setup).pulse(self.setup.channel(self.surface.channel), place)[0])
        if not 300 <= place <= 3000:
            told = _("a pulse of {pulse} µs was given; give 300 to 3000 µs, or a travel in %.")
            raise ValueError(told.format(pulse=short(place)))
        return place, throw


class HolesForm(forms.Form):
    """Wanted throws, where the pivots are, and the holes that there are."""

    up_mm = LengthField(label=gettext_lazy("Up"), least=0, most=1000)
    down_mm = LengthField(label=gettext_lazy("Down"), least=0, most=1000)
    pivot_d_mm = LengthField(
        label=gettext_lazy("Servo pivot to hinge"), least=1, most=5000, help_text=gettext_lazy("Along the model.")
    )
    pivot_e_mm = LengthField(label=gettext_lazy("and across"), least=-5000, most=5000)
    arm_holes = forms.CharField(max_length=200)
    horn_holes = forms.CharField(max_length=200, help_text=gettext_lazy("From the hinge line."))
    most_pct = NumberField(label=gettext_lazy("Travel to use at most, in %"), least=10, most=200)

    def __init__(self, *args: Any, setup: Setup, surface: Surface, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.setup, self.surface = setup, surface
        if surface.role == "rudder":
            self.fields["up_mm"].label, self.fields["down_mm"].label = _("Right"), _("Left")
        unit = length_unit()
        self.fields["arm_holes"].label = _("Holes of the arm, {unit}").format(unit=unit)
        self.fields["horn_holes"].label = _("Holes of the horn, {unit}").format(unit=unit)
        listed = "; ".join(length_figure(one, 2) for one in ((8, 10.5, 13) if unit == "mm" else _HOLES_INCH))
        self.fields["arm_holes"].help_text = _("{range}, or {list}.").format(range=_range(6, 20), list=listed)

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
            self.add_error("up_mm", sentence(str(error)))
            return ()


def taking(form: HolesForm, pair: ArmAndHorn) -> list[tuple[str, str]]:
    """What the page sends to take a pair: the form again with one hole each. Lengths are in mm and say so, so that
    what is taken is what was found, whatever the reader measures in."""
    given = form.cleaned_data
    lengths = {name: given[name] for name in ("up_mm", "down_mm", "pivot_d_mm", "pivot_e_mm")}
    lengths |= {"arm_holes": pair.linkage.arm_mm, "horn_holes": pair.linkage.horn_mm}
    return [*((name, f"{_exactly(value)} mm") for name, value in lengths.items()),
            ("most_pct", _exactly(given["most_pct"]))]  # fmt: skip


def _exactly(value: float) -> str:
    """Every figure of a number, without an exponent."""
    return f"{Decimal(repr(float(value))):f}"


def holes_asked(surface: Surface, ends_mm: tuple[float, float]) -> dict[str, Any]:
    """What the form shows before anything was asked: the throws of today, and the usual holes."""
    bar = surface.linkage if isinstance(surface.linkage, FourBar) else None
    return {
        "up_mm": round(max(0.0, -ends_mm[0]), 1), "down_mm": round(max(0.0, ends_mm[1]), 1),
        "pivot_d_mm": bar.pivot_mm[0] if bar else 80.0, "pivot_e_mm": bar.pivot_mm[1] if bar else 0.0,
        "arm_holes": _range(6, 20), "horn_holes": _range(8, 25), "most_pct": 100.0,
    }  # fmt: skip


def _range(low_mm: float, high_mm: float) -> str:
    """The holes of a usual arm or horn, as they are typed: "6 to 20", in inches to a twentieth."""
    ends = [low_mm, high_mm]
    if length_unit() != "mm":
        ends = [round(end / MM_PER_INCH / _STEP_INCH) * _STEP_INCH * MM_PER_INCH for end in ends]
    return _("{low} to {high}").format(low=length_figure(ends[0], 2), high=length_figure(ends[1], 2))


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
    """Distances of holes [mm]: "6 to 20", every mm of it, or "8, 10.5, 13"; a unit may stand behind the last one."""
    bare, unit = with_unit(text)
    try:
        found = [from_reader(number, unit) for number in _numbers(bare, unit or length_unit())]
    except ValueError as error:
        raise forms.ValidationError(str(error)) from error
    if not found or len(found) > _MOST_HOLES or not all(0 < one <= 1000 for one in found):
        told = _("“{typed}” names no holes; give 1 to {most} of them, such as {example}.")
        raise forms.ValidationError(told.format(typed=text[:40], most=_MOST_HOLES, example=_range(6, 20)))
    return tuple(dict.fromkeys(found))


def _numbers(text: str, unit: str) -> list[float]:
    """The figures that a range or a list names, in `unit`."""
    ranged = re.fullmatch(r"\s*([\d.,]+)\s*(?:to|bis|–|-)\s*([\d.,]+)\s*", text)
    if ranged is None:
        return [read_number(one) for one in re.split(r"[;\s]+|,\s+|,(?=\d+(?:,|$))", text.strip()) if one]
    low, high = read_number(ranged[1]), read_number(ranged[2])
    step = _STEP_INCH if unit == "in" else 0.1 if unit == "cm" else 1.0
    count = int(min((high - low) / step + 1e-9, 1000)) if high >= low else -1
    return [round(low + step * n, 6) for n in range(count + 1)]
