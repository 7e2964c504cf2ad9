"""Forms for the parts of a setup. Each reads a part of the draft's data and gives it back, also where it is wrong."""

import re
from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from hangar.inputs import NumberField, as_typed, read_number
from hangar.pictures.words import short

from .editing import Data

Choices = list[tuple[Any, str]]
_END = [("100", gettext_lazy("its plus end")), ("-100", gettext_lazy("its other end"))]


class PartForm(forms.Form):
    """`value(name)` is what was read or, where it could not be, the text as typed: so a draft keeps everything.

    `draft` is the data of the whole draft, for the choices which depend on its other parts.
    """

    whole: ClassVar[tuple[str, ...]] = ()
    """How the names of boxes begin that say one thing together."""

    def __init__(self, *args: Any, draft: Data | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.draft: Data = draft or {}

    def value(self, name: str) -> Any:
        if name in self.cleaned_data:
            read = self.cleaned_data[name]
            # A whole number is kept as one, so that it is told as it was typed.
            return int(read) if isinstance(read, float) and read.is_integer() else read
        return self.data.get(self.add_prefix(name), "")

    def part(self) -> Data:
        """The part as JSON data, tolerant of what is wrong."""
        return {name: self.value(name) for name in self.fields}

    @classmethod
    def initial_of(cls, part: Mapping[str, Any]) -> dict[str, Any]:
        """What the fields show for a part."""
        return dict(part)

    def place_of(self, path: str) -> str | None:
        """The field to which a problem's path belongs: by its first step, where there is a field of that name."""
        step = re.split(r"[.\[]", path, maxsplit=1)[0]
        return step if step in self.fields else None

    def refuse(self, problems: list[tuple[str, str]]) -> None:
        """Put the problems of mixing beside the fields that they are about."""
        for path, text in problems:
            place = self.place_of(path)
            if place is None or place not in self.errors:
                self.add_error(place, text)


def channel_choices(data: Data) -> Choices:
    """The draft's channels, told with their labels."""
    return [(c.get("number"), f"{c.get('number')} {c.get('label', '')}") for c in data.get("channels", [])]


class ChannelField(forms.TypedChoiceField):
    """One of the draft's channels."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("label", gettext_lazy("Channel"))
        super().__init__(
            coerce=int, empty_value=None, error_messages={"required": gettext_lazy("Choose a channel.")}, **options
        )


class ChannelForm(PartForm):
    number = NumberField(
        label=gettext_lazy("Number"), whole=True, least=1, most=64, help_text=gettext_lazy("The receiver's output.")
    )
    label = forms.CharField(
        label=gettext_lazy("Label"), max_length=80, help_text=gettext_lazy("Such as “Right aileron”.")
    )
    reversed = forms.BooleanField(required=False, label=gettext_lazy("Reversed"))
    centre_us = NumberField(label=gettext_lazy("Centre in µs"), initial=1500)
    low_us = NumberField(label=gettext_lazy("Lower limit in µs"), initial=900)
    high_us = NumberField(label=gettext_lazy("Upper limit in µs"), initial=2100)
    failsafe = forms.ChoiceField(
        label=gettext_lazy("Without a signal it"), required=False,
        choices=[("", gettext_lazy("is not set")), ("last_position", gettext_lazy("keeps its last position")),
                 ("signal_off", gettext_lazy("gets no signal")), ("travel", gettext_lazy("goes to a travel"))],
    )  # fmt: skip
    failsafe_pct = NumberField(
        label=gettext_lazy("That travel, in %"), required=False,
        help_text=gettext_lazy("Only where it goes to a travel."),
    )  # fmt: skip

    @classmethod
    def initial_of(cls, part: Mapping[str, Any]) -> dict[str, Any]:
        failsafe = part.get("failsafe")
        if failsafe is None or failsafe in ("last_position", "signal_off", "travel"):
            return {**part, "failsafe": failsafe or ""}
        return {**part, "failsafe": "travel", "failsafe_pct": failsafe}

    def clean(self) -> None:
        goes = self.cleaned_data.get("failsafe") == "travel"
        if goes and self.cleaned_data.get("failsafe_pct") is None and "failsafe_pct" not in self.errors:
            self.add_error("failsafe_pct", _("Give the travel to which it goes, in %."))

    def part(self) -> Data:
        part = super().part()
        travel = part.pop("failsafe_pct")
        # "travel" alone is no failsafe: a draft keeps it, so that the missing figure is asked for again.
        goes = part["failsafe"] == "travel" and travel not in (None, "")
        return {**part, "failsafe": travel if goes else part["failsafe"] or None}

    def place_of(self, path: str) -> str | None:
        return "failsafe_pct" if path == "failsafe" else super().place_of(path)


class DeviceForm(PartForm):
    label = forms.CharField(label=gettext_lazy("Label"), max_length=80)
    kind = forms.ChoiceField(
        label=gettext_lazy("Kind"),
        choices=[
            ("electric_motor", gettext_lazy("electric motor")),
            ("engine_throttle", gettext_lazy("engine throttle")),
            ("release", gettext_lazy("tow release")),
            ("retract", gettext_lazy("retract")),
            ("wheel_brake", gettext_lazy("wheel brake")),
            ("other", gettext_lazy("something else")),
        ],
    )
    channel = ChannelField()
    off_pct = NumberField(label=gettext_lazy("Travel at which it is off, in %"), initial=-100)
    full_pct = NumberField(label=gettext_lazy("Travel at which it is full, in %"), initial=100)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["channel"].choices = channel_choices(self.draft)  # type: ignore[attr-defined]


CONTROL_KINDS = {
    "stick": gettext_lazy("stick"), "lever": gettext_lazy("lever"), "knob": gettext_lazy("knob"),
    "switch": gettext_lazy("switch"),
}  # fmt: skip
PURPOSES = {
    "roll": gettext_lazy("roll"), "pitch": gettext_lazy("pitch"), "yaw": gettext_lazy("yaw"),
    "power": gettext_lazy("power"), "brake": gettext_lazy("brake"), "camber": gettext_lazy("camber"),
    "phase": gettext_lazy("phase"),
}  # fmt: skip


class ControlForm(PartForm):
    """A stick, lever, knob or switch. Its uses are rows, with one empty row to spare."""

    label = forms.CharField(label=gettext_lazy("Label"), max_length=80, help_text=gettext_lazy("Such as “Left lever”."))
    kind = forms.ChoiceField(label=gettext_lazy("Kind"), choices=list(CONTROL_KINDS.items()))
    plus = forms.CharField(
        label=gettext_lazy("Its plus end"), max_length=80,
        help_text=gettext_lazy("The word for +100 %: right, back, forward, up."),
    )  # fmt: skip
    rest = NumberField(
        label=gettext_lazy("Where it rests, in %"), initial=0,
        help_text=gettext_lazy(
            "A stick when let go: 0. A lever as stowed: the end where nothing is lowered, or the motor is off."
        ),
    )  # fmt: skip
    positions = forms.CharField(
        required=False, label=gettext_lazy("Positions of a switch, in %"),
        help_text=gettext_lazy("Two: −100, 100. Three: −100, 0, 100."),
    )  # fmt: skip
    _CHOICES = [("", gettext_lazy("nothing more")), *PURPOSES.items(), ("other", gettext_lazy("something else"))]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = sum(1 for name in self.initial if name.startswith("purpose_"))
        self.rows = max(known + 1, 2)
        for n in range(self.rows):
            self.fields[f"purpose_{n}"] = forms.ChoiceField(
                label=_("and for") if n else _("It is for"), choices=self._CHOICES, required=False
            )
            kept = self.initial.get(f"full_{n}", "100")
            ends = _END if kept in dict(_END) else [*_END, (kept, _("its position {position} %").format(position=kept))]
            self.fields[f"full_{n}"] = forms.ChoiceField(label=_("acting fully at"), choices=ends, required=False)

    def use_rows(self) -> list[Any]:
        """The fields of each use."""
        return [(self[f"purpose_{n}"], self[f"full_{n}"]) for n in range(self.rows)]

    @classmethod
    def initial_of(cls, part: Mapping[str, Any]) -> dict[str, Any]:
        initial = {name: part.get(name) for name in ("label", "kind", "plus", "rest")}
        positions = part.get("positions")
        # What could not be read as a list of numbers stands in a draft as it was typed.
        initial["positions"] = ", ".join(as_typed(p) for p in positions) if isinstance(positions, list) else positions
        for n, use in enumerate(part.get("uses") or []):
            initial |= {f"purpose_{n}": use["purpose"], f"full_{n}": _as_choice(use["full"])}
        return initial

    def clean_positions(self) -> Any:
        typed = self.cleaned_data["positions"].replace(";", " ").replace(", ", " ").replace(",", " ")
        try:
            return [read_number(text) for text in typed.split()] or None
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error

    def part(self) -> Data:
        uses = [
            {
                "purpose": self.value(f"purpose_{n}"),
                "full": _number_or_text(self.value(f"full_{n}") or "100"),
            }
            for n in range(self.rows)
            if self.value(f"purpose_{n}")
        ]
        names = ("label", "kind", "plus", "rest", "positions")
        part = {name: self.value(name) for name in names}
        return {**part, "positions": part["positions"] or None, "uses": uses}

    def place_of(self, path: str) -> str | None:
        if match := re.match(r"uses\[(\d+)\]\.?(\w*)", path):
            # Empty rows between filled ones do not count in the data.
            filled = [n for n in range(self.rows) if self.value(f"purpose_{n}")]
            kind = "full" if match[2] == "full" else "purpose"
            return f"{kind}_{filled[int(match[1])]}" if int(match[1]) < len(filled) else None
        return super().place_of(path)


class PhaseForm(PartForm):
    """A flight phase: where its switch stands, and where the channels stand in it."""

    label = forms.CharField(label=gettext_lazy("Label"), max_length=80, help_text=gettext_lazy("Such as “Thermal”."))
    control = forms.ChoiceField(
        label=gettext_lazy("Chosen by"), help_text=gettext_lazy("All phases share one switch."),
        error_messages={
            "required": gettext_lazy("Add a switch under Controls first: phases are chosen by a switch.")
        },
    )  # fmt: skip
    position = NumberField(label=gettext_lazy("with the switch at, in %"))
    transition_s = NumberField(label=gettext_lazy("Seconds to move into it"), initial=0)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        switches = [c for c in self.draft.get("controls", []) if c.get("kind") == "switch"]
        self.fields["control"].choices = [(c["key"], _switch_words(c)) for c in switches]  # type: ignore[attr-defined]
        self.numbers = [c.get("number") for c in self.draft.get("channels", []) if isinstance(c.get("number"), int)]
        labels = dict(channel_choices(self.draft))
        for number in self.numbers:
            self.fields[f"stance_{number}"] = NumberField(
                label=_("Channel {channel}").format(channel=labels[number]), required=False
            )

    @property
    def stance_fields(self) -> list[Any]:
        """The fields of the stance, one a channel."""
        return [self[f"stance_{number}"] for number in self.numbers]

    @classmethod
    def initial_of(cls, part: Mapping[str, Any]) -> dict[str, Any]:
        stance = part.get("stance") or {}
        return {**part, **{f"stance_{number}": travel for number, travel in stance.items()}}

    def part(self) -> Data:
        part = {name: self.value(name) for name in ("label", "control", "position", "transition_s")}
        typed = {str(number): self.value(f"stance_{number}") for number in self.numbers}
        return {**part, "stance": {number: travel for number, travel in typed.items() if travel not in (None, "", 0)}}

    def place_of(self, path: str) -> str | None:
        if match := re.match(r"stance[.\[](\d+)", path):
            return f"stance_{match[1]}" if f"stance_{match[1]}" in self.fields else None
        return super().place_of(path)


def _number_or_text(text: str) -> Any:
    """What was chosen as a number; as it was sent where it is none."""
    try:
        number = read_number(text)
    except ValueError:
        return text
    return int(number) if number.is_integer() else number


def _as_choice(number: Any) -> str:
    """An end as the value of its choice."""
    return f"{number:g}" if isinstance(number, int | float) else str(number)


def _switch_words(control: Data) -> str:
    positions = control.get("positions") or []
    return f"{control.get('label')} ({', '.join(short(p) for p in positions if isinstance(p, int | float))})"
