"""The controls of a model as a form: a slider for each stick, lever and knob, a choice for each switch."""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from hangar.inputs import NumberField
from hangar.pictures.words import short
from mixing.document import Control, Setup

from .bench import end_words, rest_positions, where_words

_PREFIX = "at_"


class Slider(forms.TextInput):
    """A range from −100 to +100 in whole steps; a position between them stays as it was given."""

    input_type = "range"

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        shown = str(context["widget"]["value"] or "0").replace("−", "-").replace(",", ".")
        whole = shown.removeprefix("-").removeprefix("+").isdecimal()
        context["widget"]["value"] = shown
        context["widget"]["attrs"] |= {"min": "-100", "max": "100", "step": "1" if whole else "any"}
        return context


class PositionField(NumberField):
    """A position in %; left out, the control is at rest."""

    def __init__(self, control: Control) -> None:
        super().__init__(
            required=False, least=-100, most=100, label=control.label, initial=control.rest,
            widget=Slider(attrs={"class": "slider"}),
        )  # fmt: skip


class SwitchField(forms.TypedChoiceField):
    """One of a switch's positions; left out, it is at rest."""

    def __init__(self, setup: Setup, control: Control) -> None:
        positions = control.positions or ()
        told = _("“%(value)s” is not a position of this switch; give one of {them}.")
        super().__init__(
            required=False, label=control.label, initial=_value(control.rest), coerce=float, empty_value=None,
            choices=[(_value(position), where_words(setup, control, position)) for position in positions],
            widget=forms.RadioSelect,
            error_messages={"invalid_choice": told.format(them=", ".join(short(position) for position in positions))},
        )  # fmt: skip

    def validate(self, value: Any) -> None:
        """A long value is told by its beginning."""
        super().validate(value if self.valid_value(value) or value in self.empty_values else str(value)[:40])


def _value(position: float) -> str:
    return f"{position:g}"


class BenchForm(forms.Form):
    """Where the controls stand. A position that cannot be is refused beside its control, which then stands at rest."""

    def __init__(self, setup: Setup, data: Any) -> None:
        self.setup = setup
        named = {name_of(control): control for control in setup.controls}
        super().__init__(_filled(named, data))
        for name, control in named.items():
            self.fields[name] = SwitchField(setup, control) if control.positions else PositionField(control)

    @property
    def positions(self) -> dict[str, float]:
        """Every control's position [%]."""
        self.is_valid()
        given = {control.key: self.cleaned_data.get(name_of(control)) for control in self.setup.controls}
        return {**rest_positions(self.setup), **{key: value for key, value in given.items() if value is not None}}

    def rows(self) -> list[dict[str, Any]]:
        """Each control with its field, the words for its ends and where it stands."""
        positions = self.positions
        # What was refused is told in its error; the slider stands where the picture takes the control to be.
        stand = {name: _value(positions[name.removeprefix(_PREFIX)]) for name in self.errors}
        self.data = {**self.data, **stand}
        return [
            {"control": control, "field": self[name_of(control)], "ends": end_words(control),
             "where": where_words(self.setup, control, positions[control.key]), "rest": _value(control.rest)}
            for control in self.setup.controls
        ]  # fmt: skip


@dataclass(frozen=True)
class PhaseKeys:
    """What the number keys choose: the name of the control, its position for each phase, and each phase's label."""

    control: str
    values: str
    labels: tuple[tuple[int, str], ...]


def phase_keys(setup: Setup) -> PhaseKeys:
    """The phases by number, as many as there are keys."""
    phases = setup.phases[:9]
    control = name_of(setup.control(phases[0].control)) if phases else ""
    values = " ".join(_value(phase.position) for phase in phases)
    return PhaseKeys(control, values, tuple((n, phase.label) for n, phase in enumerate(phases, start=1)))


def name_of(control: Control) -> str:
    """The name under which a control's position is sent: apart from everything else that an address says."""
    return f"{_PREFIX}{control.key}"


def _filled(named: dict[str, Control], data: Any) -> dict[str, str]:
    """What was sent, with controls left out at rest, so that the page shows where they stand."""
    return {name: data.get(name) or _value(control.rest) for name, control in named.items()}
