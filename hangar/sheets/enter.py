"""The dial-in list on a sheet: what to enter for each channel on the owner's transmitter, in little room."""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from hangar.pictures.estimates import is_estimated
from hangar.pictures.words import ARROWS, signed
from hangar.setups.dial_in import ChannelLines, Line, dial_in_list
from hangar.sheets.labels import short_label
from mixing import Conventions
from mixing.document import Setup
from mixing.solve import Entry

_THROW = re.compile(r"(\d+(?:\.\d+)?) mm (up|down|left|right)")
_PLACE = re.compile(r" at [+−]?\d+(?:\.\d+)?")
# What most channels share is told once for all of them.
_SHARED = {"centre": "centre", "limits": "limits"}


@dataclass(frozen=True)
class ToEnter:
    """One control, phase or setting on one channel.

    `figures` run from the control's −100 end to its +100 end; `gives` are the throws of these rounded figures; `off`
    says how far they lie from what the setup asks for, "" where near enough; `unproven` where a convention of the
    transmitter is not known.
    """

    what: str
    figures: str
    more: tuple[str, ...] = ()
    gives: str = ""
    off: str = ""
    unproven: bool = False


@dataclass(frozen=True)
class DialIn:
    """What to enter, by channel, and what holds for every channel that does not say otherwise."""

    rows: dict[int, tuple[ToEnter, ...]] = field(default_factory=dict)
    every: tuple[str, ...] = ()
    proven: bool = True


def dial_in_of(setup: Setup, conventions: Conventions, length: int) -> DialIn:
    """The dial-in list of a setup, with names of up to `length` characters."""
    channels = dial_in_list(setup, conventions)
    shared = {kind: _most_common(channels, kind) for kind in _SHARED}
    rows = {channel.number: _row(setup, channel, shared, length) for channel in channels}
    every = tuple(f"{name} {shared[kind]}" for kind, name in _SHARED.items() if shared[kind])
    return DialIn(rows, every, conventions.proven)


def _entered(line: Line) -> str:
    """What to enter; a centre that is the transmitter's own needs no second unit."""
    return line.enter.partition(", which is 0")[0]


def _off(line: Line) -> str:
    return line.off.removesuffix(" what the setup asks for")


def _most_common(channels: Iterable[ChannelLines], kind: str) -> str:
    counts = Counter(_entered(line) for channel in channels for line in channel.lines if line.entry.kind == kind)
    return counts.most_common(1)[0][0] if counts else ""


def _row(setup: Setup, channel: ChannelLines, shared: dict[str, str], length: int) -> tuple[ToEnter, ...]:
    approx = "≈" if any(is_estimated(surface) for surface in setup.surfaces_on(channel.number)) else ""
    alone = len(setup.surfaces_on(channel.number)) + len(setup.devices_on(channel.number)) == 1
    found: list[ToEnter] = []
    groups: dict[str, list[Line]] = {}
    for line in channel.lines:
        kind = line.entry.kind
        if kind in _SHARED and (_entered(line) != shared[kind] or line.entry.mark):
            found.append(ToEnter(_SHARED[kind], _entered(line), off=_off(line), unproven=bool(line.entry.mark)))
        elif kind in ("ends", "curve", "expo", "fade"):
            groups.setdefault(line.of, []).append(line)
        elif kind == "stance":
            gives = brief(line.entry.gives, approx=approx, alone=alone)
            found.append(ToEnter(f"stance {short_label(line.of, length)}", line.enter, gives=gives, off=_off(line)))
    told = [_response(of, lines, approx, alone, length) for of, lines in groups.items()] + found
    return tuple(replace(one, what=one.what[:1].upper() + one.what[1:]) for one in told)


def _response(of: str, lines: list[Line], approx: str, alone: bool, length: int) -> ToEnter:
    control, _, phase = of.partition(", in ")
    what = short_label(control, length) + (f" in {short_label(phase, length)}" if phase else "")
    first = lines[0].entry
    more = tuple(_more(line.entry, length) for line in lines[1:])
    # The last entry of a response that changes its throws; an expo is told between the ends.
    gives = brief(first.gives, approx=approx, alone=alone)
    off = _off(max(lines, key=lambda line: line.entry.error_mm))
    return ToEnter(what, figures(first), more, gives, off, any(line.entry.mark for line in lines))


def _more(entry: Entry, length: int) -> str:
    if entry.kind == "expo":
        return f"expo {entry.enter}"
    by = entry.enter.partition(": ")[0].removeprefix("by ")
    return f"{short_label(by, length)} lets through {figures(entry, plus=False)}"


def figures(entry: Entry, *, plus: bool = True) -> str:
    """The figures of a response in a row, the position of each only where they are not at equal steps."""
    xs = [x for x, _ in entry.figures]
    step = (xs[-1] - xs[0]) / max(len(xs) - 1, 1)
    even = xs[0] == -100 and xs[-1] == 100 and all(abs(x - (xs[0] + i * step)) < 0.01 for i, x in enumerate(xs))
    values = [signed(value, 1) if plus else signed(value, 1).lstrip("+") for _, value in entry.figures]
    told = values if even else [f"{value} at {signed(x)}," for value, x in zip(values, xs, strict=True)]
    return f"{' '.join(told).rstrip(',')}\u00a0%"


def brief(gives: str, *, approx: str, alone: bool) -> str:
    """What an entry gives, with arrows: "8 ↓ 0 14 ↑"; the names only where a channel moves more than one thing."""
    told = []
    for sentence in gives.split("; "):
        words = _THROW.sub(lambda found: f"{approx}{found[1]} {ARROWS[found[2]]}", _PLACE.sub("", sentence))
        told.append(words.replace("neutral", "0").replace(",", ""))
    joined = "; ".join(told)
    start = re.search(r"(?:≈?\d+(?:\.\d+)? [↑↓←→%]|0)(?: (?:≈?\d+(?:\.\d+)? [↑↓←→%]|0))*$", joined)
    return start[0] if alone and start is not None else joined
