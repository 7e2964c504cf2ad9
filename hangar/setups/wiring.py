"""What the channel map shows while it is edited, led by what moves: channel, ways, and what could change."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from hangar.pictures.estimates import is_estimated
from hangar.pictures.words import stands
from mixing import Finding
from mixing.document import Channel, Control, Device, Setup, Surface
from mixing.rig import Frame, Rig

from .channel_map import range_words
from .editing import Data
from .failsafe import effect_words, failsafe_frame, failsafe_words
from .matrix import Cell, level_cell, level_told, throw_cell, throw_told
from .rewiring import PLUGGED, channel_of, on_channel, turned

CODES = (
    "wrong-way", "shared-channel", "too-few-channels", "failsafe-motor", "failsafe-unset", "held", "off-neutral",
    "unreachable",
)  # fmt: skip
"""The findings that are about how things are plugged in."""

_LINKAGES = {
    "unmeasured": gettext_lazy("Linkage not measured yet: throws are estimated"),
    "measured": gettext_lazy("Linkage measured"),
    "four_bar": gettext_lazy("Linkage from its lengths"),
}


@dataclass(frozen=True)
class Reversal:
    """What a control's end does to one part now, and with its channel reversed."""

    place: str
    now: Cell
    then: Cell


@dataclass(frozen=True)
class Choice:
    """One way to plug something in elsewhere: the words, and what the page sends for it."""

    value: str
    words: str


@dataclass(frozen=True)
class Line:
    """One surface or device on the map. Of a draft that is not complete only the first fields are known."""

    section: str
    index: int
    part: Data
    channel: Data | None
    sharing: tuple[str, ...]
    choices: dict[str, list[Choice]]
    beyond: bool
    place: int = 0
    linkage: str = ""
    ways: tuple[tuple[str, Cell], ...] = ()
    failsafe: str = ""
    gives: str = ""
    findings: tuple[Finding, ...] = ()
    reversal: tuple[Reversal, ...] = ()

    @property
    def goes_wrong(self) -> bool:
        """Whether the audit says that it moves against what its control is for: reversing it is then proposed."""
        return any(one.code == "wrong-way" for one in self.findings)


@dataclass(frozen=True)
class Outlet:
    """One output of the receiver, and what is plugged into it."""

    number: int
    labels: tuple[str, ...]
    beyond: bool


@dataclass(frozen=True)
class Wiring:
    """The whole map."""

    lines: list[Line]
    outlets: list[Outlet]
    idle: list[tuple[int, Data]]
    used: int
    receiver_channels: int | None = None

    @property
    def too_few(self) -> bool:
        """Whether something is plugged in where the receiver has no output."""
        return any(one.beyond and one.labels for one in self.outlets)


def wiring(data: Data, setup: Setup | None, found: tuple[Finding, ...], receiver_channels: int | None) -> Wiring:
    """The map of a draft; `setup` is None where it is not complete."""
    lines = [
        _line(data, section, index, part, receiver_channels)
        for section in PLUGGED
        for index, part in enumerate(data.get(section) or [])
    ]
    if setup is not None:
        seen = _Seen(setup, data, found)
        lines = [seen.told(line) for line in lines]
    used = {line.part.get("channel") for line in lines if isinstance(line.part.get("channel"), int)}
    idle = [(n, one) for n, one in enumerate(data.get("channels") or []) if one.get("number") not in used]
    most = max([*used, receiver_channels or 0, *(() if receiver_channels else _numbers(data))], default=0)
    outlets = [
        Outlet(n, _labels(on_channel(data, n)), receiver_channels is not None and n > receiver_channels)
        for n in range(1, most + 1)
    ]
    return Wiring(lines, outlets, idle, len(used), receiver_channels)


def _numbers(data: Data) -> list[int]:
    return [one["number"] for one in data.get("channels") or [] if isinstance(one.get("number"), int)]


def _labels(parts: list[Data]) -> tuple[str, ...]:
    return tuple(str(one.get("label", "")) for one in parts)


def _line(data: Data, section: str, index: int, part: Data, receiver_channels: int | None) -> Line:
    number = part.get("channel")
    there = on_channel(data, number) if isinstance(number, int) else [part]
    sharing = _labels([one for one in there if one is not part])
    channel = channel_of(data, number) if isinstance(number, int) else None
    return Line(
        section, index, part, channel, sharing, _choices(data, section, part, shares=bool(sharing)),
        receiver_channels is not None and isinstance(number, int) and number > receiver_channels,
        place=data["channels"].index(channel) if channel is not None else 0,
    )  # fmt: skip


def _choices(data: Data, section: str, part: Data, *, shares: bool) -> dict[str, list[Choice]]:
    """Where it can go, in groups. A surface of a Y-lead goes alone to a free channel; both stay together in a swap."""
    channels = (data.get("signal") or {}).get("channels")
    most = channels if isinstance(channels, int) and 0 < channels <= 64 else 16
    alone = shares and section == "surfaces"
    free: list[Choice] = []
    places: list[Choice] = []
    leads: list[Choice] = []
    for number in range(1, most + 1):
        there = on_channel(data, number)
        if number == part.get("channel"):
            continue
        labels = " + ".join(_labels(there))
        if there:
            places.append(Choice(f"exchange:{number}", f"{number}: {labels}"))
            if section == "surfaces" and all(one in data["surfaces"] for one in there):
                told = _("{channel}: with {parts}").format(channel=number, parts=labels)
                leads.append(Choice(f"share:{number}", told))
        else:
            how = "unshare" if alone else "exchange"
            free.append(Choice(f"{how}:{number}", _("{channel}: free").format(channel=number)))
    groups = {
        _("To a free channel"): free, _("Change places with"): places, _("Share a channel by a Y-lead"): leads,
    }  # fmt: skip
    return {words: choices for words, choices in groups.items() if choices}


class _Seen:
    """A complete draft, with what its map asks of it worked out once."""

    def __init__(self, setup: Setup, data: Data, found: tuple[Finding, ...]) -> None:
        self.setup, self.data, self.rig = setup, data, Rig(setup)
        self.lost = failsafe_frame(setup)
        self.ends = list(_ends(setup))
        self.now = _at_ends(setup, self.ends)
        self.then: dict[int, Frame] = {}
        self.found = [one for one in found if one.code in CODES]
        self.told_of: set[int] = set()

    def told(self, line: Line) -> Line:
        """The line with everything that only a complete draft says."""
        part = self._part(line)
        channel = self.setup.channel(part.channel)
        first = channel.number not in self.told_of
        self.told_of.add(channel.number)
        places = {f"{line.section}/{part.key}", *([f"channels/{channel.number}"] if first else [])}
        return replace(
            line,
            linkage=str(_LINKAGES[part.linkage.kind]) if isinstance(part, Surface) else range_words(part),
            ways=self._ways(part, channel),
            failsafe=failsafe_words(channel),
            gives=effect_words(part, self.lost) if isinstance(channel.failsafe, float) else "",
            findings=tuple(one for one in self.found if one.where in places),
            reversal=tuple(self._reversal(part)),
        )

    def _part(self, line: Line) -> Surface | Device:
        parts = self.setup.surfaces if line.section == "surfaces" else self.setup.devices
        return next(one for one in parts if one.key == line.part["key"])

    def _ways(self, part: Surface | Device, channel: Channel) -> tuple[tuple[str, Cell], ...]:
        """What a travel of +100 % and of −100 % do."""
        travels = (100.0, -100.0)
        pulses = self.rig.pulse(channel, np.array(travels))[0]
        if isinstance(part, Surface):
            throws = self.rig.follow(part, pulses).throw_mm(chord_mm=part.chord_mm)
            cells = [throw_told(part, float(throw), estimated=is_estimated(part)) for throw in throws]
        else:
            cells = [level_told(float(level)) for level in self.rig.level(part, pulses)]
        return tuple((f"{'+' if travel > 0 else '−'}100 %", cell) for travel, cell in zip(travels, cells, strict=True))

    def _reversal(self, part: Surface | Device) -> Iterator[Reversal]:
        number = part.channel
        if number not in self.then:
            reversed_ = self.setup.changed(channels=turned(self.setup.data(), number)["channels"])
            self.then[number] = _at_ends(reversed_, self.ends)
        for index, (control, position) in enumerate(self.ends):
            now, then = (_cell(part, frame, index) for frame in (self.now, self.then[number]))
            if now != then and any(c.channel == number and c.control == control.key for c in self.setup.couplings):
                yield Reversal(stands(control, position), now, then)


def _cell(part: Surface | Device, frame: Frame, index: int) -> Cell:
    return throw_cell(part, frame, index) if isinstance(part, Surface) else level_cell(part, frame, index)


def _ends(setup: Setup) -> Iterator[tuple[Control, float]]:
    """Both ends of every control that drives something, but for the one that chooses the phase."""
    chooser = setup.phases[0].control if setup.phases else None
    for control in setup.controls:
        if control.key != chooser and any(one.control == control.key for one in setup.couplings):
            yield from ((control, end) for end in control.ends[::-1])


def _at_ends(setup: Setup, ends: list[tuple[Control, float]]) -> Frame:
    """One row for each end, all other controls at rest; everything at rest where there are no ends."""
    columns = {control.key: np.full(max(len(ends), 1), control.rest) for control in setup.controls}
    for row, (control, position) in enumerate(ends):
        columns[control.key][row] = position
    return Rig(setup).at(columns)
