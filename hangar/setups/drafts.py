"""Drafts: a member's unrecorded edits. What was typed is kept until it is recorded or thrown away on purpose."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from hangar.fleet import operations
from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.members.policy import guard
from mixing import Setup
from mixing.merge import Side

from .errors import DraftMoved, HistoryError
from .history import current_head
from .merging import merged
from .models import Draft, Revision
from .operations import Recorded, record


def draft_of(user: Member, airframe: Airframe) -> Draft | None:
    """The member's draft of this airframe's setup, with the revision from which it started."""
    return Draft.objects.filter(airframe=airframe, member=user).select_related("base__document").first()


def open_draft(*, user: Member, airframe: Airframe) -> Draft:
    """The member's draft; where there is none, a new one of the setup that is current."""
    guard(user, "edit", airframe)
    draft = draft_of(user, airframe)
    if draft is not None:
        return draft
    head = current_head(airframe)
    if head is None:
        raise HistoryError(
            _("{airframe} has no setup yet: start one from a layout, or import one.").format(airframe=airframe)
        )
    return start_draft(user=user, airframe=airframe, setup=head.setup, base=head)


def start_draft(*, user: Member, airframe: Airframe, setup: Setup, base: Revision | None) -> Draft:
    """A new draft of `setup`, in the place of the member's earlier draft. Asking before it goes is the page's part."""
    guard(user, "edit", airframe)
    draft, _ = Draft.objects.update_or_create(
        airframe=airframe,
        member=user,
        defaults={"base": base, "text": setup.text(), "before": "", "version": 1, "updated_at": timezone.now()},
    )
    return draft


def add_airframe(*, user: Member, setup: Setup, **fields: Any) -> Airframe:
    """A new airframe of the member's own, with a draft of its first setup."""
    with transaction.atomic():
        airframe = operations.add_airframe(user=user, **fields)
        start_draft(user=user, airframe=airframe, setup=setup, base=None)
    return airframe


def save_draft(*, user: Member, draft: Draft, text: str, version: int) -> Draft:
    """Keep `text`, whether or not it is a sound setup yet.

    `version` is that of the draft which the page showed; DraftMoved where another page saved a later one.
    """
    guard(user, "edit", draft.airframe)
    if draft.member_id != user.pk:
        raise HistoryError(_("A draft belongs to the member who began it; start one of your own."))
    # Two pages of one member save at once: only the one that saw the stored version gets through.
    saved = Draft.objects.filter(pk=draft.pk, version=version).update(
        text=text, before=F("text"), version=version + 1, updated_at=timezone.now()
    )
    return _stored(draft, bool(saved))


def take_back(*, user: Member, draft: Draft, version: int) -> Draft:
    """What the draft said before its last edit; once more, and the edit is there again.

    `version` as in `save_draft`. HistoryError where nothing was edited yet.
    """
    guard(user, "edit", draft.airframe)
    if draft.member_id != user.pk or not draft.before:
        raise HistoryError(_("There is no edit to take back."))
    saved = Draft.objects.filter(pk=draft.pk, version=version).update(
        text=F("before"), before=F("text"), version=version + 1, updated_at=timezone.now()
    )
    return _stored(draft, bool(saved))


def _stored(draft: Draft, saved: bool) -> Draft:
    stored = Draft.objects.filter(pk=draft.pk).select_related("base__document").first()
    if stored is None:
        raise HistoryError(_("This draft was recorded or thrown away meanwhile; start a new one."))
    if not saved:
        raise DraftMoved(stored=stored)
    return stored


def settle(*, user: Member, draft: Draft, choices: Mapping[str, Side]) -> Draft:
    """Put the draft on top of what was recorded meanwhile, as the member chose: path of a conflict → "ours" or
    "theirs". RecordedMeanwhile, with what is still open, where that does not decide everything. Nothing is recorded.

    A draft that started without a setup is chosen as a whole, under the path "".
    """
    guard(user, "edit", draft.airframe)
    head = current_head(draft.airframe)
    if head is None or head == draft.base:
        return draft
    if draft.base is None and choices.get("") in ("ours", "theirs"):
        setup = draft.setup if choices[""] == "ours" else head.setup
    else:
        setup = merged(base=draft.base, head=head, ours=draft.setup, choices=choices)
    with transaction.atomic():
        saved = save_draft(user=user, draft=draft, text=setup.text(), version=draft.version)
        # What it said before stood on another revision: there is no way back to that.
        saved.base, saved.before = head, ""
        saved.save(update_fields=["base", "before"])
    return saved


def throw_away(*, user: Member, airframe: Airframe) -> None:
    Draft.objects.filter(airframe=airframe, member=user).delete()


def record_draft(*, user: Member, draft: Draft, reason: str, now: datetime | None = None) -> Recorded:
    """Record the member's draft; it is gone afterwards. On any error it stays as it is."""
    with transaction.atomic():
        recorded = record(
            user=user,
            airframe=draft.airframe,
            setup=draft.setup,
            base=draft.base,
            reason=reason,
            origin="edit" if draft.base_id else "start",
            now=now,
        )
        # Another page may have saved a later version: that one is not recorded and must not go.
        Draft.objects.filter(pk=draft.pk, version=draft.version).delete()
    return recorded
