"""High and low rates: a switch that lets only a part of what a control does through."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from hangar.inputs import NumberField

from .editing import Data, free_key

_NEW = "new"


class RatesForm(forms.Form):
    """Of which controls, by which switch, and how much it lets through."""

    controls = forms.MultipleChoiceField(
        label=gettext_lazy("Low rates of"), widget=forms.CheckboxSelectMultiple,
        error_messages={"required": gettext_lazy("Choose one control at least.")},
    )  # fmt: skip
    switch = forms.ChoiceField(label=gettext_lazy("Chosen by"), initial=_NEW)
    share = NumberField(
        label=gettext_lazy("The low rate, in % of the high one"), initial=60, least=1, most=99,
        help_text=gettext_lazy("To begin with: each throw can be typed in its own row then."),
    )  # fmt: skip

    def __init__(self, *args: Any, draft: Data, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.draft = draft
        labels = {one["key"]: str(one.get("label")) for one in draft.get("controls", [])}
        rated = dict.fromkeys(one["control"] for one in _moving(draft) if labels.get(one["control"]))
        sticks = [key for key in labels if key in rated and not _positions(draft, key)]
        switches = [(key, labels[key]) for key in labels if _is_free(draft, key)]
        self.fields["controls"].choices = [(key, labels[key]) for key in sticks]  # type: ignore[attr-defined]
        self.fields["switch"].choices = [(_NEW, _("a new switch")), *switches]  # type: ignore[attr-defined]

    @property
    def is_wanted(self) -> bool:
        """Whether there is anything of which there could be two rates."""
        return bool(self.fields["controls"].choices)  # type: ignore[attr-defined]

    def rated(self) -> Data:
        """The draft with the low rates; the first position of the switch, where it rests, leaves all as it is."""
        key, share = self.cleaned_data["switch"], self.cleaned_data["share"]
        data = self.draft
        if key == _NEW:
            key = free_key(_("Rate switch"), {one["key"] for one in data["controls"]}, "rate")
            new = {
                "key": key, "label": _("Rate switch"), "kind": "switch", "plus": pgettext("rates", "low"),
                "rest": -100, "positions": [-100, 100], "uses": [],
            }  # fmt: skip
            data = {**data, "controls": [*data["controls"], new]}
        rest = next(one for one in data["controls"] if one["key"] == key)["rest"]
        fade = {"control": key, "stations": [[x, 100 if x == rest else share] for x in (-100, 100)]}
        rated = [id(one) for one in _moving(data) if one["control"] in self.cleaned_data["controls"]]
        couplings = [
            {**one, "fades": [*(each for each in one["fades"] if each["control"] != key), fade]}
            if id(one) in rated else one
            for one in data["couplings"]
        ]  # fmt: skip
        return {**data, "couplings": couplings}


def _moving(data: Data) -> list[Data]:
    """The couplings that move a surface."""
    numbers = {one.get("channel") for one in data.get("surfaces", [])}
    return [one for one in data.get("couplings", []) if one.get("channel") in numbers]


def _positions(data: Data, key: str) -> Any:
    return next((one.get("positions") for one in data["controls"] if one["key"] == key), None)


def _is_free(data: Data, key: str) -> bool:
    """Whether it is a switch of two positions that does nothing else than fade surfaces."""
    devices = {one.get("channel") for one in data.get("devices", [])}
    busy = {one.get("control") for name in ("phases", "couplings") for one in data.get(name, [])}
    busy |= {
        fade.get("control") for one in data.get("couplings", []) if one.get("channel") in devices
        for fade in one.get("fades", [])
    }  # fmt: skip
    control = next(one for one in data["controls"] if one["key"] == key)
    return control.get("positions") == [-100, 100] and control.get("rest") in (-100, 100) and key not in busy
