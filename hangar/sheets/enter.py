"""The dial-in list on a sheet: what to enter for each channel on the owner's transmitter, in little room."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from hangar.pictures.estimates import is_estimated
from hangar.pictures.words import arrow, length, short, signed
from hangar.setups.dial_in import TOLD_MM, ChannelLines, Line, dial_in_list
from hangar.sheets.labels import short_label
from mixing import Conventions
from mixing.document import Setup
from mixing.solve import Entry
from mixing.solve.entry import Moved
from mixing.wording import length_figure, lowered

_SHARED = ("centre", "limits")
"""What most channels share is told once for all of them."""


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
    shared = {kind: _most_common(channels, kind, conventions) for kind in _SHARED}
    rows = {channel.number: _Row(setup, channel, conventions, length).told(shared) for channel in channels}
    every = tuple(_of_all(kind, entered) for kind, entered in shared.items() if entered)
    return DialIn(rows, every, conventions.proven)


def _of_all(kind: str, entered: str) -> str:
    return (_("centre {value}") if kind == "centre" else _("limits {value}")).format(value=entered)


def _entered(line: Line, conventions: Conventions) -> str:
    """What to enter; a centre that is the transmitter's own needs no second unit."""
    if line.entry.kind != "centre" or line.entry.mark:
        return line.enter
    ((_at, figure),) = line.entry.figures
    return f"{signed(figure, 1)}\u00a0%" if conventions.centre_unit == "pct" else f"{short(figure)}\u00a0µs"


def _off(line: Line) -> str:
    error = line.entry.error_mm
    return _("{length} off").format(length=length(error, 2)) if error > TOLD_MM else ""


def _most_common(channels: Iterable[ChannelLines], kind: str, conventions: Conventions) -> str:
    lines = [line for channel in channels for line in channel.lines if line.entry.kind == kind]
    counts = Counter(_entered(line, conventions) for line in lines)
    return counts.most_common(1)[0][0] if counts else ""


class _Row:
    """What to enter on one channel, in little room."""

    def __init__(self, setup: Setup, channel: ChannelLines, conventions: Conventions, length: int) -> None:
        self.setup, self.channel, self.conventions, self.length = setup, channel, conventions, length
        surfaces = setup.surfaces_on(channel.number)
        self.approx = any(is_estimated(surface) for surface in surfaces)
        self.alone = len(surfaces) + len(setup.devices_on(channel.number)) == 1

    def told(self, shared: dict[str, str]) -> tuple[ToEnter, ...]:
        """The responses, each with its expo and fades; then what differs from other channels, and the stances."""
        found: list[ToEnter] = []
        groups: dict[tuple[str, str], list[Line]] = {}
        for line in self.channel.lines:
            entry, entered = line.entry, _entered(line, self.conventions)
            if entry.kind in _SHARED and (entered != shared[entry.kind] or entry.mark):
                name = _("Centre") if entry.kind == "centre" else _("Limits")
                found.append(ToEnter(name, entered, off=_off(line), unproven=bool(entry.mark)))
            elif entry.control:
                groups.setdefault((entry.control, entry.phase), []).append(line)
            elif entry.kind == "stance":
                name = _("Stance {phase}").format(phase=self._phase(entry.phase))
                found.append(ToEnter(name, line.enter, gives=self._gives(entry), off=_off(line)))
        return (*(self._response(lines) for lines in groups.values()), *found)

    def _response(self, lines: list[Line]) -> ToEnter:
        first = lines[0].entry
        what = short_label(self.setup.control(first.control).label, self.length)
        if first.phase:
            what = _("{control} in {phase}").format(control=what, phase=self._phase(first.phase))
        more = tuple(self._more(line.entry) for line in lines[1:])
        # The last entry of a response that changes its throws; an expo is told between the ends.
        off = _off(max(lines, key=lambda line: line.entry.error_mm))
        return ToEnter(what, figures(first), more, self._gives(first), off, any(line.entry.mark for line in lines))

    def _more(self, entry: Entry) -> str:
        if entry.kind == "expo":
            return _("expo {value}").format(value=entry.enter)
        fader = short_label(lowered(self.setup.control(entry.by).label), self.length)
        return _("{control} lets through {figures}").format(control=fader, figures=figures(entry, plus=False))

    def _phase(self, key: str) -> str:
        label = next(phase.label for phase in self.setup.phases if phase.key == key)
        return short_label(lowered(label), self.length)

    def _gives(self, entry: Entry) -> str:
        return brief(entry.moved, approx=self.approx, alone=self.alone)


def figures(entry: Entry, *, plus: bool = True) -> str:
    """The figures of a response in a row, the position of each only where they are not at equal steps."""
    xs = [x for x, _value in entry.figures]
    step = (xs[-1] - xs[0]) / max(len(xs) - 1, 1)
    even = xs[0] == -100 and xs[-1] == 100 and all(abs(x - (xs[0] + i * step)) < 0.01 for i, x in enumerate(xs))
    values = [signed(value, 1) if plus else signed(value, 1).lstrip("+") for _x, value in entry.figures]
    if not even:
        at = _("{value} at {position}")
        values = [f"{at.format(value=value, position=signed(x))}," for value, x in zip(values, xs, strict=True)]
    return f"{' '.join(values).rstrip(',')}\u00a0%"


def brief(moved: Iterable[Moved], *, approx: bool, alone: bool) -> str:
    """What an entry gives, with arrows: "8 ↓ 0 14 ↑"; the names only where a channel moves more than one thing."""
    return "; ".join(
        " ".join(([] if alone else [one.label]) + [_figure(one.role, value, approx) for value in one.values])
        for one in moved
    )


def _figure(role: str, value: float, approx: bool) -> str:
    """A throw with its arrow; without a role the level of a device."""
    if not role:
        return f"{short(value, 0)} %"
    size = length_figure(abs(value))
    return "0" if size == "0" else f"{'≈' if approx else ''}{size} {arrow(value, role, digits=1)}"
