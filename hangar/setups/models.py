"""The history of every setup: documents, revisions, drafts, and what was entered on a transmitter."""

from functools import cached_property
from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from hangar.fleet.models import Airframe, Transmitter
from hangar.fleet.withdrawing import Withdrawable, whole_withdrawal
from hangar.members.models import Member
from mixing import Setup

from .insert_only import InsertOnly, InsertOnlyQuerySet
from .parsed import parsed

REASON_LENGTH = 500


class DocumentQuerySet(InsertOnlyQuerySet["Document"]):
    pass


class Document(InsertOnly):
    """A setup document, stored once as its canonical text under its digest."""

    digest = models.CharField(max_length=64, primary_key=True)
    text = models.TextField()

    objects = DocumentQuerySet.as_manager()

    def __str__(self) -> str:
        return self.digest[:12]

    @cached_property
    def setup(self) -> Setup:
        return parsed(self.text)


class DocumentSummary(models.Model):
    """What lists need to know of a document, worked out once for each version of the code that works it out."""

    document = models.ForeignKey(Document, on_delete=models.PROTECT, related_name="summaries")
    code = models.CharField(max_length=16)
    layout = models.CharField(max_length=300)
    failsafe = models.CharField(max_length=64)
    highest_channel = models.PositiveSmallIntegerField()
    warnings = models.PositiveIntegerField()
    cautions = models.PositiveIntegerField()
    notes = models.PositiveIntegerField()
    surfaces = models.JSONField(help_text="labels of the surfaces by key")

    class Meta:
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["document", "code"], name="one_summary_per_document_and_code")
        ]
        verbose_name_plural = "document summaries"

    def __str__(self) -> str:
        return f"{self.layout} ({self.document_id[:12]})"


class RevisionQuerySet(InsertOnlyQuerySet["Revision"]):
    def of(self, airframe: Airframe) -> "RevisionQuerySet":
        return self.filter(airframe=airframe)

    def listed(self) -> "RevisionQuerySet":
        """With what a list shows, newest first, in one query; the texts stay in the database."""
        return self.select_related("author__personal", "parent").defer("document__text").order_by("-number")


class Revision(InsertOnly):
    """A recorded setup: numbered within its airframe, sealed, never changed."""

    airframe = models.ForeignKey(Airframe, on_delete=models.PROTECT, related_name="revisions")
    number = models.PositiveIntegerField()
    document = models.ForeignKey(Document, on_delete=models.PROTECT, related_name="revisions")
    parent = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="children")
    author = models.ForeignKey(
        Member, to_field="author_key", db_column="author_key", on_delete=models.PROTECT, related_name="revisions"
    )
    recorded_at = models.DateTimeField()
    reason = models.CharField(max_length=REASON_LENGTH)
    origin = models.CharField(max_length=40)
    seal = models.CharField(max_length=64, unique=True)

    objects = RevisionQuerySet.as_manager()

    class Meta:
        ordering = ["airframe", "-number"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["airframe", "number"], name="one_revision_per_number"),
            models.CheckConstraint(
                condition=Q(number=1, parent=None) | Q(number__gt=1, parent__isnull=False),
                name="only_the_first_revision_has_no_parent",
            ),
        ]

    def __str__(self) -> str:
        return _("revision {number}").format(number=self.number)

    @property
    def setup(self) -> Setup:
        return self.document.setup

    @property
    def origin_words(self) -> str:
        """Where it came from, in the reader's language; "" for what was edited or started here."""
        kind, _joint, number = self.origin.partition(" of ")
        if self.origin == "import":
            return _("imported")
        if kind == "rollback":
            return _("rollback of {number}").format(number=number)
        if kind == "throws":
            return _("throws of {number}").format(number=number)
        return "" if self.origin in ("edit", "start") else self.origin


class DraftsInHand(models.Manager["Draft"]):
    def get_queryset(self) -> models.QuerySet["Draft"]:
        return super().get_queryset().filter(thrown_at=None)


class Draft(models.Model):
    """A member's unrecorded edits of an airframe's setup, and the revision from which they started.

    `objects` are those that are edited; `everything` has those too that were thrown away and can be had back.
    """

    airframe = models.ForeignKey(Airframe, on_delete=models.CASCADE, related_name="drafts")
    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="drafts")
    base = models.ForeignKey(Revision, on_delete=models.PROTECT, null=True, blank=True, related_name="drafts")
    text = models.TextField()
    at = models.PositiveIntegerField(default=0, editable=False)
    """At which of its steps it stands."""
    version = models.PositiveIntegerField(default=1, editable=False)
    updated_at = models.DateTimeField(default=timezone.now)
    thrown_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = DraftsInHand()
    everything = models.Manager["Draft"]()

    class Meta:
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(
                fields=["airframe", "member"], condition=Q(thrown_at=None), name="one_draft_per_member_and_airframe"
            )
        ]

    def __str__(self) -> str:
        return f"draft of {self.airframe} by {self.member}"

    @property
    def setup(self) -> Setup:
        """The draft's setup; SetupError where the text is not a setup yet."""
        return parsed(self.text)


class DraftStep(models.Model):
    """What a draft said at one of its steps, packed by `steps.pack`; the step at which it stands may be missing."""

    draft = models.ForeignKey(Draft, on_delete=models.CASCADE, related_name="steps")
    number = models.PositiveIntegerField()
    packed = models.TextField()

    class Meta:
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["draft", "number"], name="one_step_of_a_draft_per_number")
        ]

    def __str__(self) -> str:
        return f"step {self.number} of {self.draft}"


class Entered(Withdrawable):
    """A revision was entered on a transmitter, in which of its model memories, when, by whom."""

    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="entries")
    transmitter = models.ForeignKey(Transmitter, on_delete=models.PROTECT, related_name="entries")
    model_memory = models.CharField(max_length=60)
    at = models.DateTimeField()
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-at", "-pk"]
        verbose_name = "record of what was entered"
        verbose_name_plural = "entered"
        constraints: ClassVar[list[models.BaseConstraint]] = [whole_withdrawal("entered_withdrawn_whole")]

    def __str__(self) -> str:
        return _("{revision} on {transmitter}, {memory}").format(
            revision=self.revision, transmitter=self.transmitter, memory=self.model_memory
        )
