"""Forms for what a flight showed: elevator needed with the brake, and trims that were flown."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from hangar.inputs import NumberField, read_throw
from hangar.setups.matrix import rest_phase
from mixing import Setup
from mixing.document import Surface
from mixing.wording import together

from .observations import braking, pairs, pitching, span, trimmed

ROWS = 4
PARTS = (
    ("all", gettext_lazy("all of it")),
    ("together", gettext_lazy("only what both do")),
    ("against", gettext_lazy("only what they do against each other")),
)


def _phases(setup: Setup) -> forms.ChoiceField:
    choices = [(one.key, one.label) for one in setup.phases]
    return forms.ChoiceField(label=_("Flown in"), choices=choices, initial=rest_phase(setup))


class CompensationForm(forms.Form):
    """ "At half brake it needed 3 mm down": places of the lever, and the throw that was needed there."""

    control = forms.ChoiceField(label=gettext_lazy("With"))
    role = forms.ChoiceField(label=gettext_lazy("What was held"))

    def __init__(self, *args: Any, setup: Setup, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.setup = setup
        self.fields["control"].choices = [(one.key, one.label) for one in braking(setup)]  # type: ignore[attr-defined]
        self.fields["role"].choices = [  # type: ignore[attr-defined]
            (role, together(one.label for one in surfaces)) for role, surfaces in pitching(setup).items()
        ]
        for name in ("control", "role"):
            self.fields[name].initial = self.fields[name].choices[0][0]  # type: ignore[attr-defined]
        if setup.phases:
            self.fields["phase"] = _phases(setup)
        for n in range(ROWS):
            self.fields[f"out_{n}"] = NumberField(label=_("Out by, in %"), required=False, least=0, most=100)
            self.fields[f"needed_{n}"] = forms.CharField(label=_("It needed"), required=False, max_length=40)
        self.fields["out_0"].initial = 50

    @property
    def rows(self) -> list[list[Any]]:
        return [[self[f"out_{n}"], self[f"needed_{n}"]] for n in range(ROWS)]

    def clean(self) -> None:
        filled = 0
        for n in range(ROWS):
            out, text = self.cleaned_data.get(f"out_{n}"), self.cleaned_data.get(f"needed_{n}", "")
            if not text:
                continue
            filled += 1
            try:
                self.cleaned_data[f"needed_{n}"] = read_throw(text)
            except ValueError as error:
                self.add_error(f"needed_{n}", str(error))
            if out is None and f"out_{n}" not in self.errors:
                self.add_error(f"out_{n}", _("Say how far it was out: 50 is half."))
        if not filled:
            example = _("3 down")
            self.add_error("needed_0", _("Give the throw that was needed, such as {example}.").format(example=example))

    @property
    def seen(self) -> list[tuple[float, float]]:
        """How far out [%], and the throw that was needed there [mm]."""
        return [
            (self.cleaned_data[f"out_{n}"], self.cleaned_data[f"needed_{n}"])
            for n in range(ROWS)
            if isinstance(self.cleaned_data.get(f"needed_{n}"), float)
        ]

    @property
    def observations(self) -> list[tuple[float, float]]:
        """Where the lever stood [%], and the throw that was needed there [mm]."""
        stowed, full = span(self.setup.control(self.cleaned_data["control"]))
        return [(stowed + out / 100.0 * (full - stowed), needed) for out, needed in self.seen]


class TrimForm(forms.Form):
    """Where each surface stood with the trim that flew straight, against where it stands with the trim at centre."""

    def __init__(self, *args: Any, setup: Setup, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.setup = setup
        if setup.phases:
            self.fields["phase"] = _phases(setup)
        for surface in trimmed(setup):
            self.fields[f"trim_{surface.key}"] = forms.CharField(label=surface.label, required=False, max_length=40)
        if pairs(setup):
            names = together(one.label for pair in pairs(setup)[:1] for one in pair)
            self.fields["part"] = forms.ChoiceField(
                label=_("Of {names} take").format(names=names), choices=PARTS, initial="all", widget=forms.RadioSelect
            )

    @property
    def boxes(self) -> Iterator[Any]:
        return (self[f"trim_{surface.key}"] for surface in trimmed(self.setup))

    def clean(self) -> None:
        self.trims: dict[str, float] = {}
        for surface in trimmed(self.setup):
            self._read(surface)
        if not self.trims and not self.errors:
            first = trimmed(self.setup)[0].key
            self.add_error(f"trim_{first}", _("Give at least one trim, such as {example}.").format(example=_("2 up")))

    def _read(self, surface: Surface) -> None:
        text = self.cleaned_data.get(f"trim_{surface.key}", "")
        if not text:
            return
        try:
            value = read_throw(text, sideways=surface.role == "rudder")
        except ValueError as error:
            self.add_error(f"trim_{surface.key}", str(error))
        else:
            self.trims |= {surface.key: value} if value else {}
