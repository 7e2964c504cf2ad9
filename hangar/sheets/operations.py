"""Every write of this package: recording that something was printed, and that a copy was lost."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from hangar.languages.speaking import unit_of_length
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.members.policy import can, guard
from hangar.setups.history import current_head
from hangar.setups.models import Revision
from mixing.wording import capital

from .errors import PrintError
from .models import Kind, LostCopy, PaperSize, Print


def check_paper(paper: str) -> None:
    """Raise PrintError where there is no such paper."""
    if paper not in PaperSize.values:
        text = _("There is no paper “{paper}”; give {papers}.")
        raise PrintError(text.format(paper=paper, papers=", ".join(PaperSize.values)))


def record_print(
    *,
    user: Member,
    revision: Revision,
    kind: Kind = Kind.SETUP_SHEET,
    paper: str = PaperSize.A4,
    before: Revision | None = None,
    instruction: bool = False,
    now: datetime | None = None,
) -> Print:
    """Record one print, with the next copy number. Whoever may see the setup may print it.

    Raises
    ------
    NotAllowed
        The member may not see the airframe.
    PrintError
        There is no such paper.
    """
    guard(user, "view", revision.airframe)
    check_paper(paper)
    with transaction.atomic():
        # Two members print one revision at once: its row is the lock, so that they get different copy numbers.
        Revision.objects.select_for_update().get(pk=revision.pk)
        last = Print.objects.filter(revision=revision, kind=kind).order_by("-copy").first()
        return Print.objects.create(
            revision=revision,
            kind=kind,
            before=before,
            paper=paper,
            instruction=instruction,
            language=get_language() or "",
            length_unit=unit_of_length(),
            copy=last.copy + 1 if last else 1,
            at=now or timezone.now(),
            by=user,
        )


def report_lost(*, user: Member, copy: Print, now: datetime | None = None) -> Print:
    """Mark a copy as lost and record a new one like it, of the newest revision, which is returned.

    Whoever finds the old one is told by its QR code that it is superseded.

    Raises
    ------
    NotAllowed
        The member neither printed it nor may edit the airframe.
    PrintError
        It was reported before.
    """
    airframe = copy.revision.airframe
    if copy.by_id != user.pk and not can(user, "edit", airframe):
        text = _("You may not report {copy} as lost: ask {printer}, who printed it, or the airframe's owner.")
        raise NotAllowed(text.format(copy=copy, printer=copy.by))
    with transaction.atomic():
        # Two members report one copy at once: the second one waits, and is told.
        Revision.objects.select_for_update().get(pk=copy.revision_id)
        if LostCopy.objects.filter(copy=copy).exists():
            text = _("{copy} was reported as lost before: print a new one instead.").format(copy=copy)
            raise PrintError(capital(text))
        # A change card leads to one revision only; anything else is of use only for the newest.
        newest = None if copy.kind == Kind.CHANGE_CARD else current_head(airframe)
        new = record_print(
            user=user, revision=newest or copy.revision, kind=Kind(copy.kind), paper=copy.paper, before=copy.before,
            instruction=copy.instruction, now=now,
        )  # fmt: skip
        LostCopy.objects.create(copy=copy, replaced_by=new, at=new.at, by=user)
        return new
