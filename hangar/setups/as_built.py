"""What differs in the model itself between two setups: a transmitter cannot bring that back."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from mixing import Setup
from mixing.compare import Change, as_built_changes
from mixing.describing import NONE


@dataclass(frozen=True)
class Part:
    """One as-built difference: `path` names it ("surfaces/elevator/linkage"), `words` say it to a pilot."""

    path: str
    words: str


def differing_parts(then: Setup, now: Setup) -> tuple[Part, ...]:
    """Every as-built part which is not `now` as it was `then`, in the order of the document: linkages, chords, stops,
    measuring places, what is plugged in where, loads and balance."""
    return tuple(Part(change.path, _words(change)) for change in as_built_changes(then, now))


def _words(change: Change) -> str:
    if change.after == NONE:
        return _("{part} is not there any more").format(part=change.label)
    if change.before == NONE:
        return _("{part} was not there then").format(part=change.label)
    told = _("{part} was {before} and is {after}")
    return told.format(part=change.label, before=change.before, after=change.after)
