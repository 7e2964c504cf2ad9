"""The form of one coupling: its stations as rows, expo, fades, and the straight line as slope and middle."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from hangar.inputs import NumberField, as_typed, read_number, read_throw
from mixing import Response, ResponseError, wording
from mixing.document import Surface

from .editing import Data
from .part_forms import PartForm

LEAST_ROWS = 3
SPARE_ROWS = 2
FADE_ROWS = 2


class CouplingForm(PartForm):
    """Rows of stations (control %, travel %, and a throw that is wanted there), expo and fades."""

    whole = ("x_", "travel_", "want_")

    expo_pct = NumberField(
        label=gettext_lazy("Expo in %"), initial=0,
        help_text=gettext_lazy("Above 0 the middle is softer, below 0 sharper."),
    )  # fmt: skip
    slope = NumberField(label=gettext_lazy("Slope in %"), required=False)
    middle = NumberField(label=gettext_lazy("Middle in %"), required=False)
    low = NumberField(label=gettext_lazy("Travel at −100 in %"), required=False)
    high = NumberField(label=gettext_lazy("Travel at +100 in %"), required=False)
    start = NumberField(label=gettext_lazy("From control %"), required=False, least=-100, most=100)
    end = NumberField(label=gettext_lazy("to control %"), required=False, least=-100, most=100)
    reach = NumberField(label=gettext_lazy("Travel there in %"), required=False)

    def __init__(self, *args: Any, rows: int = 0, faders: Sequence[tuple[Any, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = sum(1 for name in self.initial if name.startswith("x_"))
        self.rows = max(rows, known + SPARE_ROWS, LEAST_ROWS)
        for n in range(self.rows):
            self._add_station(n)
        self.fade_rows = max(sum(1 for name in self.initial if name.startswith("fade_")) + 1, FADE_ROWS)
        for n in range(self.fade_rows):
            choices = [("", _("nothing")), *faders]
            self.fields[f"fade_{n}"] = forms.ChoiceField(label=_("Faded by"), choices=choices, required=False)
            self.fields[f"factors_{n}"] = forms.CharField(label=_("lets through, in %"), required=False, max_length=400)

    def _add_station(self, n: int) -> None:
        self.fields[f"x_{n}"] = NumberField(label=_("Control in %"), required=False)
        self.fields[f"travel_{n}"] = NumberField(label=_("Travel in %"), required=False)
        self.fields[f"want_{n}"] = forms.CharField(label=_("or throw"), required=False, max_length=40)
        told = {"x": _("Control in %"), "travel": _("Travel in %"), "want": _("Throw that is wanted")}
        for name, words in told.items():
            label = _("{figure}, station {number}").format(figure=words, number=n + 1)
            self.fields[f"{name}_{n}"].widget.attrs["aria-label"] = label

    @classmethod
    def initial_of(cls, part: Mapping[str, Any]) -> dict[str, Any]:
        initial: dict[str, Any] = {"expo_pct": part.get("expo_pct", 0)}
        for n, (x, travel) in enumerate(part.get("stations", [])):
            initial |= {f"x_{n}": x, f"travel_{n}": travel}
        for n, fade in enumerate(part.get("fades", [])):
            initial |= {f"fade_{n}": fade["control"], f"factors_{n}": _pairs_text(fade["stations"])}
        try:
            slope, middle = Response(part["stations"]).slope_and_middle()
            initial |= {"slope": slope * 100, "middle": middle}
        except (KeyError, TypeError, ValueError, ResponseError):
            pass  # A response that bends has neither.
        return initial

    def station_rows(self) -> list[Any]:
        """The bound fields of each row."""
        return [(self[f"x_{n}"], self[f"travel_{n}"], self[f"want_{n}"]) for n in range(self.rows)]

    def fade_fields(self) -> list[Any]:
        """The bound fields of each fade."""
        return [(self[f"fade_{n}"], self[f"factors_{n}"]) for n in range(self.fade_rows)]

    def filled(self) -> list[int]:
        """The rows in which something was typed."""
        names = ("x", "travel", "want")
        return [n for n in range(self.rows) if any(self.value(f"{name}_{n}") not in (None, "") for name in names)]

    def clean(self) -> None:
        for n in self.filled():
            if f"x_{n}" not in self.errors and self.value(f"x_{n}") is None:
                self.add_error(f"x_{n}", _("Give the position of the control, −100 to 100."))
            if f"travel_{n}" not in self.errors and self.value(f"travel_{n}") is None and not self.value(f"want_{n}"):
                self.add_error(f"travel_{n}", _("Give a travel, or the throw that you want there."))
        if len(self.filled()) < 2:
            self.add_error("x_0", _("Give two stations at least."))
        for n in range(self.fade_rows):
            self._clean_fade(n)

    def _clean_fade(self, n: int) -> None:
        control, text = self.value(f"fade_{n}"), self.value(f"factors_{n}")
        if control and not text:
            self.add_error(f"factors_{n}", _("Give what it lets through, such as −100: 60, 0: 100, 100: 100."))
        elif text and not control and f"fade_{n}" not in self.errors:
            self.add_error(f"fade_{n}", _("Choose the control that fades."))
        elif text:
            try:
                self.cleaned_data[f"factors_{n}"] = read_pairs(text)
            except ValueError as error:
                self.add_error(f"factors_{n}", str(error))

    def wanted(self, surface: Surface) -> list[tuple[int, float]]:
        """The rows with a throw that is wanted there [mm]. What cannot be read becomes an error of its row."""
        found = []
        for n in self.filled():
            if text := self.value(f"want_{n}"):
                try:
                    found.append((n, read_throw(text, sideways=surface.role == "rudder")))
                except ValueError as error:
                    self.add_error(f"want_{n}", str(error))
        return found

    def stations(self) -> list[list[Any]]:
        """The stations of the filled rows, as typed."""
        return [[self.value(f"x_{n}"), self.value(f"travel_{n}")] for n in self.filled()]

    def coupling(self, place: Data, stations: list[list[Any]]) -> Data:
        """The coupling as JSON data."""
        fades = [
            {"control": self.value(f"fade_{n}"), "stations": self.value(f"factors_{n}")}
            for n in range(self.fade_rows)
            if self.value(f"fade_{n}")
        ]
        return {**place, "stations": stations, "expo_pct": self.value("expo_pct"), "fades": fades}

    def place_of(self, path: str) -> str | None:
        step, _, rest = path.replace("]", "").partition("[")
        index, _, deeper = rest.partition(".") if "." in rest else rest.partition("[")
        if step == "stations" and index.isdigit():
            filled = self.filled()
            name = "travel" if deeper == "1" else "x"
            return f"{name}_{filled[int(index)]}" if int(index) < len(filled) else None
        if step == "fades" and index.isdigit():
            return f"factors_{index}" if deeper.startswith("stations") else f"fade_{index}"
        return "x_0" if step == "stations" else super().place_of(path)


def _pairs_text(stations: Any) -> str:
    if not isinstance(stations, list):
        return str(stations)
    pairs = [f"{as_typed(x)}: {as_typed(factor)}" for x, factor in stations]
    return ("; " if "," in wording.typeset(".") else ", ").join(pairs)


def read_pairs(text: str) -> list[list[float]]:
    """Pairs of position and factor: "−100: 60, 0: 100, 100: 100". ValueError in words.

    Where there is a semicolon it alone separates pairs; else a comma does, unless it is that of a decimal: after such
    a one no colon comes before the next comma.
    """
    pairs = []
    for piece in re.split(r";", text) if ";" in text else re.split(r",(?=[^,:]*:|\s|$)", text):
        x, colon, factor = piece.partition(":")
        if not colon:
            told = _("“{typed}” is not a pair; give position and factor, such as −100: 60.")
            raise ValueError(told.format(typed=piece.strip()[:40]))
        pairs.append([read_number(x), read_number(factor)])
    return pairs


class PlaceForm(forms.Form):
    """Which coupling: a control, a channel, and the phase in which it holds."""

    control = forms.ChoiceField(label=gettext_lazy("Control"))
    channel = forms.TypedChoiceField(label=gettext_lazy("Channel"), coerce=int)
    phase = forms.ChoiceField(label=gettext_lazy("Phase"), required=False)

    def __init__(self, *args: Any, draft: Data, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["control"].choices = [(c["key"], c.get("label")) for c in draft["controls"]]  # type: ignore[attr-defined]
        self.fields["channel"].choices = [  # type: ignore[attr-defined]
            (c["number"], f"{c['number']} {moved_by(draft, c['number']) or c.get('label')}")
            for c in draft["channels"]
            if isinstance(c.get("number"), int)
        ]
        self.fields["phase"].choices = [  # type: ignore[attr-defined]
            ("", _("every phase")),
            *((phase["key"], _("only {phase}").format(phase=phase.get("label"))) for phase in draft["phases"]),
        ]

    def place(self) -> Data:
        """The place as a coupling says it."""
        return {**self.cleaned_data, "phase": self.cleaned_data["phase"] or None}


def moved_by(draft: Data, number: int) -> str:
    """What a channel moves, in words."""
    parts = [*draft.get("surfaces", []), *draft.get("devices", [])]
    return " + ".join(str(part.get("label")) for part in parts if part.get("channel") == number)
