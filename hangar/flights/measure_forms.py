"""Forms about the model itself: work that was done, throws read with a ruler, and where it balanced."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils import timezone

from hangar.inputs import NumberField, read_throw
from hangar.pictures.words import throw_words
from hangar.setups.matrix import throw_matrix
from mixing import Rig, Setup
from mixing.document import Surface

from .models import WorkKind
from .operations import Read

FAR_MM = 1.0
"""A throw read further than this from the prediction is told."""


class WorkForm(forms.Form):
    """What was done to the model."""

    kind = forms.ChoiceField(label="Work on", choices=WorkKind.choices, widget=forms.RadioSelect)
    surface = forms.ChoiceField(
        label="Which surface", required=False, help_text="Leave it where the work touches more than one."
    )
    note = forms.CharField(
        label="What was done", max_length=500, error_messages={"required": "Say what was done, in a few words."}
    )
    on = forms.DateField(label="On", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))

    def __init__(self, *args: Any, setup: Setup | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        surfaces = setup.surfaces if setup is not None else ()
        labels = [("", "all, or more than one"), *((one.key, one.label) for one in surfaces)]
        self.fields["surface"].choices = labels  # type: ignore[attr-defined]
        self.fields["on"].initial = timezone.localdate

    def clean_on(self) -> datetime.datetime:
        """Now for today, else the noon of that day."""
        day: datetime.date = self.cleaned_data["on"]
        today = timezone.localdate()
        if day > today:
            raise forms.ValidationError(f"{day:%Y-%m-%d} is still to come; give the day when the work was done.")
        if day.year < 1900:
            raise forms.ValidationError("Give a day of our time, such as 2026-05-01.")
        return (
            timezone.now() if day == today else timezone.make_aware(datetime.datetime.combine(day, datetime.time(12)))
        )


class BalanceCheckForm(forms.Form):
    """Where the model balanced with one of its loads."""

    load = forms.ChoiceField(label="With", widget=forms.RadioSelect)
    cg_mm = NumberField(label="It balances at, in mm behind the datum", least=-10_000, most=10_000)
    mass_g = NumberField(label="Mass as weighed, in g", required=False, least=1, most=150_000)

    def __init__(self, *args: Any, setup: Setup, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        loads = [(load.key, load.label) for load in setup.balance.loads]
        self.fields["load"].choices = loads  # type: ignore[attr-defined]
        self.fields["load"].initial = loads[0][0]
        self.fields["cg_mm"].help_text = f"Measured from {setup.balance.cg_datum}."


@dataclass(frozen=True)
class Place:
    """One throw to read: a surface with a control at one of its ends."""

    control: str
    position: float
    words: str
    surface: Surface
    predicted_mm: float


class ReadingsForm(forms.Form):
    """Throws read with a ruler, beside what they should be; what was not read stays empty."""

    note = forms.CharField(required=False, max_length=500)

    def __init__(self, *args: Any, setup: Setup, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.places = list(_places(setup))
        for n, place in enumerate(self.places):
            self.fields[f"read_{n}"] = forms.CharField(
                label=place.surface.label, required=False, max_length=40,
                help_text=f"should be {throw_words(place.predicted_mm, place.surface.role)}",
            )  # fmt: skip

    @property
    def groups(self) -> list[tuple[str, list[Any]]]:
        """The boxes by where the control stands."""
        groups: dict[str, list[Any]] = {}
        for n, place in enumerate(self.places):
            groups.setdefault(place.words, []).append(self[f"read_{n}"])
        return list(groups.items())

    def clean(self) -> None:
        self.readings: list[Read] = []
        for n, place in enumerate(self.places):
            text = self.cleaned_data.get(f"read_{n}", "")
            if not text:
                continue
            try:
                value = read_throw(text, sideways=place.surface.role == "rudder")
            except ValueError as error:
                self.add_error(f"read_{n}", str(error))
            else:
                positions = {place.control: place.position}
                self.readings.append(Read(place.surface.key, positions, place.predicted_mm, value))
        if not self.readings and not self.errors:
            self.add_error(None, "Give at least one throw that was read at the model.")


def _places(setup: Setup) -> Iterator[Place]:
    rig = Rig(setup)
    surfaces = {surface.key: surface for surface in setup.surfaces}
    for row in throw_matrix(setup).rows:
        frame = rig.at({row.control.key: row.position})
        for column, cell in row.cells:
            if column.key in surfaces and not cell.still:
                words = f"{row.control.label} {row.words}"
                throw = float(frame.throw_mm[column.key])
                yield Place(row.control.key, row.position, words, surfaces[column.key], throw)
