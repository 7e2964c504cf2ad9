"""What differs in the model itself between two setups: a transmitter cannot bring that back."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from mixing import Setup

_SURFACE = {
    "channel": "channel",
    "linkage": "linkage",
    "chord_mm": "chord",
    "stop_up_deg": "stop up",
    "stop_down_deg": "stop down",
    "measure_at": "place where the ruler goes",
    "neutral_ref": "what neutral is flush with",
    "role": "role",
    "side": "side",
}
_DEVICE = {"channel": "channel", "kind": "kind"}
_BALANCE = {
    "cg_datum": "datum of the balance",
    "cg_low_mm": "front limit of the balance",
    "cg_high_mm": "rear limit of the balance",
}
_LOAD = {"mass_g": "mass", "cg_mm": "balance"}


@dataclass(frozen=True)
class Part:
    """One as-built difference: `path` names it ("surfaces/elevator/linkage"), `words` say it to a pilot."""

    path: str
    words: str


def differing_parts(then: Setup, now: Setup) -> tuple[Part, ...]:
    """Every as-built part which is not `now` as it was `then`: linkages, chords, stops, measuring places, what is
    plugged in where, loads and balance; in the order of the document."""
    found: list[Part] = []
    for field, words in _BALANCE.items():
        before, after = getattr(then.balance, field), getattr(now.balance, field)
        if before != after:
            found.append(Part(f"balance/{field}", f"the {words} was {before} and is {after}"))
    found += _rows("balance/loads", then.balance.loads, now.balance.loads, _LOAD)
    found += _rows("surfaces", then.surfaces, now.surfaces, _SURFACE)
    found += _rows("devices", then.devices, now.devices, _DEVICE)
    return tuple(found)


def _rows(path: str, then: Iterable[Any], now: Iterable[Any], fields: dict[str, str]) -> Iterator[Part]:
    was = {row.key: row for row in then}
    is_now = {row.key: row for row in now}
    for key, before in was.items():
        after = is_now.get(key)
        if after is None:
            yield Part(f"{path}/{key}", f"{before.label} is not there any more")
            continue
        for field, words in fields.items():
            if getattr(before, field) != getattr(after, field):
                yield Part(
                    f"{path}/{key}/{field}", _changed(after.label, words, getattr(before, field), getattr(after, field))
                )
    for key, after in is_now.items():
        if key not in was:
            yield Part(f"{path}/{key}", f"{after.label} was not there then")


def _changed(label: str, words: str, before: Any, after: Any) -> str:
    if isinstance(before, str | int | float) and isinstance(after, str | int | float):
        return f"{label}: the {words} was {before or '(none)'} and is {after or '(none)'}"
    return f"{label}: the {words} is another"
