"""Drafts that were thrown away: for a while they can be had back, with every edit that could be taken back."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.db.models import QuerySet
from django.http import Http404
from django.utils import timezone
from django.utils.translation import gettext as _

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.members.policy import guard

from .errors import HistoryError
from .models import Draft
from .steps import edits_of

KEPT_DAYS = 30
MOST_KEPT = 10
"""How many of one member and airframe, the last ones."""


@dataclass(frozen=True)
class Thrown:
    """A draft that was thrown away, and what it changes in a few words."""

    draft: Draft
    words: str


def thrown_of(user: Member, airframe: Airframe) -> QuerySet[Draft]:
    """What the member threw away and can have back, the last first."""
    since = timezone.now() - timedelta(days=KEPT_DAYS)
    thrown = Draft.everything.filter(airframe=airframe, member=user, thrown_at__gt=since)
    return thrown.select_related("base__document").order_by("-thrown_at", "-pk")


def told_thrown(user: Member, airframe: Airframe, pk: int | None = None) -> list[Thrown]:
    """`thrown_of` for a page; only the one of that key where it is given."""
    thrown = thrown_of(user, airframe)
    return [Thrown(draft, edits_of(draft)) for draft in (thrown if pk is None else thrown.filter(pk=pk))]


def throw_away(*, user: Member, airframe: Airframe, now: datetime | None = None) -> Draft | None:
    """The member's draft, out of the way until its time is over; None where there is none."""
    now = now or timezone.now()
    with transaction.atomic():
        draft = Draft.objects.select_for_update().filter(airframe=airframe, member=user).first()
        if draft is None:
            return None
        draft.thrown_at = now
        draft.save(update_fields=["thrown_at"])
        Draft.everything.filter(thrown_at__lte=now - timedelta(days=KEPT_DAYS)).delete()
        kept = thrown_of(user, airframe).values_list("pk", flat=True)[:MOST_KEPT]
        Draft.everything.filter(airframe=airframe, member=user, thrown_at__isnull=False).exclude(
            pk__in=list(kept)
        ).delete()
    return draft


def get_thrown_of(user: Member, airframe: Airframe, pk: int) -> Draft:
    """A draft that the member threw away, or one that is in hand again; Http404 where there is none of that key."""
    draft = (
        thrown_of(user, airframe).filter(pk=pk).first()
        or Draft.objects.filter(airframe=airframe, member=user, pk=pk).first()
    )
    if draft is None:
        raise Http404(f"{user} has no draft {pk} of {airframe} to have back.")
    return draft


def have_back(*, user: Member, draft: Draft) -> Draft:
    """The thrown draft, in hand again. One that is in hand meanwhile is thrown away for it, so neither is lost."""
    guard(user, "edit", draft.airframe)
    if draft.member_id != user.pk:
        raise HistoryError(_("A draft belongs to the member who began it; start one of your own."))
    try:
        return _have_back(user, draft)
    except IntegrityError:
        # Another page of the same member began a draft at this moment: that one makes way, too.
        return _have_back(user, draft)


def _have_back(user: Member, draft: Draft) -> Draft:
    with transaction.atomic():
        # Tapped twice: the second finds it in hand.
        stored = Draft.everything.select_for_update().get(pk=draft.pk)
        if stored.thrown_at is None:
            return stored
        throw_away(user=user, airframe=draft.airframe)
        stored.thrown_at = None
        # A page of the one that made way must not save into this one.
        stored.version += 1
        stored.save(update_fields=["thrown_at", "version"])
    return stored
