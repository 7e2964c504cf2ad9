"""The dial-in list of a setup for one transmitter, channel by channel."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from hangar.fleet.lookups import current_fitting
from hangar.fleet.models import SIGNS, Airframe, Binding, Transmitter
from hangar.languages.speaking import way
from hangar.pictures.words import length, unbroken
from mixing import Conventions, Setup, solve
from mixing.solve import Entry

from .history import currently_entered
from .remembered import Remembered

TOLD_MM = 0.05
"""How far a throw may lie from what the setup asks for before the list says so [mm]."""

_KINDS = {
    "reversal": gettext_lazy("Reversal"), "centre": gettext_lazy("Centre"), "limits": gettext_lazy("Limits"),
    "failsafe": gettext_lazy("Failsafe"), "ends": gettext_lazy("End values"), "curve": gettext_lazy("Curve"),
    "expo": gettext_lazy("Expo"), "fade": gettext_lazy("Fade"), "stance": gettext_lazy("Stance"),
}  # fmt: skip
_AT = re.compile(r" % (\w+) (?=[+−\d])")
"""Between a travel and its position: "95 % at −100"."""
_known: Remembered[tuple[str, Conventions, str], tuple[Entry, ...]] = Remembered(300)


@dataclass(frozen=True)
class Line:
    """One entry in words.

    `enter` breaks between its figures only; `off` says how far its rounding lies from what the setup asks for, ""
    where near enough.
    """

    what: str
    of: str
    enter: str
    entry: Entry
    off: str


@dataclass(frozen=True)
class ChannelLines:
    """Everything to enter on one channel."""

    number: int
    label: str
    lines: tuple[Line, ...]


def transmitter_of(airframe: Airframe) -> Transmitter | None:
    """The transmitter in which a setup of the airframe was entered last; else the one its receiver is bound to."""
    entered = currently_entered(airframe)
    if entered is not None:
        return entered.transmitter
    fitting = current_fitting(airframe)
    bindings = Binding.objects.filter(receiver=fitting.receiver_id).select_related("transmitter") if fitting else None
    binding = bindings.first() if bindings is not None else None
    return binding.transmitter if binding is not None else None


def conventions_of(transmitter: Transmitter | None) -> Conventions:
    """How the transmitter reads what is entered; every convention unproven until the test of its signs was done."""
    if transmitter is None or not transmitter.signs_proven:
        return Conventions()
    return Conventions(**{sign: getattr(transmitter, sign) for sign in SIGNS})


def differing_figures(setup: Setup, transmitter: Transmitter | None) -> bool:
    """Whether the setup was made for a transmitter with other figures of its signal than this one has."""
    if transmitter is None:
        return False
    return any(getattr(setup.signal, name) != figure for name, figure in transmitter.signal_figures.items())


def dial_in_list(setup: Setup, conventions: Conventions) -> list[ChannelLines]:
    """The entries of `mixing.solve.dial_in`, by channel."""
    key = setup.digest(), conventions, way()
    entries = _known.once(key, lambda: tuple(solve.dial_in(setup, conventions)))
    by_channel = groupby(entries, key=lambda entry: entry.channel)
    return [_channel_lines(number, tuple(own)) for number, own in by_channel]


def _channel_lines(number: int, entries: tuple[Entry, ...]) -> ChannelLines:
    # The first entry of a channel is its reversal, whose label is what the channel moves.
    return ChannelLines(number, entries[0].label, tuple(_lines(entries[0].label, entries)))


def _lines(channel_label: str, entries: tuple[Entry, ...]) -> Iterator[Line]:
    for entry in entries:
        of = entry.label.removeprefix(channel_label).removeprefix(", ")
        off = ""
        if entry.error_mm > TOLD_MM:
            off = _("{length} off what the setup asks for").format(length=length(entry.error_mm, 2))
        yield Line(str(_KINDS[entry.kind]), of, _unbroken(entry.enter), entry, off)


def _unbroken(words: str) -> str:
    return unbroken(_AT.sub("\u00a0%\u00a0\\1\u00a0", words))
