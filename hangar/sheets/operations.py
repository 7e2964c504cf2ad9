"""Every write of this package: recording that something was printed."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from hangar.members.models import Member
from hangar.members.policy import guard
from hangar.setups.models import Revision

from .models import Kind, PaperSize, Print


def record_print(
    *,
    user: Member,
    revision: Revision,
    kind: Kind = Kind.SETUP_SHEET,
    paper: str = PaperSize.A4,
    before: Revision | None = None,
    now: datetime | None = None,
) -> Print:
    """Record one print, with the next copy number. Whoever may see the setup may print it.

    Raises
    ------
    NotAllowed
        The member may not see the airframe.
    ValueError
        There is no such paper.
    """
    guard(user, "view", revision.airframe)
    if paper not in PaperSize.values:
        raise ValueError(f"There is no paper {paper!r}; give {' or '.join(PaperSize.values)}.")
    with transaction.atomic():
        # Two members print one revision at once: its row is the lock, so that they get different copy numbers.
        Revision.objects.select_for_update().get(pk=revision.pk)
        last = Print.objects.filter(revision=revision, kind=kind).order_by("-copy").first()
        return Print.objects.create(
            revision=revision,
            kind=kind,
            before=before,
            paper=paper,
            copy=last.copy + 1 if last else 1,
            at=now or timezone.now(),
            by=user,
        )
