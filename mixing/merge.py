"""Three-way merge of setups: what two people changed, each from the same start, in one document or as conflicts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple

from .audit import audit
from .describing import entry_words, label_of, none, value_words
from .document import Setup
from .errors import SetupError
from .findings.finding import Finding
from .invalid_merge import dangling, faulty
from .language import say
from .places import (
    LISTS,
    Apart,
    Place,
    Values,
    as_text,
    entry_of,
    first_phase,
    is_entry,
    movers,
    put_together,
    take_apart,
)
from .three_way import joined_collections, joined_order
from .wording import lowered

Side = Literal["ours", "theirs"]


@dataclass(frozen=True)
class Conflict:
    """One thing that must be decided by a person. Texts as in `Change`; "none" where a side does not have it."""

    path: str
    """The place, a field or a whole entry; the key for `choices`."""
    label: str
    base: str
    ours: str
    theirs: str
    why: str
    """One sentence: why the two cannot both stand."""


class Merged(NamedTuple):
    """What `merge` gives: the setup where everything fits together, else None and what to decide."""

    setup: Setup | None
    conflicts: tuple[Conflict, ...]


def merge(base: Setup, ours: Setup, theirs: Setup, *, choices: Mapping[str, Side] | None = None) -> Merged:
    """What both sides made of the same start, put together.

    Parts are matched as in `compare`. A field that one side changed is taken from that side; the same change on
    both sides is no conflict. Conflicts are: one field changed to two values; an entry removed on one side and
    changed on the other; anything of a channel, its stances and its couplings that one side changed while the other
    changed which surfaces or devices that channel serves (unless both made it serve the same); and whatever makes
    the merged document invalid, such as a coupling of a control that the other side removed. Lists keep the order of
    the side that changed it, ours where both did.

    The result is valid but not judged: ask `got_worse`, since two safe edits can sum past a stop.

    Parameters
    ----------
    base, ours, theirs : Setup
        The common start, and what each side made of it.
    choices : path of a conflict → "ours" or "theirs", optional
        Decisions: that field or entry is taken from that side, whatever the other did.

    Returns
    -------
    Merged
        `setup` is None exactly where there are conflicts. Conflicts of validity are looked for once no others are left.

    Raises
    ------
    ValueError
        A choice that is neither "ours" nor "theirs".

    Examples
    --------
    >>> merge(setup, setup.changed(remarks="windy"), setup).setup.remarks
    'windy'
    """
    given = dict(choices or {})
    for path, choice in given.items():
        if choice not in ("ours", "theirs"):
            raise ValueError(f'{path} was decided with "{choice}"; give "ours" or "theirs"')
    return _Merge((base, ours, theirs), given).result()


def got_worse(sides: tuple[Setup, Setup], joined: Setup) -> tuple[Finding, ...]:
    """What the audit says of two joined setups and of neither side alone, notes left out: two safe edits can sum past
    a stop. The worst first.

    Examples
    --------
    >>> got_worse((setup, setup), setup)
    ()
    """
    known = {(finding.code, finding.where, finding.text) for side in sides for finding in audit(side)}
    return tuple(
        finding
        for finding in audit(joined)
        if finding.severity != "note" and (finding.code, finding.where, finding.text) not in known
    )


class _Merge:
    def __init__(self, setups: tuple[Setup, Setup, Setup], choices: dict[str, Side]) -> None:
        self._setups = setups
        self._base, self._ours, self._theirs = (take_apart(setup) for setup in setups)
        self._fields = [_by_entry(apart) for apart in (self._base, self._ours, self._theirs)]
        self._choices = choices
        self._conflicts: dict[Place, Conflict] = {}

    def result(self) -> Merged:
        values: Values = {}
        for entry in dict.fromkeys([*self._fields[1], *self._fields[2], *self._fields[0]]):
            values.update(self._entry(entry))
        self._served_otherwise()
        order = self._order(values)
        if not self._conflicts:
            setup = self._valid(values, order)
            if setup is not None:
                return Merged(setup, ())
        return Merged(None, tuple(self._conflicts[place] for place in sorted(self._conflicts)))

    # -- field by field ----------------------------------------------------------------------------------------

    def _entry(self, entry: Place) -> Values:
        """The merged fields of one entry; none where it is gone."""
        base, ours, theirs = (fields.get(entry) for fields in self._fields)
        if as_text(entry) in self._choices:
            return dict((ours if self._choices[as_text(entry)] == "ours" else theirs) or {})
        if ours is not None and theirs is not None:
            return self._both(base or {}, ours, theirs)
        left = ours if ours is not None else theirs
        if base is None or left is None:
            return dict(left or {})
        if left != base:
            self._conflict(entry, say("one side removed this, the other changed it"))
        return {}

    def _both(self, base: Values, ours: Values, theirs: Values) -> Values:
        merged: Values = {}
        for place in dict.fromkeys([*ours, *theirs]):
            value = self._field(place, *(side.get(place, _MISSING) for side in (base, ours, theirs)))
            if value is not _MISSING:
                merged[place] = value
        return merged

    def _field(self, place: Place, base: Any, ours: Any, theirs: Any) -> Any:
        choice = self._choices.get(as_text(place))
        if choice is not None:
            return ours if choice == "ours" else theirs
        if theirs in (ours, base):
            return ours
        if ours == base:
            return theirs
        self._conflict(place, say("both sides changed this, to different values"))
        return ours

    # -- what a channel serves -----------------------------------------------------------------------------------

    def _served_otherwise(self) -> None:
        base, ours, theirs = (_served(setup) for setup in self._setups)
        for number in sorted({*base, *ours, *theirs}):
            was, mine, other = (served.get(number, frozenset()) for served in (base, ours, theirs))
            if mine == other:
                continue
            if mine != was:
                self._touching(number, self._theirs, was ^ other)
            if other != was:
                self._touching(number, self._ours, was ^ mine)

    def _touching(self, number: int, changed: Apart, moved: frozenset[Place]) -> None:
        """A conflict for everything that one side changed on a channel which serves something else on the other."""
        for place in dict.fromkeys([*changed.values, *self._base.values]):
            touches = _channel_of(place) == number or (place[:2] in moved and place[2:] == ("channel",))
            if touches and changed.values.get(place, _MISSING) != self._base.values.get(place, _MISSING):
                unit = self._unit(place)
                if not self._alike(unit) and as_text(unit) not in self._choices:
                    why = say(
                        "one side changed this, the other changed what channel {channel} moves: decide which holds",
                        channel=number,
                    )
                    self._conflict(unit, why)

    def _unit(self, place: Place) -> Place:
        """What is decided as one: the whole entry where only one side has it, else the field."""
        entry = entry_of(place)
        return place if entry in self._fields[1] and entry in self._fields[2] else entry

    def _alike(self, unit: Place) -> bool:
        ours, theirs = (
            {place: value for place, value in apart.values.items() if place[: len(unit)] == unit}
            for apart in (self._ours, self._theirs)
        )
        return ours == theirs

    # -- lists and the whole ---------------------------------------------------------------------------------------

    def _order(self, values: Values) -> dict[str, list[Place]]:
        kept = {entry_of(place) for place in values}
        order = {
            name: joined_order(self._base.order[name], self._ours.order[name], self._theirs.order[name], kept)
            for name in LISTS
        }
        first = self._field(("first_phase",), *(first_phase(a) for a in (self._base, self._ours, self._theirs)))
        if ("phases", first) in order["phases"]:
            order["phases"].remove(("phases", first))
            order["phases"].insert(0, ("phases", first))
        elif first and first != first_phase(self._base) and f"phases/{first}" not in self._choices:
            self._conflict(("phases", first), say("one side made this the first phase, the other removed it"))
        return order

    def _valid(self, values: Values, order: dict[str, list[Place]]) -> Setup | None:
        for referring, missing in dangling(values, order):
            label = lowered(label_of(missing, self._setup_with(missing)))
            self._conflict(self._unit(referring), say("this needs {part}, which the other side removed", part=label))
            user = self._label(self._unit(referring))
            self._conflict(missing, say("one side removed this, the other uses it: {user}", user=user))
        if self._conflicts:
            return None
        sides = self._base.values, self._ours.values, self._theirs.values
        try:
            return put_together(joined_collections(values, *sides), order)
        except SetupError as error:
            for problem in error.problems:
                for place in faulty(problem, order, self._one_sided()):
                    why = say("put together, the setup is not valid: {problem}", problem=problem.text)
                    self._conflict(self._unit(place), why)
        return None

    def _one_sided(self) -> list[Place]:
        """Every place that the two sides do not have alike."""
        ours, theirs = self._ours.values, self._theirs.values
        return [p for p in {**ours, **theirs} if ours.get(p, _MISSING) != theirs.get(p, _MISSING)]

    # -- words -----------------------------------------------------------------------------------------------------

    def _conflict(self, place: Place, why: str) -> None:
        if place not in self._conflicts:
            base, ours, theirs = (self._text(place, index) for index in range(3))
            self._conflicts[place] = Conflict(as_text(place), self._label(place), base, ours, theirs, why)

    def _label(self, place: Place) -> str:
        return label_of(place, self._setup_with(entry_of(place)))

    def _setup_with(self, entry: Place) -> Setup:
        order = {1: self._setups[1], 2: self._setups[2], 0: self._setups[0]}
        return next((setup for index, setup in order.items() if entry in self._fields[index]), self._setups[0])

    def _text(self, place: Place, index: int) -> str:
        setup = self._setups[index]
        if place[0] == "first_phase":
            return setup.phases[0].label if setup.phases else none()
        if is_entry(place):
            return entry_words(place, setup)
        value = (self._base, self._ours, self._theirs)[index].values.get(place, _MISSING)
        return none() if value is _MISSING else value_words(place, value)


_MISSING = object()


def _by_entry(apart: Apart) -> dict[Place, Values]:
    fields: dict[Place, Values] = {}
    for place, value in apart.values.items():
        fields.setdefault(entry_of(place), {})[place] = value
    return fields


def _served(setup: Setup) -> dict[int, frozenset[Place]]:
    """By channel, the surfaces and devices on it."""
    found: dict[int, set[Place]] = {}
    for place, number in movers(setup):
        found.setdefault(number, set()).add(place)
    return {number: frozenset(parts) for number, parts in found.items()}


def _channel_of(place: Place) -> int | None:
    """The channel that a place belongs to: its own fields, its stances, its couplings."""
    if place[0] == "channels":
        return int(place[1])
    if place[0] == "couplings":
        return int(place[2])
    return int(place[3]) if place[0] == "phases" and len(place) == 4 else None
