"""Two pages of one member: what one saves is joined with what the other saved since the first was made."""

import hashlib
import json
from collections.abc import Iterator
from typing import Any

from django.http import QueryDict

from mixing import SetupError
from mixing.merge import merge

from . import steps
from .models import Draft, Revision
from .parsed import parsed

Data = dict[str, Any]

_LISTS = {
    "controls": ("key",), "channels": ("number",), "surfaces": ("key",), "devices": ("key",), "phases": ("key",),
    "loads": ("key",), "couplings": ("control", "channel", "phase"),
}  # fmt: skip
_MISSING = object()


class _SameThing(Exception):
    """Both pages changed one thing, each to another value."""


def mark_of(draft: Draft | None, base: Revision | None) -> str:
    """What a page carries to say which text it was made from; "" where there was none."""
    text = draft.text if draft is not None else base.document.text if base is not None else ""
    return _mark(text) if text else ""


def shown_text(draft: Draft, post: QueryDict) -> str | None:
    """What the posted page showed of a draft; None where that is not kept any more."""
    mark = post.get("seen", "")
    if not mark:
        return draft.text if post.get("version") == str(draft.version) else None
    return next((text for text in _said(draft) if _mark(text) == mark), None)


def joined(base: str, ours: str, theirs: str) -> Data | None:
    """Both edits of `base` as one; None where both changed the same thing, which a person must decide."""
    sides: list[Data] = [json.loads(text) for text in (base, ours, theirs)]
    if sides[1] in sides[::2] or sides[0] == sides[2]:
        return sides[2] if sides[0] == sides[1] else sides[1]
    try:
        setups = [parsed(text) for text in (base, ours, theirs)]
    except SetupError:
        return _by_parts(*sides)
    setup = merge(*setups).setup
    return setup.data() if setup is not None else None


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _said(draft: Draft) -> Iterator[str]:
    """What a draft says, what it said at its steps, the latest first, and what it started from."""
    yield draft.text
    like = steps.likeness(draft)
    for packed in draft.steps.order_by("-number").values_list("packed", flat=True):
        yield steps.unpack(packed, like)
    yield like


def _by_parts(base: Data, ours: Data, theirs: Data) -> Data | None:
    """The same for data that are no setup yet, told apart by their parts and the fields of these."""
    if _rewired(base, ours) & _touched(base, theirs) or _rewired(base, theirs) & _touched(base, ours):
        return None
    try:
        found: Data = _joint(*(_by_name(side) for side in (base, ours, theirs)))
    except _SameThing:
        return None
    return _as_lists(found)


def _joint(base: Any, ours: Any, theirs: Any, name: Any = "") -> Any:
    if theirs in (ours, base):
        return ours
    if ours == base:
        return theirs
    if name == "linkage" or not (isinstance(ours, dict) and isinstance(theirs, dict)):
        raise _SameThing
    was = base if isinstance(base, dict) else {}
    both = {
        each: _joint(was.get(each, _MISSING), ours.get(each, _MISSING), theirs.get(each, _MISSING), each)
        for each in dict.fromkeys([*theirs, *ours])
    }
    return {name: value for name, value in both.items() if value is not _MISSING}


def _by_name(data: Any) -> Any:
    """The lists of a document as its entries by what they are known by."""
    if not isinstance(data, dict):
        return data
    named = {}
    for name, value in data.items():
        if name in _LISTS and isinstance(value, list):
            named[name] = _numbered([tuple(str(one.get(part)) for part in _LISTS[name]) for one in value], value)
        else:
            named[name] = _by_name(value) if name == "balance" else value
    return named


def _numbered(names: list[tuple[str, ...]], parts: list[Any]) -> dict[Any, Any]:
    """Parts by their names; while something is typed wrong two may have one, and then they are told apart by turns."""
    return {(*name, names[:n].count(name)): part for n, (name, part) in enumerate(zip(names, parts, strict=True))}


def _as_lists(named: Data) -> Data:
    return {
        name: list(value.values()) if name in _LISTS and isinstance(value, dict)
        else _as_lists(value) if name == "balance" and isinstance(value, dict) else value
        for name, value in named.items()
    }  # fmt: skip


def _rewired(base: Data, side: Data) -> set[str]:
    """The channels that serve something else than they did."""
    return {number for number, _part in {*_served(base)} ^ {*_served(side)}}


def _touched(base: Data, side: Data) -> set[str]:
    """The channels of which anything was changed: themselves, their stances and couplings, what they serve."""
    return {number for number, _what in {*_of_channels(base)} ^ {*_of_channels(side)}}


def _served(data: Data) -> Iterator[tuple[str, str]]:
    for name in ("surfaces", "devices"):
        yield from ((str(part.get("channel")), f"{name}/{part.get('key')}") for part in data.get(name) or [])


def _of_channels(data: Data) -> Iterator[tuple[str, str]]:
    yield from _served(data)
    for name, number in (("channels", "number"), ("couplings", "channel")):
        yield from ((str(one.get(number)), json.dumps(one, sort_keys=True)) for one in data.get(name) or [])
    for phase in data.get("phases") or []:
        yield from ((number, f"{phase.get('key')} {travel}") for number, travel in (phase.get("stance") or {}).items())
