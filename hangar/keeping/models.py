"""When the club's data was last put aside, and when somebody last tried to get it back."""

from django.db import models
from django.utils import timezone


class Backup(models.Model):
    """A backup that was written whole. The file itself lies elsewhere: best on another machine."""

    at = models.DateTimeField(default=timezone.now)
    name = models.CharField(max_length=200)
    size = models.PositiveBigIntegerField(help_text="in bytes")
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return self.name


class Drill(models.Model):
    """A backup was restored to a place of its own, and its history held."""

    at = models.DateTimeField(default=timezone.now)
    name = models.CharField(max_length=200)
    made_at = models.DateTimeField(help_text="when that backup was made")
    revisions = models.PositiveIntegerField()

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"drill with {self.name}"
