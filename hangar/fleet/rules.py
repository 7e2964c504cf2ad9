"""What the club asks of every model, beyond what follows from its setup: all of it optional, set by the secretary."""

from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from hangar.members.models import Member


class Asked(models.TextChoices):
    """How much weight a rule has."""

    OFF = "off", _("not asked for")
    TOLD = "told", _("asked for, and told on the model's page")
    LOOK_FIRST = "look_first", _("asked for: look first where it is missing")


class ClubRules(models.Model):
    """One row, or none where the secretary has set nothing yet."""

    first_flight = models.BooleanField(default=False)
    after_rebuild = models.BooleanField(default=True)
    mark = models.CharField(max_length=10, choices=Asked.choices, default=Asked.OFF)
    mark_seen = models.CharField(max_length=10, choices=Asked.choices, default=Asked.OFF)
    mass_weighed = models.CharField(max_length=10, choices=Asked.choices, default=Asked.OFF)
    changed_at = models.DateTimeField(default=timezone.now, editable=False)
    changed_by = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )

    class Meta:
        verbose_name_plural = "club rules"

    def __str__(self) -> str:
        return "club rules"


def club_rules() -> ClubRules:
    """Those that hold now."""
    return ClubRules.objects.select_related("changed_by__personal").first() or ClubRules(pk=1)


class MassBand(models.Model):
    """A mass from which the club asks something of a model. It reaches up to the next one."""

    label = models.CharField(max_length=60, unique=True)
    from_g = models.FloatField("from a flying mass in g", unique=True)
    asks = models.CharField("what the club asks of it", max_length=200, blank=True)
    weight = models.CharField(max_length=10, choices=Asked.choices, default=Asked.TOLD)

    class Meta:
        ordering = ["from_g"]

    def __str__(self) -> str:
        return self.label

    def unique_error_message(self, model_class: type[models.Model], unique_check: Sequence[str]) -> ValidationError:
        """In our own words: which of the two is there already."""
        text = gettext("There is a mass band “{label}” already; give this one another name.")
        if tuple(unique_check) == ("from_g",):
            text = gettext("There is a mass band from this mass already; give another mass, or change that band.")
        return ValidationError(text.format(label=self.label), code="unique")
