"""A problem of a draft as it is told: the part and the field that it is about by their names, and where to mend it."""

import re
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from mixing.errors import Problem
from mixing.wording import label_from_key, lowered

from .coupling_forms import PlaceForm
from .part_views import SECTIONS
from .single_forms import BalanceForm, SignalForm

_PATH = re.compile(r"(\w+)(?:\[(\d+)\])?(.*)")


def placed_problem(slug: str, data: dict[str, Any], problem: Problem) -> tuple[str, str, str]:
    """What a problem is about, what it is, and the page where it is mended."""
    found = _PATH.match(problem.path)
    section, index, rest = found.groups() if found else ("", None, "")
    named = [_part(data, section, index), _field(section, rest)]
    return ", ".join(filter(None, named)), problem.text, _address(slug, section, index)


def _address(slug: str, section: str, index: str | None) -> str:
    if section in ("balance", "signal", "remarks"):
        return reverse("setups:single", args=[slug, section])
    if section not in SECTIONS:
        return reverse("setups:throws", args=[slug])
    if index is not None:
        return reverse("setups:part", args=[slug, section, int(index)])
    return reverse("setups:parts", args=[slug, section])


def _part(data: dict[str, Any], section: str, index: str | None) -> str:
    rows = data.get(section)
    row = rows[int(index)] if index is not None and isinstance(rows, list) and int(index) < len(rows) else None
    if isinstance(row, dict) and section == "couplings":
        return _label(data, str(row.get("control", "")))
    if isinstance(row, dict) and row.get("label"):
        return str(row["label"])
    single = {"balance": _("Balance"), "signal": _("Signal"), "remarks": _("Remarks"), "couplings": _("Throws")}
    return str(SECTIONS[section].title) if section in SECTIONS else single.get(section, "")


def _label(data: dict[str, Any], key: str) -> str:
    """The label of a control, or its key in words where there is none of that key."""
    controls = [one for one in data.get("controls") or () if isinstance(one, dict) and one.get("key") == key]
    return str(controls[0].get("label") if controls else label_from_key(key))


def _field(section: str, rest: str) -> str:
    """The field as its form calls it: the innermost of the path that has a box."""
    forms = {"balance": BalanceForm, "signal": SignalForm, "couplings": PlaceForm}
    form: Any = SECTIONS[section].form if section in SECTIONS else forms.get(section)
    fields = form.base_fields if form is not None else {}
    labels = [str(fields[name].label or "") for name in re.findall(r"[a-z]\w*", rest) if name in fields]
    return lowered(labels[-1]) if labels else ""
