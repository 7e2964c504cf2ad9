"""What to enter on a transmitter: from what it really holds, in the order of its channels."""

from dataclasses import dataclass

from hangar.fleet.models import Airframe
from mixing import Change, Setup, SetupError, compare

from .history import currently_entered
from .models import Entered, Revision


@dataclass(frozen=True)
class Start:
    """Where a change card starts: a revision, and the record that a transmitter holds it, where there is one."""

    revision: Revision
    entered: Entered | None


def starting_point(airframe: Airframe, fallback: Revision | None) -> Start | None:
    """What is entered in the transmitter, not what was recorded last; without such a record, `fallback`."""
    entered = currently_entered(airframe)
    if entered is not None:
        return Start(entered.revision, entered)
    return Start(fallback, None) if fallback is not None else None


def on_this_model(entered: Setup, model: Setup) -> Setup:
    """What a transmitter holds, on the model of another setup: what the surfaces really do with it.

    Where the two do not fit together at all, `entered` as it was.
    """
    try:
        return entered.changed(balance=model.balance, surfaces=model.surfaces, devices=model.devices)
    except SetupError:
        return entered


def to_enter(before: Setup, after: Setup) -> tuple[Change, ...]:
    """The entries on the transmitter that lead from one setup to another: what concerns it as a whole first, then
    channel by channel from the lowest on."""
    changes = (change for change in compare(before, after) if change.on == "transmitter")
    return tuple(sorted(changes, key=lambda change: channel_of(change.path) or 0))


def at_the_model(before: Setup, after: Setup) -> tuple[Change, ...]:
    """What no transmitter brings about: what must be done, or was done, at the model."""
    return tuple(change for change in compare(before, after) if change.on == "model")


@dataclass(frozen=True)
class Steps:
    """What leads from one setup to another, by where it is done: what a change card tells, on screen and on paper.

    `held` is what the transmitter holds now, on the model that will be flown. `trims_again` says that what was trimmed
    may have gone into the setup: a trim that still stood in the transmitter would then be there twice.
    """

    held: Setup
    transmitter: tuple[Change, ...]
    model: tuple[Change, ...]
    record: tuple[Change, ...]
    trims_again: bool


def steps(before: Setup, after: Setup) -> Steps:
    """From what a transmitter holds (`before`) to `after`, with the throws of the entries on the model of `after`."""
    held = on_this_model(before, after)
    entries, model = to_enter(held, after), at_the_model(before, after)
    record = tuple(change for change in compare(before, after) if change.on == "record")
    return Steps(held, entries, model, record, any(_holds_a_trim(change.path) for change in (*entries, *model)))


def _holds_a_trim(path: str) -> bool:
    """The places where a trim finds its home: a channel's centre, a stance, and the length of a pushrod."""
    parts = path.split("/")
    return parts[-1] in ("centre_us", "linkage") or (parts[0] == "phases" and "stance" in parts)


def channel_of(path: str) -> int | None:
    """The channel that a change belongs to; None where it concerns the whole transmitter."""
    parts = path.split("/")
    place = {"channels": 1, "couplings": 2, "phases": 3}.get(parts[0])
    if place is None or len(parts) <= place or (parts[0] == "phases" and parts[2] != "stance"):
        return None
    return int(parts[place])
