"""One line about a part of a draft, for the list of its section. A draft may be wrong: what is no number is shown."""

from collections.abc import Callable
from typing import Any

from django.utils.translation import gettext as _

from hangar.pictures.words import short
from mixing.wording import length, signed

from .editing import Data
from .part_forms import CONTROL_KINDS, PURPOSES
from .surface_forms import ROLES, SIDES


def line_of(section: str, part: Data) -> str:
    """What a part is, in a line."""
    return ", ".join(word for word in _LINES[section](part) if word)


def _surface(part: Data) -> list[str]:
    kinds = {"measured": _("linkage measured"), "four_bar": _("linkage from its lengths")}
    kind = (part.get("linkage") or {}).get("kind", "")
    return [
        _word(ROLES, part.get("role")), _word(SIDES, part.get("side")),
        _("channel {channel}").format(channel=part.get("channel", "")),
        _("chord {chord}").format(chord=_figure(part.get("chord_mm"), length)),
        kinds.get(str(kind), _("linkage not measured yet")),
    ]  # fmt: skip


def _control(part: Data) -> list[str]:
    uses = [_word(PURPOSES, use.get("purpose")) for use in part.get("uses") or []]
    return [_word(CONTROL_KINDS, part.get("kind")), _("plus is {end}").format(end=part.get("plus", "")), *uses]


def _device(part: Data) -> list[str]:
    off, full = (_figure(part.get(name), short) for name in ("off_pct", "full_pct"))
    return [
        _("channel {channel}").format(channel=part.get("channel", "")),
        _("off at {off} %, full at {full} %").format(off=off, full=full),
    ]


def _phase(part: Data) -> list[str]:
    stands = _("channel {channel}: {travel} %")
    stance = part.get("stance") or {}
    return [
        _("switch at {position} %").format(position=_figure(part.get("position"), short)),
        *(stands.format(channel=number, travel=_figure(travel, signed)) for number, travel in stance.items()),
    ]


_LINES: dict[str, Callable[[Data], list[str]]] = {
    "surfaces": _surface, "controls": _control, "devices": _device, "phases": _phase,
}  # fmt: skip


def _word(words: dict[str, Any], value: Any) -> str:
    return str(words.get(str(value), value or ""))


def _figure(value: Any, put: Callable[[float], str]) -> str:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return put(value) if is_number else str(value or "")
