"""What lists need to know of a setup, computed once per document: its digest never changes its meaning."""

from collections import OrderedDict
from collections.abc import Iterable
from dataclasses import dataclass
from threading import Lock

from hangar.fleet.checks import failsafe_digest
from mixing.document import Setup

from .findings import warnings
from .models import Document

_KEPT = 4000
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
    """A setup in a line: its layout in words, the digest of its failsafe, and how many warnings the audit has."""

    layout: str
    failsafe: str
    warnings: int


_known: OrderedDict[str, Summary] = OrderedDict()
_lock = Lock()


def summaries(digests: Iterable[str]) -> dict[str, Summary]:
    """Summaries by digest, in at most one query."""
    wanted = set(digests)
    with _lock:
        found = {digest: _known[digest] for digest in wanted & _known.keys()}
    for document in Document.objects.filter(digest__in=wanted - found.keys()):
        found[document.digest] = summary_of(document.setup)
    with _lock:
        _known.update(found)
        while len(_known) > _KEPT:
            _known.popitem(last=False)
    return found


def summary_of(setup: Setup) -> Summary:
    """The summary of one setup."""
    return Summary(layout_words(setup), failsafe_digest(setup), warnings(setup))


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
