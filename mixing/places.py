"""A setup document taken apart into places, each with one value, and put together again.

A place is a tuple of texts that says what it belongs to by DESIGN's identities, never by position in a list:

    signal/step_pct · balance/cg_low_mm · balance/loads/small/mass_g · remarks
    controls/lever/rest · controls/lever/uses/brake · channels/6/reversed
    surfaces/right_flap/linkage · devices/motor/off_pct
    phases/cruise/transition_s · phases/cruise/stance/6
    couplings/lever/6/*/stations · couplings/lever/6/landing/fades/roll        (* = every phase)

Stations, points of a linkage and positions of a switch are whole: one value at one place.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from pydantic import ValidationError

from .document import Balance, Coupling, Setup, Signal
from .errors import SetupError
from .reading import problems_of
from .wording import EVERY_PHASE

Place = tuple[str, ...]
Values = dict[Place, Any]

LISTS = ("controls", "channels", "surfaces", "devices", "phases", "couplings", "balance/loads")
"""The lists of a document whose entries are known by a key."""

_APART = {"controls": "uses", "phases": "stance", "couplings": "fades"}
"""The field of an entry that is itself a collection of places."""

_IDENTITY = {"channels": ("number",), "couplings": ("control", "channel", "phase")}


class Apart(NamedTuple):
    """A document in pieces: the value at every place, and the entries of every list in their order."""

    values: Values
    order: dict[str, tuple[Place, ...]]


def as_text(place: Place) -> str:
    """The place as one text, as it stands in a Change or Conflict."""
    return "/".join(place)


def entry_of(place: Place) -> Place:
    """The entry that a place belongs to: surfaces/right_flap of surfaces/right_flap/chord_mm; itself elsewhere."""
    if place[0] == "couplings":
        return place[:4]
    if place[:2] == ("balance", "loads"):
        return place[:3]
    return place[:2] if place[0] in LISTS else place


def is_entry(place: Place) -> bool:
    """Whether a place names a whole entry of a list."""
    return place == entry_of(place) and (place[0] in LISTS or (place[:2] == ("balance", "loads") and len(place) == 3))


def take_apart(setup: Setup) -> Apart:
    """The value at every place of a setup."""
    values: Values = {("signal", name): getattr(setup.signal, name) for name in Signal.model_fields}
    values.update({("balance", name): getattr(setup.balance, name) for name in Balance.model_fields if name != "loads"})
    values[("remarks",)] = setup.remarks
    order: dict[str, tuple[Place, ...]] = {}
    for name in LISTS:
        entries = setup.balance.loads if name == "balance/loads" else getattr(setup, name)
        order[name] = tuple(_entry_place(name, entry) for entry in entries)
        for place, entry in zip(order[name], entries, strict=True):
            values.update(_fields(name, place, entry))
    return Apart(values, order)


def _entry_place(name: str, entry: Any) -> Place:
    if name == "couplings":
        return ("couplings", entry.control, str(entry.channel), entry.phase or EVERY_PHASE)
    return (*name.split("/"), str(entry.number if name == "channels" else entry.key))


def _fields(name: str, place: Place, entry: Any) -> Iterator[tuple[Place, Any]]:
    identity, collection = _IDENTITY.get(name, ("key",)), _APART.get(name)
    for field in type(entry).model_fields:
        if field == collection:
            yield from _collected(place, field, getattr(entry, field))
        elif field not in identity:
            yield (*place, field), getattr(entry, field)


def _collected(place: Place, field: str, value: Any) -> Iterator[tuple[Place, Any]]:
    if field == "uses":
        yield from (((*place, field, use.purpose), use.full) for use in value)
    elif field == "stance":
        yield from (((*place, field, str(number)), travel) for number, travel in value.items())
    else:
        yield from (((*place, field, fade.control), fade.stations) for fade in value)


def first_phase(apart: Apart) -> str:
    """Key of the phase that holds where the switch's position has none; "" without phases."""
    return apart.order["phases"][0][1] if apart.order["phases"] else ""


def put_together(values: Mapping[Place, Any], order: Mapping[str, Iterable[Place]]) -> Setup:
    """The setup with these values, its lists in this order, validated as a whole.

    Raises
    ------
    SetupError
        Its paths count the entries as `order` gives them.
    """
    data: dict[str, Any] = {"schema": 1, "remarks": values[("remarks",)], "signal": {}, "balance": {}}
    grouped: dict[Place, dict[str, Any]] = {}
    for place, value in values.items():
        entry = entry_of(place)
        if is_entry(entry):
            _store(grouped.setdefault(entry, _bare(entry)), place[len(entry) :], value)
        elif len(place) == 2:
            data[place[0]][place[1]] = value
    for name in LISTS:
        target = data["balance"] if name == "balance/loads" else data
        target[name.rpartition("/")[2]] = [grouped[place] for place in order[name]]
    try:
        return Setup.model_validate(data)
    except ValidationError as error:
        raise SetupError(problems_of(error)) from None


def _bare(entry: Place) -> dict[str, Any]:
    """An entry with nothing but what it is known by."""
    if entry[0] == "couplings":
        _, control, channel, phase = entry
        known = {"control": control, "channel": int(channel), "phase": None if phase == EVERY_PHASE else phase}
        return {**known, "fades": []}
    if entry[0] == "channels":
        return {"number": int(entry[1])}
    if entry[0] == "controls":
        return {"key": entry[1], "uses": []}
    return {"key": entry[1], "stance": {}} if entry[0] == "phases" else {"key": entry[-1]}


def _store(bare: dict[str, Any], rest: Place, value: Any) -> None:
    if len(rest) == 1:
        bare[rest[0]] = value
    elif rest[0] == "uses":
        bare["uses"].append({"purpose": rest[1], "full": value})
    elif rest[0] == "stance":
        bare["stance"][int(rest[1])] = value
    else:
        bare["fades"].append({"control": rest[1], "stations": value})


def coupling_place(coupling: Coupling) -> Place:
    """The place of a coupling."""
    return _entry_place("couplings", coupling)


def movers(setup: Setup) -> Iterator[tuple[Place, int]]:
    """The place of every surface and device, with the channel that it sits on."""
    yield from ((("surfaces", surface.key), surface.channel) for surface in setup.surfaces)
    yield from ((("devices", device.key), device.channel) for device in setup.devices)
