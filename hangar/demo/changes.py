"""One revision from another: the values that changed, each at its place in the document.

A place is written as `mixing.places` names it: "channels/3/failsafe", "couplings/lever/6/*/stations". Where it names a
whole entry ("couplings/roll/6/thermal"), an object gives the fields of a new one, and null takes it away.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from mixing import Setup
from mixing.places import Place, entry_of, is_entry, put_together, take_apart

from .errors import DemoError

_COLLECTIONS = ("uses", "stance", "fades")
"""Fields that are places themselves: one may be added to an entry that is there."""


def changed(setup: Setup, changes: Mapping[str, Any]) -> Setup:
    """`setup` with `changes` made, validated as a whole. Raises DemoError, and SetupError of mixing."""
    values, order = take_apart(setup)
    order = dict(order)
    for text, value in changes.items():
        place = tuple(text.split("/"))
        if not is_entry(place):
            if place not in values and not (place[-2] in _COLLECTIONS and _has_entry(order, entry_of(place))):
                raise DemoError(f"There is nothing at {text} in this setup; give a place that it has.")
            values[place] = value
            continue
        name = _list_of(place)
        values = {at: kept for at, kept in values.items() if entry_of(at) != place}
        if value is None:
            order[name] = tuple(kept for kept in order[name] if kept != place)
        else:
            order[name] = tuple(dict.fromkeys((*order[name], place)))
            values.update(_fields(place, value))
    return put_together(values, order)


def _fields(entry: Place, fields: Mapping[str, Any]) -> Iterator[tuple[Place, Any]]:
    for field, value in fields.items():
        if field in _COLLECTIONS:
            yield from (((*entry, field, key), inner) for key, inner in value.items())
        else:
            yield (*entry, field), value


def _list_of(place: Place) -> str:
    return "balance/loads" if place[0] == "balance" else place[0]


def _has_entry(order: Mapping[str, tuple[Place, ...]], entry: Place) -> bool:
    return entry in order.get(_list_of(entry), ())
