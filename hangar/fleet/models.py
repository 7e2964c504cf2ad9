"""Airframes, receivers and transmitters, and which receiver sits where since when.

Masses and balance are not here: they belong to the setup document.
"""

from collections.abc import Sequence
from typing import ClassVar

from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from hangar.folding import FoldedField, Searched
from hangar.members.models import Member
from hangar.members.policy import can, edits_everything, signed_in

from .photo import Photo
from .rules import Asked, ClubRules, MassBand
from .withdrawing import Withdrawable, whole_withdrawal

__all__ = [
    "SIGNAL_FIGURES", "SIGNS", "Airframe", "Asked", "Binding", "CentreUnit", "Check", "CheckKind", "ClubRules",
    "ExpoSign", "Fitting", "LeverSign", "MarkSeen", "MassBand", "Photo", "Receiver", "ReceiverStatus", "ReversalPlace",
    "Status", "StickMode", "Transmitter",
]  # fmt: skip


class AirframeQuerySet(models.QuerySet["Airframe"]):
    def visible_to(self, user: Member | AnonymousUser) -> "AirframeQuerySet":
        """Everyone signed in sees every setup."""
        return self.all() if signed_in(user) else self.none()

    def editable_by(self, user: Member | AnonymousUser) -> "AirframeQuerySet":
        """A pilot edits their own airframes and those they help with; an instructor edits all."""
        if not signed_in(user):
            return self.none()
        if edits_everything(user):
            return self.all()
        helped = Airframe.helpers.through.objects.filter(member=user).values("airframe")
        return self.filter(Q(owner=user) | Q(pk__in=helped))


class Status(models.TextChoices):
    AIRWORTHY = "airworthy", _("airworthy")
    BUILDING = "building", _("being built")
    RESTING = "resting", _("resting")
    RETIRED = "retired", _("retired")
    GONE = "gone", _("gone from the club")


class Airframe(Searched):
    slug = models.SlugField(max_length=60, unique=True)
    name = models.CharField(max_length=80)
    span_mm = models.PositiveIntegerField("wing span in mm", null=True, blank=True, validators=[MinValueValidator(1)])
    wing_area_dm2 = models.DecimalField(
        "wing area in dm²", max_digits=7, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0.01)]
    )
    mark = models.CharField("identification mark", max_length=40, blank=True)
    mark_place = models.CharField("where it is marked", max_length=80, blank=True)
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.BUILDING)
    owner = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="airframes")
    helpers = models.ManyToManyField(Member, blank=True, related_name="helped_airframes")
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    searched = FoldedField(of=("name", "mark"))

    objects = AirframeQuerySet.as_manager()

    class Meta:
        ordering = ["name", "slug"]
        indexes = [models.Index(fields=["name", "slug"], name="airframe_in_order")]

    def __str__(self) -> str:
        return self.name

    @property
    def photo(self) -> Photo | None:
        return getattr(self, "kept_photo", None)


class MarkSeen(Withdrawable):
    """Someone looked: the mark of the record stands on the model."""

    airframe = models.ForeignKey(Airframe, on_delete=models.PROTECT, related_name="marks_seen")
    mark = models.CharField(max_length=40)
    at = models.DateTimeField()
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-at", "-pk"]
        verbose_name = "look at the mark"
        verbose_name_plural = "looks at the mark"
        constraints: ClassVar[list[models.BaseConstraint]] = [whole_withdrawal("mark_seen_withdrawn_whole")]

    def __str__(self) -> str:
        return f"{self.mark} seen on {self.airframe}"


class StickMode(models.IntegerChoices):
    """Which stick moves what: a trade convention of four numbers (common practice, no source)."""

    ONE = 1, _("1: elevator left, power right")
    TWO = 2, _("2: power left, elevator right")
    THREE = 3, _("3: elevator and roll left")
    FOUR = 4, _("4: power and roll left")


class LeverSign(models.TextChoices):
    PLUS = "plus", _("forward reads plus")
    MINUS = "minus", _("forward reads minus")
    UNPROVEN = "unproven", _("not tested yet")


class ExpoSign(models.TextChoices):
    SOFTENS = "softens", _("a positive figure softens the centre")
    SHARPENS = "sharpens", _("a positive figure sharpens the centre")
    UNPROVEN = "unproven", _("not tested yet")


class CentreUnit(models.TextChoices):
    US = "us", _("microseconds")
    PCT = "pct", _("per cent of travel")
    UNPROVEN = "unproven", _("not tested yet")


class ReversalPlace(models.TextChoices):
    BEFORE = "before", _("before the limits")
    AFTER = "after", _("after the limits")
    UNPROVEN = "unproven", _("not tested yet")


SIGNS = ("lever_forward", "expo_positive", "centre_unit", "reversal")
SIGNAL_FIGURES = ("centre_us", "per_100_us", "limit_pct", "step_pct", "curve_points", "curve_free_x", "channels")


class TransmitterQuerySet(models.QuerySet["Transmitter"]):
    def visible_to(self, user: Member | AnonymousUser) -> "TransmitterQuerySet":
        return self.all() if signed_in(user) else self.none()

    def editable_by(self, user: Member | AnonymousUser) -> "TransmitterQuerySet":
        """Its owner's; the club's own, which have no owner, are an instructor's to edit."""
        if not signed_in(user):
            return self.none()
        return self.all() if edits_everything(user) else self.filter(owner_id=user.pk)


class Transmitter(models.Model):
    """A transmitter: the figures of its signal, and the conventions in which transmitters differ."""

    label = models.CharField(max_length=60, unique=True)
    owner = models.ForeignKey(
        Member,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="transmitters",
        help_text="leave empty for the club's own",
    )
    stick_mode = models.PositiveSmallIntegerField(choices=StickMode.choices, default=StickMode.TWO)

    centre_us = models.FloatField("pulse at travel 0, in µs", default=1500)
    per_100_us = models.FloatField("µs from the centre at travel 100 %", default=500)
    limit_pct = models.FloatField("largest travel, in %", default=125)
    step_pct = models.FloatField("smallest step of a number, in %", default=1)
    curve_points = models.PositiveSmallIntegerField("points of a curve", default=5)
    curve_free_x = models.BooleanField("the points of a curve can be moved sideways", default=False)
    channels = models.PositiveSmallIntegerField(default=16)

    lever_forward = models.CharField(max_length=10, choices=LeverSign.choices, default=LeverSign.UNPROVEN)
    expo_positive = models.CharField(max_length=10, choices=ExpoSign.choices, default=ExpoSign.UNPROVEN)
    centre_unit = models.CharField(max_length=10, choices=CentreUnit.choices, default=CentreUnit.UNPROVEN)
    reversal = models.CharField(max_length=10, choices=ReversalPlace.choices, default=ReversalPlace.UNPROVEN)
    proven_on = models.DateField(null=True, blank=True, editable=False)
    proven_by = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )

    objects = TransmitterQuerySet.as_manager()

    class Meta:
        ordering = ["label"]

    def __str__(self) -> str:
        return self.label

    def unique_error_message(self, model_class: type[models.Model], unique_check: Sequence[str]) -> ValidationError:
        """In our own words, where it is the label."""
        text = gettext("There is a transmitter “{label}” already; give this one another label.")
        return ValidationError(text.format(label=self.label), code="unique")

    @property
    def signs_proven(self) -> bool:
        """Whether the test of its signs was done, and every convention is known from it."""
        return self.proven_on is not None and all(getattr(self, sign) != "unproven" for sign in SIGNS)

    @property
    def signal_figures(self) -> dict[str, float | int | bool]:
        """What a setup document's `signal` says when it is recorded for this transmitter."""
        return {name: getattr(self, name) for name in SIGNAL_FIGURES}


class ReceiverStatus(models.TextChoices):
    IN_USE = "in_use", _("in use")
    SPARE = "spare", _("spare")
    RETIRED = "retired", _("retired")


class ReceiverQuerySet(models.QuerySet["Receiver"]):
    def visible_to(self, user: Member | AnonymousUser) -> "ReceiverQuerySet":
        return self.all() if signed_in(user) else self.none()

    def editable_by(self, user: Member | AnonymousUser) -> "ReceiverQuerySet":
        """The secretary keeps the receivers."""
        return self.all() if can(user, "manage_receivers") else self.none()


class Receiver(models.Model):
    label = models.CharField(max_length=60, unique=True)
    channels = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(64)])
    status = models.CharField(max_length=10, choices=ReceiverStatus.choices, default=ReceiverStatus.SPARE)
    note = models.CharField(max_length=300, blank=True)

    objects = ReceiverQuerySet.as_manager()

    class Meta:
        ordering = ["label"]

    def __str__(self) -> str:
        return self.label

    def unique_error_message(self, model_class: type[models.Model], unique_check: Sequence[str]) -> ValidationError:
        """In our own words, where it is the label."""
        text = gettext("There is a receiver “{label}” already; give this one another label.")
        return ValidationError(text.format(label=self.label), code="unique")


class Fitting(Withdrawable):
    """A receiver sits in an airframe from `since` until `until`; the open one has no end."""

    receiver = models.ForeignKey(Receiver, on_delete=models.PROTECT, related_name="fittings")
    airframe = models.ForeignKey(Airframe, on_delete=models.PROTECT, related_name="fittings")
    since = models.DateTimeField()
    until = models.DateTimeField(null=True, blank=True)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-since", "-pk"]
        verbose_name = "receiver move"
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(
                fields=["receiver"], condition=Q(until=None, withdrawn_at=None), name="one_open_fitting_per_receiver"
            ),
            models.UniqueConstraint(
                fields=["airframe"], condition=Q(until=None, withdrawn_at=None), name="one_open_fitting_per_airframe"
            ),
            whole_withdrawal("fitting_withdrawn_whole"),
            models.CheckConstraint(
                condition=Q(until=None) | Q(until__gte=F("since")), name="a_fitting_ends_after_it_began"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.receiver} in {self.airframe}"


class Binding(Withdrawable):
    """A receiver was bound to a transmitter: from then on it obeys that one, and its failsafe is to be set anew."""

    receiver = models.ForeignKey(Receiver, on_delete=models.PROTECT, related_name="bindings")
    transmitter = models.ForeignKey(Transmitter, on_delete=models.PROTECT, related_name="bindings")
    at = models.DateTimeField()
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-at", "-pk"]
        constraints: ClassVar[list[models.BaseConstraint]] = [whole_withdrawal("binding_withdrawn_whole")]

    def __str__(self) -> str:
        return f"{self.receiver} bound to {self.transmitter}"


class CheckKind(models.TextChoices):
    FAILSAFE = "failsafe", _("failsafe check")
    RANGE = "range", _("range check")


class Check(Withdrawable):
    """A check at the model. It holds for this fitting, transmitter and failsafe setting together."""

    kind = models.CharField(max_length=10, choices=CheckKind.choices)
    fitting = models.ForeignKey(Fitting, on_delete=models.PROTECT, related_name="checks")
    transmitter = models.ForeignKey(Transmitter, on_delete=models.PROTECT, related_name="checks")
    failsafe_digest = models.CharField(max_length=64, editable=False)
    at = models.DateTimeField()
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    passed = models.BooleanField()
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["fitting", "kind", "-at"], name="check_latest")]
        constraints: ClassVar[list[models.BaseConstraint]] = [whole_withdrawal("check_withdrawn_whole")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.fitting}"
