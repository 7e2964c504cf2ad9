"""Forms about the model itself: work that was done, throws read with a ruler, and where it balanced."""

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from hangar.inputs import LengthField, NumberField, read_throw
from hangar.pictures.words import length, throw_words
from hangar.setups.matrix import at_rest, throw_matrix
from mixing import Rig, Setup
from mixing.document import Surface

from .forms import checked_day
from .models import WorkKind
from .operations import Read


class WorkForm(forms.Form):
    """What was done to the model."""

    kind = forms.ChoiceField(
        label=gettext_lazy("Work on"), choices=WorkKind.choices, widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Say what the work was on.")},
    )  # fmt: skip
    surface = forms.ChoiceField(
        label=gettext_lazy("Which surface"), required=False,
        help_text=gettext_lazy("Leave it where the work touches more than one."),
    )  # fmt: skip
    note = forms.CharField(
        label=gettext_lazy("What was done"), max_length=500,
        error_messages={"required": gettext_lazy("Say what was done, in a few words.")},
    )  # fmt: skip
    on = forms.DateField(label=gettext_lazy("On"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))

    def __init__(self, *args: Any, setup: Setup | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        surfaces = setup.surfaces if setup is not None else ()
        labels = [("", _("all, or more than one")), *((one.key, one.label) for one in surfaces)]
        self.fields["surface"].choices = labels  # type: ignore[attr-defined]
        self.fields["on"].initial = timezone.localdate

    def clean_on(self) -> datetime.datetime:
        """When it was done."""
        return _moment(self.cleaned_data["on"], _("{date} is still to come; give the day when the work was done."))


def _moment(day: datetime.date, to_come: str) -> datetime.datetime:
    """Now for today, else the noon of that day; `to_come` says what is wrong with a day to come."""
    if checked_day(day, to_come) == timezone.localdate():
        return timezone.now()
    return timezone.make_aware(datetime.datetime.combine(day, datetime.time(12)))


class BalanceCheckForm(forms.Form):
    """Where the model balanced with one of its loads."""

    load = forms.ChoiceField(label=gettext_lazy("With"), widget=forms.RadioSelect)
    cg_mm = LengthField(label=gettext_lazy("It balances behind the datum at"), least=-10_000, most=10_000)
    mass_g = NumberField(label=gettext_lazy("Mass as weighed, in g"), required=False, least=1, most=150_000)

    def __init__(self, *args: Any, setup: Setup, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        loads = [(load.key, load.label) for load in setup.balance.loads]
        self.fields["load"].choices = loads  # type: ignore[attr-defined]
        self.fields["load"].initial = loads[0][0]
        self.fields["cg_mm"].help_text = _("Measured from {datum}.").format(datum=setup.balance.cg_datum)


@dataclass(frozen=True)
class Place:
    """One throw to read: a surface with a control at one of its ends, or with all of them at rest."""

    positions: Mapping[str, float]
    words: str
    surface: Surface
    predicted_mm: float


class ThrowsReadForm(forms.Form):
    """Throws read with a ruler in one phase, beside what they should be; what was not read stays empty."""

    on = forms.DateField(
        label=gettext_lazy("Read on"), required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    note = forms.CharField(label=gettext_lazy("Note"), required=False, max_length=500)

    def __init__(self, *args: Any, setup: Setup, phase: str | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.phase = phase
        self.places = list(_places(setup, phase))
        self.fields["on"].initial = timezone.localdate
        for n, place in enumerate(self.places):
            self.fields[f"read_{n}"] = forms.CharField(
                label=place.surface.label, required=False, max_length=40,
                help_text=_("should be {throw}").format(throw=throw_words(place.predicted_mm, place.surface.role)),
            )  # fmt: skip
        for surface in setup.surfaces:
            self.fields[f"play_{surface.key}"] = LengthField(label=surface.label, required=False, least=0, most=100)

    @property
    def groups(self) -> list[tuple[str, list[Any]]]:
        """The boxes by where the controls stand: at rest first, as a ruler is used."""
        groups: dict[str, list[Any]] = {at_rest(): []}
        for n, place in enumerate(self.places):
            groups.setdefault(place.words, []).append(self[f"read_{n}"])
        return list(groups.items())

    @property
    def play(self) -> list[Any]:
        """The boxes for the play of each surface."""
        return [self[name] for name in self.fields if name.startswith("play_")]

    def clean_on(self) -> datetime.datetime:
        """When it was read: now, where nobody says."""
        return _moment(
            self.cleaned_data["on"] or timezone.localdate(),
            _("{date} is still to come; give the day when it was read."),
        )

    def clean(self) -> None:
        self.readings: list[Read] = []
        for n, place in enumerate(self.places):
            text = self.cleaned_data.get(f"read_{n}", "")
            if not text:
                continue
            try:
                value = _read(text, place.surface)
            except ValueError as error:
                self.add_error(f"read_{n}", str(error))
            else:
                read = Read(place.surface.key, place.positions, place.predicted_mm, value, self.phase or "")
                self.readings.append(read)
        self._add_play()
        if not self.readings and not self.errors:
            self.add_error(None, _("Give at least one throw that was read at the model."))

    def _add_play(self) -> None:
        """The play of a surface goes with the first throw that was read of it."""
        for name, play in list(self.cleaned_data.items()):
            if not name.startswith("play_") or play is None:
                continue
            key = name.removeprefix("play_")
            first = next((n for n, one in enumerate(self.readings) if one.surface == key), None)
            if first is None:
                self.add_error(name, _("Give a throw of this surface too: its play is kept with what was read."))
            else:
                self.readings[first] = replace(self.readings[first], play_mm=float(play))


def _read(text: str, surface: Surface) -> float:
    """A throw as it was read [mm]; ValueError, in words, for one that no trailing edge can make."""
    value = read_throw(text, sideways=surface.role == "rudder")
    if abs(value) > 2.0 * surface.chord_mm:
        raise ValueError(
            _("{throw} is more than a chord of {chord} allows; give at most {most}.").format(
                throw=throw_words(value, surface.role),
                chord=length(surface.chord_mm),
                most=length(2 * surface.chord_mm),
            )
        )
    return value


def _places(setup: Setup, phase: str | None) -> Iterator[Place]:
    rig = Rig(setup)
    surfaces = {surface.key: surface for surface in setup.surfaces}
    for row in throw_matrix(setup, phase).rows:
        own = None if row.control.key == rig.phase_control else phase
        frame = rig.at({row.control.key: row.position}, phase=own)
        for column, cell in row.cells:
            if column.key in surfaces and not cell.still:
                words = f"{row.control.label} {row.words}"
                throw = float(frame.throw_mm[column.key])
                yield Place({row.control.key: row.position}, words, surfaces[column.key], throw)
    rest = rig.at({}, phase=phase)
    for surface in setup.surfaces:
        yield Place({}, at_rest(), surface, float(rest.throw_mm[surface.key]))
