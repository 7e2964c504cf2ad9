"""What lists need to know of a setup, worked out once per document and kept: a digest never changes its meaning.

What is worked out follows from the code too, so each summary carries the digest of the code that made it.
"""

import hashlib
from collections import Counter
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from django.utils.translation import gettext as _
from django.utils.translation import ngettext_lazy

import mixing
from hangar.fleet.checks import failsafe_digest
from mixing.document import Setup

from .findings import findings
from .models import Document, DocumentSummary

_ROLES = {
    "aileron": ngettext_lazy("aileron", "{count} ailerons", "count"),
    "flap": ngettext_lazy("flap", "{count} flaps", "count"),
    "elevator": ngettext_lazy("elevator", "{count} elevators", "count"),
    "canard": ngettext_lazy("canard", "{count} canards", "count"),
    "rudder": ngettext_lazy("rudder", "{count} rudders", "count"),
    "elevon": ngettext_lazy("elevon", "{count} elevons", "count"),
    "flaperon": ngettext_lazy("flaperon", "{count} flaperons", "count"),
    "ruddervator": ngettext_lazy("V-tail panel", "{count} V-tail panels", "count"),
    "ruddervator_inverted": ngettext_lazy("inverted V-tail panel", "{count} inverted V-tail panels", "count"),
    "spoiler": ngettext_lazy("spoiler", "{count} spoilers", "count"),
    "other": ngettext_lazy("other surface", "{count} other surfaces", "count"),
}
_DEVICES = {
    "+electric_motor": ngettext_lazy("motor", "{count} motors", "count"),
    "+engine_throttle": ngettext_lazy("engine", "{count} engines", "count"),
    "+release": ngettext_lazy("tow release", "{count} tow releases", "count"),
    "+retract": ngettext_lazy("retract", "{count} retracts", "count"),
    "+wheel_brake": ngettext_lazy("wheel brake", "{count} wheel brakes", "count"),
    "+other": ngettext_lazy("other device", "{count} other devices", "count"),
}
_PARTS = {**_ROLES, **_DEVICES}


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
    """A setup in a line: its layout, the digest of its failsafe, its last channel, what the audit finds, and
    the labels of its surfaces by key."""
    setup = document.setup
    counts = Counter(finding.severity for finding in findings(setup))
    return DocumentSummary(
        document=document, code=code_version(), layout=layout_of(setup),
        failsafe=failsafe_digest(setup), highest_channel=max(channel.number for channel in setup.channels),
        warnings=counts["warning"], cautions=counts["caution"], notes=counts["note"],
        surfaces={surface.key: surface.label for surface in setup.surfaces},
    )  # fmt: skip


def layout_of(setup: Setup) -> str:
    """What a model has, in no language: "aileron=2 elevator +electric_motor"."""
    counts = Counter([*(surface.role for surface in setup.surfaces), *(f"+{one.kind}" for one in setup.devices)])
    return " ".join(name if count == 1 else f"{name}={count}" for name, count in counts.items())


def layout_told(layout: str) -> str:
    """What a model has, from `layout_of`, as its pilot would say it: "2 ailerons, 2 flaps, elevator, rudder, motor"."""
    told = []
    for part in layout.split():
        name, _many, count = part.partition("=")
        # What an older version kept is written otherwise, until it is worked out anew.
        if name in _PARTS:
            told.append(_PARTS[name].format(count=int(count or 1)))
    return ", ".join(told) or _("nothing that moves")


def layout_words(setup: Setup) -> str:
    """What a model has, as its pilot would say it."""
    return layout_told(layout_of(setup))
