"""What differs in the model itself between two setups: a transmitter cannot bring that back."""

from dataclasses import dataclass

from mixing import Setup
from mixing.compare import as_built_changes


@dataclass(frozen=True)
class Part:
    """One as-built difference: `path` names it ("surfaces/elevator/linkage"), `words` say it to a pilot."""

    path: str
    words: str


def differing_parts(then: Setup, now: Setup) -> tuple[Part, ...]:
    """Every as-built part which is not `now` as it was `then`, in the order of the document: linkages, chords, stops,
    measuring places, what is plugged in where, loads and balance."""
    return tuple(Part(change.path, change.told) for change in as_built_changes(then, now))
