"""What lists need to know of a setup, computed once per document: its digest never changes its meaning."""

from collections.abc import Iterable
from dataclasses import dataclass
from time import monotonic

from hangar.fleet.checks import failsafe_digest
from mixing.document import Setup

from .findings import warnings
from .models import Document
from .remembered import Remembered

AUDIT_SECONDS = 1.5
_ROLES = {
    "aileron": "aileron", "flap": "flap", "elevator": "elevator", "canard": "canard", "rudder": "rudder",
    "elevon": "elevon", "flaperon": "flaperon", "ruddervator": "V-tail panel",
    "ruddervator_inverted": "inverted V-tail panel", "spoiler": "spoiler", "other": "other surface",
}  # fmt: skip
_DEVICES = {
    "electric_motor": "motor", "engine_throttle": "engine", "release": "tow release", "retract": "retract",
    "wheel_brake": "wheel brake", "other": "other device",
}  # fmt: skip


@dataclass(frozen=True)
class Summary:
    """A setup in a line: its layout in words, the digest of its failsafe, its last channel, the audit's warnings, and
    the labels of its surfaces by key.

    `warnings` is None where there was no time for the audit yet.
    """

    layout: str
    failsafe: str
    highest_channel: int
    warnings: int | None
    surfaces: dict[str, str]


_known: Remembered[str, Summary] = Remembered(4000)


def summaries(digests: Iterable[str]) -> dict[str, Summary]:
    """Summaries by digest, in at most one query.

    An audit takes up to a quarter of a second. A list with many setups that were never audited since the site was
    started does not wait for all of them: what did not get its turn within `AUDIT_SECONDS` gets it the next time.
    """
    wanted = set(digests)
    found = _known.get(wanted)
    until = monotonic() + AUDIT_SECONDS
    for document in Document.objects.filter(digest__in=wanted - found.keys()):
        summary = _summary_of(document.setup, audited=monotonic() < until)
        found[document.digest] = summary
        if summary.warnings is not None:
            _known.put(document.digest, summary)
    return found


def _summary_of(setup: Setup, *, audited: bool) -> Summary:
    highest = max(channel.number for channel in setup.channels)
    labels = {surface.key: surface.label for surface in setup.surfaces}
    found = warnings(setup) if audited else None
    return Summary(layout_words(setup), failsafe_digest(setup), highest, found, labels)


def layout_words(setup: Setup) -> str:
    """What a model has, as its pilot would say it: "2 ailerons, 2 flaps, elevator, rudder, motor"."""
    counts: dict[str, int] = {}
    for surface in setup.surfaces:
        counts[_ROLES[surface.role]] = counts.get(_ROLES[surface.role], 0) + 1
    for device in setup.devices:
        counts[_DEVICES[device.kind]] = counts.get(_DEVICES[device.kind], 0) + 1
    return (
        ", ".join(name if count == 1 else f"{count} {name}s" for name, count in counts.items()) or "nothing that moves"
    )
