"""The edits of a draft, one behind the other: what it said at each, packed, and each edit in words.

A draft stands at one of its steps; those before it can be taken back, those after it done again.
"""

import base64
import hashlib
import zlib
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

import mixing
from hangar.languages.speaking import way
from mixing import SetupError
from mixing.reading import LARGEST_TEXT

from .models import Draft, DraftStep
from .parsed import parsed
from .remembered import Remembered

KEPT = 100
"""How many edits can be taken back."""
_WINDOW = 32768
"""As much as deflate looks back."""

# A draft may be no setup yet, and so be a little longer than one.
_LARGEST = 4 * LARGEST_TEXT
_known: Remembered[tuple[str, ...], str] = Remembered(500)


@dataclass(frozen=True)
class Trail:
    """The edit that can be taken back and the one that can be done again, in words; "" where there is none."""

    back: str = ""
    again: str = ""


def pack(text: str, like: str) -> str:
    """A text in few letters: what it shares with `like` costs next to nothing."""
    packer = zlib.compressobj(9, zdict=_start(like))
    return base64.b85encode(packer.compress(text.encode()) + packer.flush()).decode()


def unpack(packed: str, like: str) -> str:
    """The text that was packed with the same `like`. ValueError or zlib.error for what `pack` never made."""
    unpacker = zlib.decompressobj(zdict=_start(like))
    # Never more than a setup may have: a few letters can unpack to more than any memory holds.
    text = unpacker.decompress(base64.b85decode(packed), _LARGEST)
    if not unpacker.eof:
        raise ValueError("this is no whole setup")
    return text.decode()


def _start(like: str) -> bytes:
    return like.encode()[-_WINDOW:] or b"{}"


def likeness(draft: Draft) -> str:
    """What every step of a draft is packed with: the recorded setup from which it started, which never changes."""
    return draft.base.document.text if draft.base is not None else ""


def remember(draft: Draft) -> None:
    """Put what the draft says at its place among the steps."""
    DraftStep.objects.update_or_create(
        draft=draft, number=draft.at, defaults={"packed": pack(draft.text, likeness(draft))}
    )


def unreadable(draft: Draft) -> int | None:
    """The number of a step that did not come from `pack`, such as in a file from elsewhere; None where all did."""
    like = likeness(draft)
    for number, packed in draft.steps.values_list("number", "packed"):
        try:
            unpack(packed, like)
        except (ValueError, zlib.error):
            return number
    return None


def begin_another_way(draft: Draft) -> None:
    """Before an edit: keep what the draft says; what was taken back before is done with, and so is the oldest step."""
    draft.steps.filter(number__gt=draft.at).delete()
    draft.steps.filter(number__lt=draft.at + 1 - KEPT).delete()
    remember(draft)


def trail_of(draft: Draft) -> Trail:
    """What can be taken back and done again, in words. One query."""
    beside = dict(draft.steps.filter(number__in=(draft.at - 1, draft.at + 1)).values_list("number", "packed"))
    before, after = beside.get(draft.at - 1), beside.get(draft.at + 1)
    like = likeness(draft)
    return Trail(
        told(unpack(before, like), draft.text) if before is not None else "",
        told(draft.text, unpack(after, like)) if after is not None else "",
    )


def edits_of(draft: Draft) -> str:
    """All that a draft changes of the recorded setup from which it started, as `told` says it."""
    return told(draft.base.document.text, draft.text) if draft.base is not None else _("a first setup")


def told(before: str, after: str) -> str:
    """What an edit changed, in a few words: "Left flap, Brake lever"."""
    key = *(hashlib.sha256(text.encode()).hexdigest() for text in (before, after)), way()
    return _known.once(key, lambda: _told(before, after))


def _told(before: str, after: str) -> str:
    try:
        changes = mixing.compare(parsed(before), parsed(after))
    except SetupError:
        return _("an edit of an unfinished setup")
    if not changes:
        return _("an edit that changes nothing")
    more = len(changes) - 1
    if not more:
        return changes[0].label
    text = ngettext("{change} and {count} more", "{change} and {count} more", more)
    return text.format(change=changes[0].label, count=more)
