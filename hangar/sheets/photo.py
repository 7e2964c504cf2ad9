"""An airframe's photo as a sheet prints it: small enough for its corner, with the words for who cannot see it."""

import io
from dataclasses import dataclass
from functools import cached_property

from hangar.fleet.models import Airframe
from hangar.fleet.photo import Photo

# 26 × 17 mm at 300 points an inch; more would only make the file larger.
BOX = (310, 200)


@dataclass(frozen=True)
class SheetPhoto:
    """The photo of one sheet; `digest` and `alt` are part of what is printed."""

    photo: Photo

    @property
    def alt(self) -> str:
        """What it shows."""
        return self.photo.alt

    @property
    def printed(self) -> tuple[str, str]:
        """What another picture or other words would change."""
        return self.photo.digest, self.photo.alt

    @cached_property
    def jpeg(self) -> bytes:
        """The picture in print size; empty where its file is gone: a sheet is worth more than its photo."""
        from PIL import Image  # only who prints waits for it to be loaded

        try:
            with self.photo.image.open("rb") as file, Image.open(file, formats=("JPEG",)) as opened:
                opened.draft("RGB", BOX)
                opened.thumbnail(BOX, Image.Resampling.LANCZOS)
                written = io.BytesIO()
                opened.convert("RGB").save(written, "JPEG", quality=85)
                return written.getvalue()
        except (OSError, SyntaxError, ValueError):
            return b""


def photo_of(airframe: Airframe) -> SheetPhoto | None:
    """The photo for the sheets of an airframe; None where it has none, or while its file is away.

    A sheet that is made meanwhile is another one: the next is made anew once the file is back.
    """
    photo = airframe.photo
    return SheetPhoto(photo) if photo is not None and _is_there(photo) else None


def _is_there(photo: Photo) -> bool:
    name = photo.image.name
    try:
        return bool(name and photo.image.storage.exists(name))
    except OSError:
        return False
