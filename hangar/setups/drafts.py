"""Drafts: a member's unrecorded edits. What was typed is kept until it is recorded or thrown away on purpose."""

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from hangar.fleet import operations
from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.members.policy import guard
from mixing import Setup
from mixing.merge import Side

from . import steps
from .errors import DraftMoved, HistoryError
from .history import current_head
from .merging import merged
from .models import Draft, Revision
from .operations import Recorded, record
from .thrown import throw_away


def draft_of(user: Member, airframe: Airframe) -> Draft | None:
    """The member's draft of this airframe's setup, with the revision from which it started."""
    return Draft.objects.filter(airframe=airframe, member=user).select_related("base__document").first()


def start_draft(*, user: Member, airframe: Airframe, setup: Setup, base: Revision | None) -> Draft:
    """A new draft of `setup`. An earlier one of the member's is thrown away for it, and can be had back."""
    guard(user, "edit", airframe)
    with transaction.atomic():
        throw_away(user=user, airframe=airframe)
        # Two pages of one member begin one at once: the second goes on with that of the first.
        draft, _made = Draft.objects.get_or_create(
            airframe=airframe, member=user, defaults={"base": base, "text": setup.text()}
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
    return _moved(draft, version, lambda stored: _edit(stored, text))


def take_back(*, user: Member, draft: Draft | None, version: int) -> Draft:
    """What the draft said before its last edit; that edit can then be done again.

    `version` as in `save_draft`. HistoryError where there is no edit to take back.
    """
    return _walk(user, draft, version, -1, _("There is no edit to take back."))


def do_again(*, user: Member, draft: Draft | None, version: int) -> Draft:
    """The edit that was taken back last, once more. HistoryError where there is none, or something else was edited."""
    return _walk(user, draft, version, 1, _("There is no edit to do again."))


def _walk(user: Member, draft: Draft | None, version: int, by: int, nothing: str) -> Draft:
    if draft is None:
        raise HistoryError(nothing)
    guard(user, "edit", draft.airframe)
    if draft.member_id != user.pk or not draft.steps.filter(number=draft.at + by).exists():
        raise HistoryError(nothing)
    return _moved(draft, version, lambda stored: _go(stored, by))


def _edit(draft: Draft, text: str) -> None:
    steps.begin_another_way(draft)
    draft.text, draft.at = text, draft.at + 1


def _go(draft: Draft, by: int) -> None:
    there = draft.steps.get(number=draft.at + by)
    steps.remember(draft)
    draft.text, draft.at = steps.unpack(there.packed, steps.likeness(draft)), draft.at + by


def _moved(draft: Draft, version: int, change: Callable[[Draft], None]) -> Draft:
    """The stored draft, changed and saved. DraftMoved where it is not of that version any more."""
    with transaction.atomic():
        # Two pages of one member save at once: only the one that saw the stored version gets through.
        rows = Draft.objects.select_for_update(of=("self",)).select_related("base__document")
        stored = rows.filter(pk=draft.pk).first()
        if stored is None:
            raise HistoryError(_("This draft was recorded or thrown away meanwhile; start a new one."))
        if stored.version != version:
            raise DraftMoved(stored=stored)
        change(stored)
        stored.version, stored.updated_at = version + 1, timezone.now()
        stored.save(update_fields=["text", "at", "version", "updated_at"])
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
        saved.steps.all().delete()
        saved.base, saved.at = head, 0
        saved.save(update_fields=["base", "at"])
    return saved


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
