"""Every write on an airframe's photo. Each takes the member who does it."""

from functools import partial
from typing import IO

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from hangar.members.models import Member
from hangar.members.policy import guard

from .models import Airframe
from .photo import Photo


def set_photo(*, user: Member, airframe: Airframe, file: IO[bytes], size: int, alt: str) -> Photo:
    """Give the airframe this picture instead of the one it has. PhotoError where it cannot be read."""
    guard(user, "edit", airframe)
    from .photo_reading import read_picture  # what reads pictures is loaded by whoever sends one

    picture = read_picture(file, size)
    photo = Photo(
        alt=_alt(alt), width=picture.width, height=picture.height, digest=picture.digest, at=timezone.now(), by=user
    )
    # Outside the transaction: a storage may be slow. A file without a row is waste, a row without a file a fault.
    photo.image.save("", ContentFile(picture.jpeg), save=False)
    try:
        with transaction.atomic():
            # Two may give one airframe a photo at once: the row is locked, and the later one stays.
            photo.airframe = Airframe.objects.select_for_update().get(pk=airframe.pk)
            _take_away(airframe)
            photo.save(force_insert=True)
    except BaseException:
        photo.image.storage.delete(photo.image.name or "")
        raise
    return photo


def describe_photo(*, user: Member, airframe: Airframe, alt: str) -> None:
    """What the photo shows, for who cannot see it."""
    guard(user, "edit", airframe)
    Photo.objects.filter(airframe=airframe).update(alt=_alt(alt))


def remove_photo(*, user: Member, airframe: Airframe) -> None:
    guard(user, "edit", airframe)
    with transaction.atomic():
        _take_away(airframe)


def _alt(alt: str) -> str:
    if not alt.strip():
        raise ValidationError({"alt": _("Say in a few words what the picture shows, for who cannot see it.")})
    return alt.strip()[:200]


def _take_away(airframe: Airframe) -> None:
    for old in Photo.objects.filter(airframe=airframe):
        # Not before the row is gone for good.
        transaction.on_commit(partial(old.image.storage.delete, old.image.name or ""), robust=True)
        old.delete()
