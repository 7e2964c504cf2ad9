"""What flying showed: test flights with their verdicts, groundings, work, and throws read at the model."""

from typing import ClassVar

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext, gettext_noop
from django.utils.translation import gettext_lazy as _

from hangar.fleet.models import Airframe
from hangar.fleet.withdrawing import Withdrawable, whole_withdrawal
from hangar.languages.kept import Kept, kept
from hangar.members.models import Member
from hangar.setups.models import Revision


class Verdict(models.TextChoices):
    """Judges the setup."""

    KEEP = "keep", _("keep")
    TWEAK = "tweak", _("tweak")
    REJECT = "reject", _("reject")


class Condition(models.TextChoices):
    """Judges the model: the last two ground it."""

    SOUND = "sound", _("sound")
    INSPECT = "inspect", _("inspect before the next flight")
    DAMAGED = "damaged", _("damaged")


class Flight(Withdrawable):
    """A test flight of one revision."""

    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="flights")
    flown_on = models.DateField()
    pilot = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="flights")
    load = models.CharField(max_length=40, help_text="key of the load in the revision's document")
    wind = models.CharField(max_length=120, blank=True)
    observation = models.TextField(max_length=2000, blank=True)
    verdict = models.CharField(max_length=6, choices=Verdict.choices)
    condition_after = models.CharField(max_length=8, choices=Condition.choices, default=Condition.SOUND)
    reason = models.CharField("reason of the verdict", max_length=500, blank=True)
    recorded_at = models.DateTimeField(default=timezone.now, editable=False)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-flown_on", "-recorded_at", "-pk"]
        constraints: ClassVar[list[models.BaseConstraint]] = [whole_withdrawal("flight_withdrawn_whole")]

    def __str__(self) -> str:
        return f"flight of {self.revision} on {self.flown_on:%Y-%m-%d}"


class Cause(models.TextChoices):
    REPORTED = "reported", "someone said so"
    FLIGHT = "flight", "a flight"
    REBUILD = "rebuild", "a rebuild"
    FIRST_FLIGHT = "first_flight", "no flight yet"


NO_LONGER_ASKED = gettext_noop("the club does not ask for a second person before a first flight any more")
"""Why the site itself withdraws a grounding: kept in English, told in the language of the reader."""


class Grounding(Withdrawable):
    """A model that must not fly until someone releases it. Each cause is one row, released by itself."""

    airframe = models.ForeignKey(Airframe, on_delete=models.PROTECT, related_name="groundings")
    since = models.DateTimeField()
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    reason = models.CharField(
        max_length=500, blank=True, help_text="what a member wrote; other causes speak for themselves"
    )
    cause = models.CharField(max_length=12, choices=Cause.choices, default=Cause.REPORTED)
    flight = models.OneToOneField(Flight, on_delete=models.PROTECT, null=True, blank=True, related_name="grounding")
    second_person = models.BooleanField(
        "released by a second person only",
        default=False,
        help_text="for a first flight or after a rebuild: neither the owner nor a helper may release it",
    )
    released_at = models.DateTimeField(null=True, blank=True)
    released_by = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    release_reason = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ["-since", "-pk"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.CheckConstraint(
                condition=Q(released_at=None, released_by=None, release_reason="")
                | (Q(released_at__gte=F("since"), released_by__isnull=False) & ~Q(release_reason="")),
                name="a_release_says_when_who_and_why",
            ),
            whole_withdrawal("grounding_withdrawn_whole"),
        ]

    def __str__(self) -> str:
        return f"{self.airframe} grounded: {self.reason or self.get_cause_display()}"

    @property
    def withdrawn_why(self) -> str:
        """Why it was withdrawn: as it was typed, or as the site says it."""
        said = self.withdrawal_reason
        return gettext(said) if said == NO_LONGER_ASKED else said

    @property
    def why(self) -> Kept:
        """Why it is grounded, in no language."""
        if self.cause == Cause.FLIGHT and self.flight is not None:
            return kept("after-flight", condition=self.flight.condition_after, on=self.flight.flown_on.isoformat())
        if self.cause == Cause.REBUILD:
            return kept("rebuilt", note=self.reason)
        return kept("first-flight") if self.cause == Cause.FIRST_FLIGHT else kept("said", reason=self.reason)


class WorkKind(models.TextChoices):
    SERVO = "servo", _("servo")
    HORN = "horn", _("horn or pushrod")
    HINGE = "hinge", _("hinge")
    RECEIVER = "receiver", _("receiver or wiring")
    REPAIR = "repair", _("repair")
    REBUILD = "rebuild", _("rebuild")
    BOUGHT = "bought", _("bought, as it was")
    OTHER = "other", _("other")


class Work(Withdrawable):
    """What was done to the model. It makes the checks that it touches stale."""

    airframe = models.ForeignKey(Airframe, on_delete=models.PROTECT, related_name="work")
    kind = models.CharField(max_length=10, choices=WorkKind.choices)
    surface = models.CharField(max_length=40, blank=True, help_text="key of the surface; empty where it touches all")
    at = models.DateTimeField()
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=500)

    class Meta:
        ordering = ["-at", "-pk"]
        verbose_name = "entry of work"
        verbose_name_plural = "work"
        constraints: ClassVar[list[models.BaseConstraint]] = [whole_withdrawal("work_withdrawn_whole")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} on {self.airframe}"


class ThrowCheck(Withdrawable):
    """Throws read at the model with a ruler, against the prediction of one revision."""

    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="throw_checks")
    at = models.DateTimeField()
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        constraints: ClassVar[list[models.BaseConstraint]] = [whole_withdrawal("throw_check_withdrawn_whole")]

    def __str__(self) -> str:
        return f"throw check of {self.revision}"


class Reading(models.Model):
    """One throw read with the ruler at one place of the controls."""

    check_of = models.ForeignKey(ThrowCheck, on_delete=models.CASCADE, related_name="readings")
    surface = models.CharField(max_length=40, help_text="key of the surface")
    positions = models.JSONField(default=dict, help_text="control key: position in %; a control left out is at rest")
    phase = models.CharField(max_length=40, blank=True, help_text="key of the phase; empty where none was named")
    predicted_mm = models.FloatField()
    measured_mm = models.FloatField()
    play_mm = models.FloatField("play of the trailing edge in mm", null=True, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.surface}: {self.measured_mm:g} mm"

    def clean(self) -> None:
        """A table of positions, and nothing else that JSON can hold."""
        told = self.positions.items() if isinstance(self.positions, dict) else [("", "")]
        if not all(isinstance(at, int | float) and -100 <= at <= 100 for _control, at in told):
            raise ValidationError({"positions": "each control has a position from -100 to 100"})

    @property
    def off_by_mm(self) -> float:
        return self.measured_mm - self.predicted_mm


class BalanceCheck(Withdrawable):
    """Where the model really balanced with one load, and perhaps what it weighed."""

    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="balance_checks")
    load = models.CharField(max_length=40, help_text="key of the load in the revision's document")
    cg_mm = models.FloatField("balance behind the datum in mm")
    mass_g = models.FloatField("mass as weighed in g", null=True, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-at", "-pk"]
        constraints: ClassVar[list[models.BaseConstraint]] = [whole_withdrawal("balance_check_withdrawn_whole")]

    def __str__(self) -> str:
        return f"balance of {self.revision} with {self.load}: {self.cg_mm:g} mm"


class Glance(models.Model):
    """What the line-up says of one airframe, kept so that the database sorts, filters and pages it.

    It follows from everything else and is worked out by `glances`; `touched` counts what happened since.
    """

    airframe = models.OneToOneField(Airframe, on_delete=models.CASCADE, primary_key=True, related_name="glance")
    touched = models.PositiveIntegerField(default=0)
    stale = models.BooleanField(default=True)
    code = models.CharField(max_length=16, blank=True)
    state = models.CharField(max_length=14)
    reasons = models.JSONField(default=list, help_text="codes with their values: the line-up puts them into words")
    layout = models.CharField(max_length=300, blank=True)
    revision = models.PositiveIntegerField(null=True)
    verdict = models.CharField(max_length=6, null=True)  # noqa: DJ001 - no verdict sorts last, as no revision does
    sheet_behind = models.PositiveIntegerField(null=True, help_text="revisions since the printed one; null: none")
    receiver = models.CharField(max_length=60, blank=True)
    failsafe_at = models.DateTimeField(null=True)
    failsafe_holds = models.BooleanField(null=True)
    range_at = models.DateTimeField(null=True)
    range_holds = models.BooleanField(null=True)
    warnings = models.PositiveIntegerField(null=True)
    last_flown = models.DateField(null=True)

    class Meta:
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["stale"], name="glance_stale"),
            models.Index(fields=["code"], name="glance_code"),
            models.Index(fields=["state", "airframe"], name="glance_state"),
            models.Index(fields=["last_flown", "airframe"], name="glance_last_flown"),
        ]

    def __str__(self) -> str:
        return f"{self.airframe}: {self.state}"
