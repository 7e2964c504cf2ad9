"""An airframe's photo: which file it is and what it shows, in words."""

import secrets

from django.db import models
from django.utils import timezone

from hangar.members.models import Member


def new_file_name(photo: "Photo", original: str) -> str:
    """Never the name that it came with: that one may tell where it was taken and by whom."""
    return f"airframes/{secrets.token_hex(16)}.jpg"


class Photo(models.Model):
    airframe = models.OneToOneField("fleet.Airframe", on_delete=models.CASCADE, related_name="kept_photo")
    image = models.FileField(upload_to=new_file_name, max_length=200)
    alt = models.CharField(max_length=200)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return self.alt

    @property
    def version(self) -> str:
        """Stands in its address: another picture has another address, so that a browser may keep this one."""
        return self.digest[:16]
