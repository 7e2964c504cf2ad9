"""The seal of a revision: what it says, and all that came before it, under one digest."""

import hashlib
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import rfc8785

if TYPE_CHECKING:
    from .models import Revision


def sealed_time(moment: datetime) -> str:
    """UTC with microseconds and Z, as it stands under a seal: 2026-05-01T09:30:00.000000Z."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def seal(
    *,
    airframe_id: int,
    parent_seal: str | None,
    number: int,
    document_digest: str,
    author_key: str,
    time: datetime,
    reason: str,
    origin: str,
) -> str:
    """SHA-256, in hex, over the canonical JSON (RFC 8785) of everything which a revision says."""
    content = {
        "airframe": airframe_id,
        "parent": parent_seal,
        "number": number,
        "document": document_digest,
        "author": author_key,
        "time": sealed_time(time),
        "reason": reason,
        "origin": origin,
    }
    return hashlib.sha256(rfc8785.dumps(content)).hexdigest()


def seal_of(revision: "Revision", parent_seal: str | None) -> str:
    """The seal which `revision` must carry, given that of its parent."""
    return seal(
        airframe_id=revision.airframe_id,
        parent_seal=parent_seal,
        number=revision.number,
        document_digest=revision.document_id,
        author_key=revision.author_id,
        time=revision.recorded_at,
        reason=revision.reason,
        origin=revision.origin,
    )
