"""What each revision changed, for lists of the history: computed once for two documents, which never change."""

from collections.abc import Iterable

from django.utils.translation import gettext as _

import mixing
from hangar.languages.speaking import way

from .models import Document, Revision
from .remembered import Remembered

_SHOWN = 4
_known: Remembered[tuple[str, str, str], tuple[str, ...]] = Remembered(1000)


def what_changed(revisions: Iterable[Revision]) -> dict[int, tuple[str, ...]]:
    """For each revision with a parent, what it changed: a few lines, in at most one query."""
    spoken = way()
    pairs = {one.pk: (one.parent.document_id, one.document_id, spoken) for one in revisions if one.parent is not None}
    found = _known.get(set(pairs.values()))
    missing = set(pairs.values()) - found.keys()
    digests = {digest for pair in missing for digest in pair[:2]}
    setups = {row.digest: row.setup for row in Document.objects.filter(digest__in=digests)}
    for before, after, _way in missing:
        key = before, after, spoken
        found[key] = _lines(mixing.compare(setups[before], setups[after]))
        _known.put(key, found[key])
    return {pk: found[pair] for pk, pair in pairs.items()}


def _lines(changes: tuple[mixing.Change, ...]) -> tuple[str, ...]:
    lines = [change.effect or f"{change.label}: {change.before} → {change.after}" for change in changes]
    more = len(lines) - _SHOWN
    return (*lines[:_SHOWN], *([_("and {more} more").format(more=more)] if more > 0 else []))
