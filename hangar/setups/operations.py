"""Every write on the history. Each takes the member who does it, and none takes a request."""

import re
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from hangar.fleet.models import Airframe, Transmitter
from hangar.fleet.withdrawing import mark_withdrawn
from hangar.members.models import Member
from hangar.members.policy import guard
from mixing import Finding, Setup
from mixing.merge import got_worse
from mixing.transplant import Transplanted, transplant, with_failsafes

from .as_built import differing_parts
from .errors import AsBuiltDiffers, HistoryError, ReasonError, RecordedMeanwhile
from .history import current_head
from .merging import merged
from .models import REASON_LENGTH, Document, Entered, Revision
from .sealing import seal

ORIGIN = re.compile(r"(edit|import|start|(rollback|throws) of [1-9][0-9]*)\Z")
# Marks that turn the direction of writing: a permanent reason must read as it was typed.
_BIDI = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


@dataclass(frozen=True)
class Recorded:
    """What `record` did: the revision that is current now, whether it is a new one, and whether it was merged.

    `worse` are the findings which the merged setup has and neither of the two had alone.
    """

    revision: Revision
    new: bool
    merged: bool = False
    worse: tuple[Finding, ...] = ()


def checked_reason(reason: str) -> str:
    """The reason as it will be recorded for ever; ReasonError where it cannot be."""
    reason = reason.strip()
    if not reason:
        raise ReasonError(_("Give a reason: what changes, and why. It is permanent."))
    if len(reason) > REASON_LENGTH:
        told = _("This reason has {count} characters; give {most} at most.")
        raise ReasonError(told.format(count=len(reason), most=REASON_LENGTH))
    for mark in reason:
        if mark in _BIDI or unicodedata.category(mark) in ("Cc", "Cs", "Zl", "Zp"):
            told = _("This reason holds a control character ({mark}), such as a line break; give one line.")
            raise ReasonError(told.format(mark=f"U+{ord(mark):04X}"))
    return reason


def record(
    *,
    user: Member,
    airframe: Airframe,
    setup: Setup,
    base: Revision | None,
    reason: str,
    origin: str = "edit",
    now: datetime | None = None,
) -> Recorded:
    """Record `setup` as the airframe's next revision.

    `base` is the revision from which the edits started, None where there was none. Where someone recorded meanwhile,
    the two are merged if they touch different things; else RecordedMeanwhile carries both. Recording what is current
    makes no revision. Raises NotAllowed, ReasonError, HistoryError, and mixing's SetupError for a setup that is none.
    """
    guard(user, "edit", airframe)
    reason = checked_reason(reason)
    if not ORIGIN.match(origin):
        raise HistoryError(f"There is no origin {origin!r}; give edit, import, start, rollback of N or throws of N.")
    if base is not None and base.airframe_id != airframe.pk:
        raise _of_another(base, airframe)
    # A model copied with a change skips validation: what is stored for ever is read once as every later reader will.
    setup = Setup.from_text(setup.text())
    try:
        recorded = _record(user, airframe, setup, base, reason, origin, now)
    except IntegrityError:
        # Someone recorded the same number between our look at the head and our insert. The lock makes this rare, not
        # impossible: not every database locks a row that others only read. Once more, on top of theirs.
        recorded = _record(user, airframe, setup, base, reason, origin, now)
    return _judged(recorded, setup)


def _of_another(revision: Revision, airframe: Airframe) -> HistoryError:
    told = _("{revision} belongs to {other}, not to {airframe}; give a revision of {airframe}.")
    return HistoryError(told.format(revision=revision, other=revision.airframe, airframe=airframe))


def _judged(recorded: Recorded, ours: Setup) -> Recorded:
    """With what got worse by merging. Outside the lock: an audit takes its time."""
    revision = recorded.revision
    if not (recorded.merged and recorded.new) or revision.parent is None:
        return recorded
    return replace(recorded, worse=got_worse((ours, revision.parent.setup), revision.setup))


def _record(
    user: Member,
    airframe: Airframe,
    setup: Setup,
    base: Revision | None,
    reason: str,
    origin: str,
    now: datetime | None,
) -> Recorded:
    with transaction.atomic():
        # Two members record on one airframe at once: the airframe's row is the lock, so that the second sees the
        # revision of the first. (SQLite locks the whole database when the transaction begins.)
        Airframe.objects.select_for_update().get(pk=airframe.pk)
        head = current_head(airframe)
        if head is not None and setup.digest() == head.document_id:
            return Recorded(head, new=False)
        was_merged = head is not None and head != base
        if head is not None and head != base:
            setup = merged(base=base, head=head, ours=setup)
            if setup.digest() == head.document_id:
                return Recorded(head, new=False, merged=True)
        revision = _insert(user, airframe, setup, head, reason, origin, now or timezone.now())
    return Recorded(revision, new=True, merged=was_merged)


def _insert(
    user: Member, airframe: Airframe, setup: Setup, head: Revision | None, reason: str, origin: str, now: datetime
) -> Revision:
    digest = setup.digest()
    document, _ = Document.objects.get_or_create(digest=digest, defaults={"text": setup.text()})
    number = head.number + 1 if head else 1
    return Revision.objects.create(
        airframe=airframe,
        number=number,
        document=document,
        parent=head,
        author=user,
        recorded_at=now,
        reason=reason,
        origin=origin,
        seal=seal(
            airframe_id=airframe.pk,
            parent_seal=head.seal if head else None,
            number=number,
            document_digest=digest,
            author_key=user.author_key,
            time=now,
            reason=reason,
            origin=origin,
        ),
    )


def roll_back(
    *,
    user: Member,
    airframe: Airframe,
    to: Revision,
    reason: str,
    base: Revision | None = None,
    put_back: Collection[str] = (),
    now: datetime | None = None,
) -> Recorded:
    """Record a NEW revision with the document of `to`, origin "rollback of N".

    `base` is the head which the member was shown (whatever is current, where left out): RecordedMeanwhile where it is
    not the head any more. Where the model is not built as it was then, AsBuiltDiffers, unless `put_back` holds the path
    of each differing part: the member says that it was put back.
    """
    guard(user, "edit", airframe)
    reason = checked_reason(reason)
    with transaction.atomic():
        head = _head_to_leave(airframe, to, base)
        open_parts = tuple(part for part in differing_parts(to.setup, head.setup) if part.path not in put_back)
        if open_parts:
            raise AsBuiltDiffers(number=to.number, parts=open_parts)
        return record(
            user=user,
            airframe=airframe,
            setup=to.setup,
            base=head,
            reason=reason,
            origin=f"rollback of {to.number}",
            now=now,
        )


def throws_today(to: Revision, head: Revision) -> Transplanted:
    """The throws of `to` on the model as it is built now, which is that of `head`; and what it cannot keep.

    What the model does without a signal comes along: it is a setting like any other, and none may get lost on the way.
    """
    then = to.setup
    carried = transplant(then, onto=head.setup)
    return carried._replace(setup=with_failsafes(carried.setup, of=then))


def roll_back_throws(
    *,
    user: Member,
    airframe: Airframe,
    to: Revision,
    reason: str,
    base: Revision | None = None,
    now: datetime | None = None,
) -> Recorded:
    """Record a NEW revision with the throws of `to` on today's model, solved anew, origin "throws of N".

    The way back where the model was rebuilt since. `base` as in `roll_back`. What cannot be kept is in the misses of
    `throws_today`: a page shows them before it asks. Raises mixing's SetupError where the two do not fit together.
    """
    guard(user, "edit", airframe)
    reason = checked_reason(reason)
    with transaction.atomic():
        head = _head_to_leave(airframe, to, base)
        return record(
            user=user,
            airframe=airframe,
            setup=throws_today(to, head).setup,
            base=head,
            reason=reason,
            origin=f"throws of {to.number}",
            now=now,
        )


def _head_to_leave(airframe: Airframe, to: Revision, base: Revision | None) -> Revision:
    """The current revision, locked until the transaction ends; it must be the one which the member was shown."""
    if to.airframe_id != airframe.pk:
        raise _of_another(to, airframe)
    # What was confirmed was shown against one head: nobody may record between this look and ours.
    Airframe.objects.select_for_update().get(pk=airframe.pk)
    head = current_head(airframe)
    assert head is not None, "an airframe with a revision has a head"
    if base is not None and base != head:
        raise RecordedMeanwhile(base=base, head=head, ours=to.setup)
    return head


def enter(
    *, user: Member, revision: Revision, transmitter: Transmitter, model_memory: str, at: datetime | None = None
) -> Entered:
    """A revision was entered on a transmitter, in the model memory of that name."""
    guard(user, "edit", revision.airframe)
    entered = Entered(
        revision=revision, transmitter=transmitter, model_memory=model_memory.strip(), at=at or timezone.now(), by=user
    )
    entered.full_clean()
    entered.save(force_insert=True)
    return entered


def withdraw_entered(*, user: Member, entered: Entered, reason: str, at: datetime | None = None) -> Entered:
    """It was not entered after all: what was in the transmitter before counts again."""
    return mark_withdrawn(user, entered, reason, at)
