"""What is plugged into which channel, changed: pure functions over a draft's data, which may not be complete yet.

    exchanged(data, a, b)        two channels change places with all that belongs to them; also with a free number
    unshared(data, key, number)  a surface leaves a Y-lead for a channel of its own, and does there what it did before
    shared(data, key, number)    a surface goes onto the channel of another one, and does what that one does
    turned(data, number)         a channel is reversed

None of them touches what it was given.
"""

from typing import Any

from django.utils.translation import gettext as _

from .editing import Data, in_order
from .errors import WiringError

PLUGGED = ("surfaces", "devices")


def on_channel(data: Data, number: int) -> list[Data]:
    """Everything that is plugged into a channel: surfaces, then devices."""
    return [one for name in PLUGGED for one in data.get(name) or [] if one.get("channel") == number]


def channel_of(data: Data, number: int) -> Data | None:
    """The channel of that number; None where the setup has none."""
    return next((one for one in data.get("channels") or [] if one.get("number") == number), None)


def exchanged(data: Data, first: int, second: int) -> Data:
    """Everything that names one of the two channels names the other one: doing it twice gives the same document.

    Centre, limits, reversal, failsafe, couplings and stances go with what is plugged in, so no throw changes.
    """
    to: dict[Any, int] = {first: second, second: first}

    def moved(rows: list[Data] | None, name: str) -> list[Data]:
        return [{**row, name: to.get(row.get(name), row.get(name))} for row in rows or []]

    return in_order(
        {
            **data,
            "channels": moved(data.get("channels"), "number"),
            **{name: moved(data.get(name), "channel") for name in (*PLUGGED, "couplings")},
            "phases": [{**phase, "stance": _swapped(phase.get("stance"), first, second)} for phase in _phases(data)],
        }
    )


def unshared(data: Data, key: str, number: int) -> Data:
    """A surface on a channel of its own, with a copy of centre, limits, reversal, failsafe, couplings and stances.

    What was set for the new number, into which nothing may be plugged, makes room. No throw changes.
    """
    surface = _surface(data, key)
    old = surface["channel"]
    if on_channel(data, number):
        raise WiringError(_("Channel {channel} is taken; give one that is free.").format(channel=number))
    _refuse_same(surface, number)
    source = channel_of(data, old)
    if source is None:
        raise WiringError(_("There is no channel {channel} from which to go: add it first.").format(channel=old))
    cleared = without_channel(data, number)
    return in_order(
        {
            **_placed(cleared, key, number),
            "channels": [*cleared["channels"], {**source, "number": number, "label": surface.get("label")}],
            "couplings": [
                *cleared.get("couplings", []),
                *({**one, "channel": number} for one in cleared.get("couplings", []) if one.get("channel") == old),
            ],
            "phases": [{**phase, "stance": _copied(phase.get("stance"), old, number)} for phase in _phases(cleared)],
        }
    )


def shared(data: Data, key: str, number: int) -> Data:
    """A surface on the channel of others by a Y-lead: from then on it does what that channel says.

    What belongs to those others stays as it was. The channel that is left goes, with its couplings and stances, where
    nothing else is plugged into it.
    """
    surface = _surface(data, key)
    old = surface["channel"]
    there = on_channel(data, number)
    _refuse_same(surface, number)
    if not there or any(one in (data.get("devices") or []) for one in there):
        raise WiringError(_("Channel {channel} moves no surface with which to share it.").format(channel=number))
    plugged = _placed(data, key, number)
    return in_order(plugged if on_channel(plugged, old) else without_channel(plugged, old))


def turned(data: Data, number: int) -> Data:
    """A channel the other way round."""
    if channel_of(data, number) is None:
        raise WiringError(_("There is no channel {channel} in this draft.").format(channel=number))
    return {
        **data,
        "channels": [
            {**one, "reversed": not one.get("reversed")} if one.get("number") == number else one
            for one in data["channels"]
        ],
    }


def _refuse_same(surface: Data, number: int) -> None:
    if surface["channel"] == number:
        told = _("{surface} is on channel {channel} already.")
        raise WiringError(told.format(surface=surface.get("label"), channel=number))


def _surface(data: Data, key: str) -> Data:
    found: Data | None = next((one for one in data.get("surfaces") or [] if one.get("key") == key), None)
    if found is None:
        raise WiringError(_("There is no surface “{key}” in this draft.").format(key=key))
    return found


def _placed(data: Data, key: str, number: int) -> Data:
    surfaces = [{**one, "channel": number} if one.get("key") == key else one for one in data["surfaces"]]
    return {**data, "surfaces": surfaces}


def _phases(data: Data) -> list[Data]:
    phases: list[Data] = data.get("phases") or []
    return phases


def without_channel(data: Data, number: int) -> Data:
    """Without a channel and whatever drives it."""
    kept: Data = {
        **data,
        "channels": [one for one in data.get("channels") or [] if one.get("number") != number],
        "couplings": [one for one in data.get("couplings") or [] if one.get("channel") != number],
        "phases": [
            {**phase, "stance": {k: v for k, v in (phase.get("stance") or {}).items() if k != str(number)}}
            for phase in _phases(data)
        ],
    }
    return kept


def _swapped(stance: dict[str, Any] | None, first: int, second: int) -> dict[str, Any]:
    to = {str(first): str(second), str(second): str(first)}
    return {to.get(number, number): travel for number, travel in (stance or {}).items()}


def _copied(stance: dict[str, Any] | None, old: int, number: int) -> dict[str, Any]:
    kept = dict(stance or {})
    return {**kept, str(number): kept[str(old)]} if str(old) in kept else kept
