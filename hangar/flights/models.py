"""What flying showed: test flights with their verdicts, groundings, work, and throws read at the model."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from hangar.fleet.models import Airframe
from hangar.fleet.withdrawing import Withdrawable, whole_withdrawal
from hangar.members.models import Member
from hangar.setups.models import Revision


class Verdict(models.TextChoices):
    """Judges the setup."""

    KEEP = "keep", "keep"
    TWEAK = "tweak", "tweak"
    REJECT = "reject", "reject"


class Condition(models.TextChoices):
    """Judges the model: the last two ground it."""

    SOUND = "sound", "sound"
    INSPECT = "inspect", "inspect before the next flight"
    DAMAGED = "damaged", "damaged"


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


class Grounding(Withdrawable):
    """A model that must not fly until someone releases it. Each cause is one row, released by itself."""

    airframe = models.ForeignKey(Airframe, on_delete=models.PROTECT, related_name="groundings")
    since = models.DateTimeField()
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    reason = models.CharField(max_length=500)
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
        return f"{self.airframe} grounded: {self.reason}"


class WorkKind(models.TextChoices):
    SERVO = "servo", "servo"
    HORN = "horn", "horn or pushrod"
    HINGE = "hinge", "hinge"
    RECEIVER = "receiver", "receiver or wiring"
    REPAIR = "repair", "repair"
    REBUILD = "rebuild", "rebuild"
    BOUGHT = "bought", "bought, as it was"
    OTHER = "other", "other"


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
    reasons = models.JSONField(default=list)
    layout = models.CharField(max_length=300, blank=True)
    revision = models.PositiveIntegerField(null=True)
    verdict = models.CharField(max_length=6, null=True)  # noqa: DJ001 - no verdict sorts last, as no revision does
    sheet = models.CharField(max_length=30)
    receiver = models.CharField(max_length=60, blank=True)
    failsafe = models.CharField(max_length=40)
    failsafe_at = models.DateTimeField(null=True)
    range_check = models.CharField(max_length=40)
    range_at = models.DateTimeField(null=True)
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
