"""What changed between two setups, by DESIGN's identities: in words, with what it does at the model."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from .describing import Where, entry_words, label_of, linkage_words, none, value_words, where_changed
from .document import Setup
from .effects import Effects
from .language import say
from .places import LISTS, Apart, Place, as_text, entry_of, first_phase, is_entry, take_apart


@dataclass(frozen=True)
class Change:
    """One thing that differs between two setups."""

    path: str
    """The place, such as "couplings/lever/6/*/stations" (* = every phase) or "surfaces/elevator/chord_mm"."""
    label: str
    """The place in plain words: "Right flap, Left lever, cruise"."""
    before: str
    """What stood there, with its unit; "none" where there was nothing."""
    after: str
    """What stands there now, with its unit; "none" where there is nothing any more."""
    effect: str
    """What the surfaces do: "Right flap 42 mm down → 45 mm down with Left lever at −100"; "" where nothing can be said.

    The throws are those of the two whole setups, as a ruler would find them once every change is made.
    """
    on: Where
    """Entered on the "transmitter", done at the "model", or only written down ("record")."""
    added: bool = False
    """Whether nothing stood there before: a whole entry, or a field such as a failsafe or a stance."""
    removed: bool = False
    """Whether nothing stands there any more."""

    @property
    def told(self) -> str:
        """The change as a clause: "Elevator: chord was 40 mm and is 45 mm"."""
        if self.removed:
            return say("{part} is not there any more", part=self.label)
        if self.added:
            return say("{part} was not there then", part=self.label)
        return say("{part} was {before} and is {after}", part=self.label, before=self.before, after=self.after)


def compare(before: Setup, after: Setup) -> tuple[Change, ...]:
    """Everything that differs between two setups.

    Controls, surfaces, devices, phases and loads are matched by key, channels by number, couplings by control,
    channel and phase; signal and balance are compared field by field, stations and points as a whole. An entry
    that only one side has is one change. The order of lists is no change, except which phase is the first,
    since that one holds where a switch position has none.

    Parameters
    ----------
    before, after : Setup

    Returns
    -------
    tuple of Change, in the order of the document; empty where nothing differs.

    Examples
    --------
    >>> [change.label for change in compare(setup, setup.changed(remarks="windy"))]
    ['Remarks']
    """
    was, now = take_apart(before), take_apart(after)
    effects = Effects(before, after)
    return tuple(
        Change(
            path=as_text(place),
            label=label_of(place, before if _is_gone(place, now) else after),
            before=texts[0],
            after=texts[1],
            effect=effects.of(place),
            on=where_changed(place),
            added=_is_bare(place, was),
            removed=_is_bare(place, now),
        )
        for place in _differing(was, now)
        for texts in [_texts(place, (before, after), (was, now))]
    )


def as_built_changes(before: Setup, after: Setup) -> tuple[Change, ...]:
    """Those changes of `compare` that are done at the model, not on the transmitter.

    Linkages, chords, stops, measuring places, what neutral is flush with, role and side of a surface, kind of a
    device, balance and loads, and which channel a surface or device is plugged into. A transmitter cannot bring
    any of it back.

    >>> longer = [{**one.model_dump(), "stop_up_deg": 33.0} for one in setup.surfaces[:1]]
    >>> changed = setup.changed(surfaces=[*longer, *setup.surfaces[1:]])
    >>> [change.told for change in as_built_changes(setup, changed)]
    ['Right aileron: stop up was 30° and is 33°']
    """
    return tuple(change for change in compare(before, after) if change.on == "model")


def _differing(before: Apart, after: Apart) -> Iterator[Place]:
    """Every place that differs: whole entries where only one side has them, else the fields."""
    entries = {name: (set(before.order[name]), set(after.order[name])) for name in LISTS}
    once: set[Place] = {place for had, has in entries.values() for place in had ^ has}
    told: set[Place] = set()
    for place in sorted({**before.values, **after.values}, key=_in_order(before, after)):
        entry = entry_of(place)
        if is_entry(entry) and entry in once:
            if entry not in told:
                told.add(entry)
                yield entry
        elif place not in before.values or place not in after.values or before.values[place] != after.values[place]:
            yield place
    if first_phase(before) and first_phase(after) and first_phase(before) != first_phase(after):
        yield ("first_phase",)


def _in_order(before: Apart, after: Apart) -> _Order:
    return _Order([*after.values, *(place for place in before.values if place not in after.values)])


class _Order:
    """Sorts places by the parts of the document, then as they stand there, what was removed at the end of its part."""

    _PARTS = ("signal", "balance", "controls", "channels", "surfaces", "devices", "phases", "couplings", "remarks")

    def __init__(self, places: list[Place]) -> None:
        self._index = {place: index for index, place in enumerate(places)}

    def __call__(self, place: Place) -> tuple[int, int]:
        return self._PARTS.index(place[0]), self._index[place]


def _is_bare(place: Place, side: Apart) -> bool:
    """Whether a side has nothing at a place, or nothing set there."""
    if is_entry(place):
        return _is_gone(place, side)
    return place != ("first_phase",) and side.values.get(place) is None


def _is_gone(place: Place, now: Apart) -> bool:
    return is_entry(place) and all(entry_of(other) != place for other in now.values)


def _texts(place: Place, setups: tuple[Setup, Setup], aparts: tuple[Apart, Apart]) -> tuple[str, str]:
    if is_entry(place):
        return entry_words(place, setups[0]), entry_words(place, setups[1])
    if place[0] == "first_phase":
        return setups[0].phases[0].label, setups[1].phases[0].label
    was, now = (apart.values.get(place, _MISSING) for apart in aparts)
    if place[-1] == "linkage":
        return linkage_words(was, now), linkage_words(now, was)
    return _text(place, was), _text(place, now)


_MISSING = object()


def _text(place: Place, value: object) -> str:
    return none() if value is _MISSING else value_words(place, value)
