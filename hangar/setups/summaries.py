"""What lists need to know of a setup, worked out once per document and kept: a digest never changes its meaning.

What is worked out follows from the code too, so each summary carries the digest of the code that made it.
"""

import hashlib
from collections import Counter
from collections.abc import Iterable
from functools import cache
from pathlib import Path

import mixing
from hangar.fleet.checks import failsafe_digest
from mixing.document import Setup

from .findings import findings
from .models import Document, DocumentSummary

_ROLES = {
    "aileron": "aileron", "flap": "flap", "elevator": "elevator", "canard": "canard", "rudder": "rudder",
    "elevon": "elevon", "flaperon": "flaperon", "ruddervator": "V-tail panel",
    "ruddervator_inverted": "inverted V-tail panel", "spoiler": "spoiler", "other": "other surface",
}  # fmt: skip
_DEVICES = {
    "electric_motor": "motor", "engine_throttle": "engine", "release": "tow release", "retract": "retract",
    "wheel_brake": "wheel brake", "other": "other device",
}  # fmt: skip
_LAYOUT_LENGTH = 300


@cache
def code_version() -> str:
    """A short digest of the code that computes and of this file: what was kept by another one is worked out anew."""
    folder = Path(mixing.__file__).parent
    sources = [*sorted(folder.rglob("*.py")), Path(__file__), Path(failsafe_digest.__code__.co_filename)]
    return hashlib.sha256(b"\0".join(source.read_bytes() for source in sources)).hexdigest()[:16]


def summaries(digests: Iterable[str]) -> dict[str, DocumentSummary]:
    """Summaries by digest: one query where they are kept. What is not kept yet is worked out and kept; that takes an
    audit each, up to a quarter of a second."""
    wanted = set(digests)
    kept = DocumentSummary.objects.filter(document__in=wanted, code=code_version())
    found = {one.document_id: one for one in kept}
    if missing := wanted - found.keys():
        made = [summary_of(document) for document in Document.objects.filter(digest__in=missing)]
        # Another request may keep the same at once: both say the same.
        DocumentSummary.objects.bulk_create(made, ignore_conflicts=True)
        found |= {one.document_id: one for one in made}
    return found


def summary_of(document: Document) -> DocumentSummary:
    """A setup in a line: its layout in words, the digest of its failsafe, its last channel, what the audit finds, and
    the labels of its surfaces by key."""
    setup = document.setup
    counts = Counter(finding.severity for finding in findings(setup))
    return DocumentSummary(
        document=document, code=code_version(), layout=layout_words(setup)[:_LAYOUT_LENGTH],
        failsafe=failsafe_digest(setup), highest_channel=max(channel.number for channel in setup.channels),
        warnings=counts["warning"], cautions=counts["caution"], notes=counts["note"],
        surfaces={surface.key: surface.label for surface in setup.surfaces},
    )  # fmt: skip


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
