"""What was printed, when and by whom: so that an old sheet in a flight box can be called out of date."""

import secrets
from contextlib import AbstractContextManager, nullcontext
from typing import ClassVar

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from hangar.languages.speaking import speaking
from hangar.members.models import LengthUnit, Member
from hangar.setups.insert_only import InsertOnly, InsertOnlyQuerySet
from hangar.setups.models import Revision


class Kind(models.TextChoices):
    SETUP_SHEET = "setup_sheet", _("setup sheet")
    CHANGE_CARD = "change_card", _("change card")
    POCKET_CARD = "pocket_card", _("pocket card")
    PHONE = "phone", _("sheet on a phone")


class PaperSize(models.TextChoices):
    A4 = "a4", "A4"
    LETTER = "letter", _("Letter")


def new_token() -> str:
    """What a copy's QR code says. 128 random bits say nothing and cannot be guessed; no key signs it, since a sheet
    stays in its box for years, and a secret key may have to be changed tomorrow."""
    return secrets.token_urlsafe(16)


class PrintQuerySet(InsertOnlyQuerySet["Print"]):
    pass


class Print(InsertOnly):
    """One print of a revision. The copy number counts the prints of one kind of one revision."""

    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="prints")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    before = models.ForeignKey(
        Revision, on_delete=models.PROTECT, null=True, related_name="+",
        help_text="of a change card: the revision from which it leads here",
    )  # fmt: skip
    paper = models.CharField(max_length=6, choices=PaperSize.choices)
    instruction = models.BooleanField(default=False, help_text="with the block for two transmitters")
    copy = models.PositiveIntegerField()
    language = models.CharField(max_length=8, blank=True, help_text="in which it is printed, whoever looks at it again")
    length_unit = models.CharField(max_length=4, choices=LengthUnit.choices, default=LengthUnit.MM)
    token = models.CharField(max_length=22, unique=True, default=new_token, editable=False)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    objects = PrintQuerySet.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["revision", "kind", "copy"], name="one_print_per_copy_number")
        ]

    def __str__(self) -> str:
        text = gettext("copy {number} of the {kind} of {revision}")
        return text.format(number=self.copy, kind=self.get_kind_display(), revision=self.revision)


def as_printed(copy: Print | None) -> AbstractContextManager[None]:
    """Inside, everything is in the language and unit in which a copy was printed, whoever looks at it; in the reader's
    without one."""
    return nullcontext() if copy is None else speaking(copy.language, copy.length_unit)


class LostCopy(InsertOnly):
    """Somebody gave up a copy as lost. Whoever finds it and reads its QR code is told: superseded."""

    copy = models.OneToOneField(Print, on_delete=models.PROTECT, related_name="lost")
    replaced_by = models.OneToOneField(Print, on_delete=models.PROTECT, related_name="replaces")
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-at", "-pk"]
        verbose_name_plural = "lost copies"

    def __str__(self) -> str:
        return f"{self.copy}, lost"


class Batch(models.Model):
    """Many sheets asked for at once; each is one document of its own, put together when all are made."""

    by = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="batches")
    at = models.DateTimeField(default=timezone.now)
    what = models.CharField(max_length=80)
    paper = models.CharField(max_length=6, choices=PaperSize.choices)
    language = models.CharField(max_length=8, blank=True)
    length_unit = models.CharField(max_length=4, choices=LengthUnit.choices, default=LengthUnit.MM)
    base = models.CharField(max_length=200)

    class Meta:
        ordering = ["-at", "-pk"]
        verbose_name_plural = "batches"

    def __str__(self) -> str:
        return f"{self.what}, {self.at:%Y-%m-%d %H:%M}"


class ItemState(models.TextChoices):
    WAITING = "waiting", _("waiting")
    QUEUED = "queued", _("being made")
    DONE = "done", _("done")
    FAILED = "failed", _("failed")


class BatchItem(models.Model):
    """One airframe of a batch: the copy that was recorded for it, or why there is none."""

    batch = models.ForeignKey(Batch, on_delete=models.CASCADE, related_name="items")
    airframe = models.ForeignKey("fleet.Airframe", on_delete=models.CASCADE, related_name="+")
    state = models.CharField(max_length=7, choices=ItemState.choices, default=ItemState.WAITING)
    queued_at = models.DateTimeField(null=True)
    copy = models.OneToOneField(Print, on_delete=models.PROTECT, null=True, related_name="+")
    error = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["airframe__name", "airframe__slug"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["batch", "airframe"], name="one_sheet_per_batch_and_airframe")
        ]

    def __str__(self) -> str:
        return f"{self.airframe}: {self.get_state_display()}"
