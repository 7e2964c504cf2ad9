"""The starting layouts of `fixtures/layouts/`: English documents, put into the language of the member who takes one."""

import json
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.conf import settings
from django.utils.translation import gettext as _

from mixing import Setup

from .layout_texts import SHARED_REMARK

_FOLDER = settings.BASE_DIR / "fixtures" / "layouts"
_TEXTS = {
    "controls": ("label", "plus"),
    "channels": ("label",),
    "surfaces": ("label", "pair", "measure_at", "neutral_ref"),
    "devices": ("label",),
    "phases": ("label",),
}
"""What is read in a document by people, by the list in which it stands; never a key. `layout_texts.py` has them all."""


@dataclass(frozen=True)
class Layout:
    """A layout as the page offers it."""

    key: str
    title: str
    description: str


def layouts() -> list[Layout]:
    """Every layout, in the order of the index, in the reader's language."""
    return [Layout(one["key"], said(one["title"]), said(one["description"])) for one in _index()]


def layout_setup(key: str) -> Setup:
    """The setup of a layout with its labels and texts in the reader's language; keys and figures as they are."""
    data = Setup.from_text(_text(key)).data()
    for name, fields in _TEXTS.items():
        for part in data[name]:
            part.update({field: said(part[field]) for field in fields if part[field]})
    balance = data["balance"]
    balance["cg_datum"] = said(balance["cg_datum"])
    for load in balance["loads"]:
        load["label"] = said(load["label"])
    data["remarks"] = said(data["remarks"])
    return Setup.from_text(json.dumps(data))


def said(text: str) -> str:
    """A text of a layout in the reader's language. Remarks end with a part that all layouts share."""
    own = text.removesuffix(SHARED_REMARK).strip()
    if own == text:
        return _(text) if text else text
    return " ".join(_(part) for part in (own, SHARED_REMARK) if part)


@cache
def _index() -> Any:
    return json.loads((_FOLDER / "index.json").read_text("utf-8"))


@cache
def _text(key: str) -> bytes:
    return (_FOLDER / f"{key}.json").read_bytes()
