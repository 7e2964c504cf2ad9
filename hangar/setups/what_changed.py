"""What each revision changed, for lists of the history: computed once for two documents, which never change."""

from collections.abc import Iterable

import mixing

from .models import Document, Revision
from .remembered import Remembered

_SHOWN = 4
_known: Remembered[tuple[str, str], tuple[str, ...]] = Remembered(1000)


def what_changed(revisions: Iterable[Revision]) -> dict[int, tuple[str, ...]]:
    """For each revision with a parent, what it changed: a few lines, in at most one query."""
    pairs = {one.pk: (one.parent.document_id, one.document_id) for one in revisions if one.parent is not None}
    found = _known.get(set(pairs.values()))
    missing = set(pairs.values()) - found.keys()
    digests = {digest for pair in missing for digest in pair}
    setups = {row.digest: row.setup for row in Document.objects.filter(digest__in=digests)}
    for before, after in missing:
        found[before, after] = _lines(mixing.compare(setups[before], setups[after]))
        _known.put((before, after), found[before, after])
    return {pk: found[pair] for pk, pair in pairs.items()}


def _lines(changes: tuple[mixing.Change, ...]) -> tuple[str, ...]:
    lines = [change.effect or f"{change.label}: {change.before} → {change.after}" for change in changes]
    more = len(lines) - _SHOWN
    return (*lines[:_SHOWN], *([f"and {more} more"] if more > 0 else []))
