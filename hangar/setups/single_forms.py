"""Forms for the parts that a setup has once: the transmitter's signal, the balance, the remarks."""

import re
from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from hangar.inputs import LengthField, NumberField

from .editing import Data, free_key
from .part_forms import PartForm


class SignalForm(PartForm):
    """The transmitter's figures; they are recorded with the setup."""

    centre_us = NumberField(label=gettext_lazy("Pulse at travel 0, in µs"))
    per_100_us = NumberField(label=gettext_lazy("µs from the centre at travel 100 %"))
    limit_pct = NumberField(label=gettext_lazy("Largest travel, in %"))
    step_pct = NumberField(label=gettext_lazy("Smallest step of a number, in %"))
    curve_points = NumberField(label=gettext_lazy("Points of a curve"), whole=True)
    curve_free_x = forms.BooleanField(label=gettext_lazy("The points of a curve can be moved sideways"), required=False)
    channels = NumberField(label=gettext_lazy("Channels of the transmitter"), whole=True)


class BalanceForm(PartForm):
    """Where the model may balance, and the loads with which it is flown: rows, with two empty ones to spare."""

    cg_datum = forms.CharField(
        label=gettext_lazy("Measured from"), max_length=200,
        help_text=gettext_lazy("Such as “wing root leading edge”."),
    )  # fmt: skip
    cg_low_mm = LengthField(label=gettext_lazy("Foremost balance behind it"))
    cg_high_mm = LengthField(label=gettext_lazy("Rearmost balance behind it"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.keys: list[str] = self.initial.get("keys", [])
        self.rows = len(self.keys) + 2
        for n in range(self.rows):
            self.fields[f"label_{n}"] = forms.CharField(label=_("Load"), max_length=80, required=False)
            self.fields[f"mass_{n}"] = NumberField(label=_("All-up mass in g"), required=False)
            self.fields[f"cg_{n}"] = LengthField(label=_("Balance"), required=False)

    @property
    def load_rows(self) -> list[list[Any]]:
        """The fields of the loads, a row each."""
        return [[self[f"{name}_{n}"] for name in ("label", "mass", "cg")] for n in range(self.rows)]

    @classmethod
    def initial_of(cls, part: Mapping[str, Any]) -> dict[str, Any]:
        loads = part.get("loads") or []
        initial = {**part, "keys": [load["key"] for load in loads]}
        for n, load in enumerate(loads):
            initial |= {f"label_{n}": load.get("label"), f"mass_{n}": load.get("mass_g"), f"cg_{n}": load.get("cg_mm")}
        return initial

    def _filled(self) -> list[int]:
        rows = range(self.rows)
        return [n for n in rows if any(self.value(f"{name}_{n}") not in (None, "") for name in ("label", "mass", "cg"))]

    def clean(self) -> None:
        if not self._filled():
            told = _("Give at least one load: what the model flies with, its mass, and where it balances.")
            self.add_error("label_0", told)

    def part(self) -> Data:
        loads: list[Data] = []
        for n in self._filled():
            taken = {*self.keys, *(load["key"] for load in loads)}
            label = str(self.value(f"label_{n}") or "")
            key = self.keys[n] if n < len(self.keys) else free_key(label, taken, "load")
            loads.append(
                {"key": key, "label": label, "mass_g": self.value(f"mass_{n}"), "cg_mm": self.value(f"cg_{n}")}
            )
        return {**{name: self.value(name) for name in ("cg_datum", "cg_low_mm", "cg_high_mm")}, "loads": loads}

    def place_of(self, path: str) -> str | None:
        if match := re.match(r"loads\[(\d+)\]\.?(\w*)", path):
            filled = self._filled()
            name = {"mass_g": "mass", "cg_mm": "cg"}.get(match[2], "label")
            return f"{name}_{filled[int(match[1])]}" if int(match[1]) < len(filled) else None
        return "label_0" if path == "loads" else super().place_of(path)


class RemarksForm(PartForm):
    remarks = forms.CharField(
        label=gettext_lazy("Remarks"), widget=forms.Textarea(attrs={"rows": 8}), max_length=8000, required=False,
        strip=False,
    )  # fmt: skip
