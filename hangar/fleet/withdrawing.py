"""What was logged is never deleted: it is withdrawn with a reason, shown struck through, and counts no longer.

`objects` of such a model are those that count, also through a relation; `everything` has the withdrawn ones too.
"""

from datetime import datetime
from typing import Any, NoReturn, TypeVar

from django.db import models, transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.members.policy import edits_everything

from .errors import FleetError, NeverDeleted

REASON_LENGTH = 500
M = TypeVar("M", bound="Withdrawable")


class KeptQuerySet(models.QuerySet[M]):
    def delete(self) -> NoReturn:
        raise NeverDeleted(f"A {self.model._meta.verbose_name} is never deleted: withdraw it with a reason.")


class CountingManager(models.Manager[M]):
    def get_queryset(self) -> KeptQuerySet[M]:
        return KeptQuerySet(self.model, using=self._db).filter(withdrawn_at=None)


class EverythingManager(models.Manager[M]):
    def get_queryset(self) -> KeptQuerySet[M]:
        return KeptQuerySet(self.model, using=self._db)


class Withdrawable(models.Model):
    withdrawn_at = models.DateTimeField(null=True, blank=True, editable=False)
    withdrawn_by = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    withdrawal_reason = models.CharField(max_length=REASON_LENGTH, blank=True, editable=False)

    objects = CountingManager()
    everything = EverythingManager()

    class Meta:
        abstract = True

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise NeverDeleted(f"A {self._meta.verbose_name} is never deleted: withdraw it with a reason.")


def whole_withdrawal(name: str) -> models.CheckConstraint:
    """A withdrawal says when, by whom and why; what was not withdrawn says nothing of it."""
    return models.CheckConstraint(
        condition=Q(withdrawn_at=None, withdrawn_by=None, withdrawal_reason="")
        | (Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False) & ~Q(withdrawal_reason="")),
        name=name,
    )


def may_withdraw(user: Member, row: Any) -> bool:
    """Whoever logged it, or an instructor or secretary."""
    return row.by_id == user.pk or edits_everything(user)


def mark_withdrawn(user: Member, row: M, reason: str, at: datetime | None) -> M:
    """Withdraw one row: what every operation that withdraws something stands on."""
    if not may_withdraw(user, row):
        raise NotAllowed(_("This is withdrawn by whoever logged it, or by an instructor or a secretary."))
    reason = reason.strip()
    if not reason:
        raise FleetError(_("Say why it is withdrawn, in a few words: it stays to be read, struck through."))
    if len(reason) > REASON_LENGTH:
        text = _("This reason has {count} characters; give {most} at most.")
        raise FleetError(text.format(count=len(reason), most=REASON_LENGTH))
    with transaction.atomic():
        # Two members withdraw it at once: the first one's reason stands.
        stored = type(row).everything.select_for_update(of=("self",)).get(pk=row.pk)
        if stored.withdrawn_at is not None:
            raise FleetError(_("This was withdrawn already, by {member}.").format(member=stored.withdrawn_by))
        stored.withdrawn_at, stored.withdrawn_by, stored.withdrawal_reason = at or timezone.now(), user, reason
        stored.save(update_fields=["withdrawn_at", "withdrawn_by", "withdrawal_reason"])
    return stored
