"""Reading the history: the head, one revision, what is in the transmitter, and whether every chain holds."""

import hashlib
from collections.abc import Callable, Iterator

from django.db import DataError
from django.http import Http404

from hangar.fleet.models import Airframe
from mixing import Setup, SetupError

from .models import Document, Entered, Revision
from .sealing import seal_of


def current_head(airframe: Airframe) -> Revision | None:
    """The newest revision, with its document; None where nothing was recorded yet."""
    return (
        Revision.objects.filter(airframe=airframe)
        .select_related("document", "author__personal")
        .order_by("-number")
        .first()
    )


def get_revision_of(airframe: Airframe, number: int) -> Revision:
    """One revision of an airframe that was looked up with its permission; Http404 where there is none."""
    revision = (
        Revision.objects.filter(airframe=airframe, number=number)
        .select_related("document", "airframe", "parent", "author__personal")
        .first()
    )
    if revision is None:
        raise Http404(f"{airframe} has no revision {number}.")
    return revision


def currently_entered(airframe: Airframe) -> Entered | None:
    """What is really in the transmitter: the newest record that a revision of this airframe was entered."""
    return (
        Entered.objects.filter(revision__airframe=airframe)
        .select_related("revision__document", "transmitter", "by__personal")
        .first()
    )


def broken_links(
    airframe: Airframe, *, walked: Callable[[], None] = lambda: None, documents: dict[str, str | None] | None = None
) -> Iterator[str]:
    """Walk one chain from its first revision: everything which does not hold, in words, the oldest first.

    `walked` is called after each revision, for whoever counts them. `documents` keeps what was found of each document,
    for whoever walks several chains: one that many revisions share is read once.
    """
    try:
        yield from _walk(airframe, walked, documents if documents is not None else {})
    except (AttributeError, ValueError, TypeError, DataError) as error:
        # What was never written by us may be unreadable in any way: a time that is none, half a character.
        yield f"{airframe.slug}: a row of this history cannot be read ({error})"


def _walk(airframe: Airframe, walked: Callable[[], None], documents: dict[str, str | None]) -> Iterator[str]:
    parent: Revision | None = None
    expected = 1
    for revision in Revision.objects.filter(airframe=airframe).order_by("number").iterator():
        name = f"{airframe.slug} revision {revision.number}"
        if revision.number != expected:
            yield f"{name}: revision {expected} is missing before it"
        if revision.parent_id != (parent.pk if parent else None):
            yield f"{name}: its parent is not the revision before it"
        if revision.seal != seal_of(revision, parent.seal if parent else None):
            yield f"{name}: its seal does not fit what it says and what came before"
        digest = revision.document_id
        if digest not in documents:
            documents[digest] = _broken_document(digest)
        if (wrong := documents[digest]) is not None:
            yield f"{name}: {wrong}"
        parent, expected = revision, revision.number + 1
        walked()


def _broken_document(digest: str) -> str | None:
    text = Document.objects.filter(digest=digest).values_list("text", flat=True).first()
    if text is None:
        return f"its document {digest} is missing"
    # Of the stored text, never of the setup that was read from it: a later schema upgrades on reading.
    if hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest() != digest:
        return f"the text of its document does not have the digest {digest}"
    try:
        Setup.from_text(text)
    except SetupError as error:
        return f"its document {digest} cannot be read: {error}"
    return None
