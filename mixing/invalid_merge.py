"""Where a merged document does not hold together, by places rather than by positions in its lists."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from .errors import Problem
from .places import Place, Values, entry_of
from .wording import EVERY_PHASE

_LISTED = re.compile(r"^(balance\.loads|[a-z]+)\[(\d+)\]\.?([a-z_]*)")


def dangling(values: Values, order: Mapping[str, Iterable[Place]]) -> Iterator[tuple[Place, Place]]:
    """Pairs (the place that refers, the entry that is not there)."""
    there = {entry for entries in order.values() for entry in entries}
    for place, value in values.items():
        for target in _references(place, value):
            if target not in there:
                yield place, target


def _references(place: Place, value: Any) -> Iterator[Place]:
    if place[0] == "couplings":
        if len(place) == 6:
            yield "controls", place[5]
        yield "controls", place[1]
        yield "channels", place[2]
        if place[3] != EVERY_PHASE:
            yield "phases", place[3]
    elif place[0] in ("surfaces", "devices") and place[2] == "channel":
        yield "channels", str(value)
    elif place[0] == "phases" and place[2] == "control":
        yield "controls", value
    elif place[0] == "phases" and place[2] == "stance":
        yield "channels", place[3]


def faulty(problem: Problem, order: Mapping[str, Sequence[Place]], one_sided: Sequence[Place]) -> list[Place]:
    """The places that a fault of the merged document can come from: those on which the sides differ.

    Each side is valid by itself, so a fault needs a difference. Of those, the ones that the problem names and their
    like in the same part of the document; where none is found there, all of them.
    """
    listed = _LISTED.match(problem.path)
    if listed is None:
        part = problem.path.partition(".")[0].partition("[")[0]
        return [place for place in one_sided if place[0] == part] or list(one_sided)
    name, index, field = listed[1].replace(".", "/"), int(listed[2]), listed[3]
    entry = order[name][index]
    same = [place for place in one_sided if entry_of(place) == entry and field in ("", *place[len(entry) :])]
    alike = [place for place in one_sided if _part(place) == name and place[-1] == field]
    wider = [place for place in one_sided if _part(place) == name or place[0] == "signal"]
    return list(dict.fromkeys([*same, *alike])) or wider or list(one_sided)


def _part(place: Place) -> str:
    return "balance/loads" if place[:2] == ("balance", "loads") else place[0]
