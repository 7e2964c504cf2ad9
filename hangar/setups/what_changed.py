"""What each revision changed, for lists of the history: computed once for two documents, which never change."""

from collections import OrderedDict
from collections.abc import Iterable
from threading import Lock

import mixing

from .models import Document, Revision

_KEPT = 1000
_SHOWN = 4
_known: OrderedDict[tuple[str, str], tuple[str, ...]] = OrderedDict()
_lock = Lock()


def what_changed(revisions: Iterable[Revision]) -> dict[int, tuple[str, ...]]:
    """For each revision with a parent, what it changed: a few lines, in at most one query."""
    pairs = {one.pk: (one.parent.document_id, one.document_id) for one in revisions if one.parent is not None}
    with _lock:
        found = {pair: _known[pair] for pair in set(pairs.values()) & _known.keys()}
    missing = set(pairs.values()) - found.keys()
    setups = {
        row.digest: row.setup for row in Document.objects.filter(digest__in={d for pair in missing for d in pair})
    }
    found |= {pair: _lines(mixing.compare(setups[pair[0]], setups[pair[1]])) for pair in missing}
    with _lock:
        _known.update(found)
        while len(_known) > _KEPT:
            _known.popitem(last=False)
    return {pk: found[pair] for pk, pair in pairs.items()}


def _lines(changes: tuple[mixing.Change, ...]) -> tuple[str, ...]:
    lines = [change.effect or f"{change.label}: {change.before} → {change.after}" for change in changes]
    more = len(lines) - _SHOWN
    return (*lines[:_SHOWN], *([f"and {more} more"] if more > 0 else []))
