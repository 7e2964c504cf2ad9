"""Reading a picture that someone sent: whatever comes in, a small plain JPEG goes out, or a refusal in words."""

import hashlib
import io
import re
import warnings
from dataclasses import dataclass
from typing import IO

from django.utils.translation import gettext as _
from PIL import ExifTags, Image, UnidentifiedImageError

from mixing.wording import fixed

from .errors import PhotoError
from .photo import Photo

FORMATS = ("JPEG", "PNG", "WEBP")
LARGEST_FILE = 12 * 1024 * 1024
LARGEST_EDGE = 1600
_DIGEST = re.compile(r"[0-9a-f]{64}\Z")
# 40 million points take 160 MB while they are read. Those of a phone are JPEG, which can be read at a part of its size.
MOST_POINTS = {"JPEG": 80_000_000, "PNG": 40_000_000, "WEBP": 40_000_000}
_TURN = Image.Transpose
# How a camera was held, as it writes that down, and what puts the picture upright.
_UPRIGHT = {
    2: _TURN.FLIP_LEFT_RIGHT, 3: _TURN.ROTATE_180, 4: _TURN.FLIP_TOP_BOTTOM, 5: _TURN.TRANSPOSE,
    6: _TURN.ROTATE_270, 7: _TURN.TRANSVERSE, 8: _TURN.ROTATE_90,
}  # fmt: skip
# Pillow warns of pictures that are small as a file and huge when they are read; here that is a refusal.
warnings.simplefilter("error", Image.DecompressionBombWarning)
# Of what a camera noted and cannot be read it would write on the standard error, where the log is.
warnings.filterwarnings("ignore", module=r"PIL\.TiffImagePlugin")


@dataclass(frozen=True)
class Picture:
    """A JPEG made here: nothing is left in it of the file that was sent but what it shows."""

    jpeg: bytes
    width: int
    height: int

    @property
    def digest(self) -> str:
        return hashlib.sha256(self.jpeg).hexdigest()


def read_picture(file: IO[bytes], size: int) -> Picture:
    """The picture in `file` of `size` bytes, upright, at most LARGEST_EDGE on its longer edge. PhotoError otherwise."""
    if size > LARGEST_FILE:
        text = _("This file has {size} MiB; a photo is at most {most} MiB.")
        raise PhotoError(text.format(size=fixed(size / 1024 / 1024), most=LARGEST_FILE >> 20))
    try:
        with Image.open(file, formats=FORMATS) as opened:
            _refuse_too_many_points(opened)
            # A JPEG can be read at a half, a quarter or an eighth, which takes as much less room.
            opened.draft("RGB", (2 * LARGEST_EDGE, 2 * LARGEST_EDGE))
            return _plain(opened)
    except PhotoError:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise PhotoError(_("This picture has far too many points; give a smaller one.")) from error
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError) as error:
        unreadable = _("This is not a picture that the site can read; give a JPEG, PNG or WebP file.")
        raise PhotoError(unreadable) from error


def is_ours(photo: Photo, content: bytes | None) -> bool:
    """Whether this is a picture that `read_picture` may have made, and the row says what it is. Without content, while
    the file is away, the row alone is looked at."""
    if not _DIGEST.match(photo.digest) or not 0 < max(photo.width, photo.height) <= LARGEST_EDGE:
        return False
    if content is None:
        return True
    try:
        with Image.open(io.BytesIO(content), formats=("JPEG",)) as opened:
            fits = (opened.width, opened.height, opened.mode) == (photo.width, photo.height, "RGB")
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Warning):
        return False
    return fits and hashlib.sha256(content).hexdigest() == photo.digest


def _refuse_too_many_points(opened: Image.Image) -> None:
    points, most = opened.width * opened.height, MOST_POINTS[opened.format or "PNG"]
    if points > most:
        text = _("This picture has {points} million points; give one of at most {most} million.")
        raise PhotoError(text.format(points=fixed(points / 1e6, 0), most=fixed(most / 1e6, 0)))


def _upright(opened: Image.Image) -> Image.Image:
    """Turned as the camera says. Pillow's own function writes all its other notes anew, and fails where one is odd."""
    opened.load()
    try:
        held = opened.getexif().get(ExifTags.Base.Orientation)
    # Notes that nobody can read are none, and Pillow says so in many ways; the picture itself was read.
    except Exception:
        return opened
    turn = _UPRIGHT.get(held) if isinstance(held, int) else None
    return opened if turn is None else opened.transpose(turn)


def _plain(opened: Image.Image) -> Picture:
    upright = _upright(opened)
    upright.thumbnail((LARGEST_EDGE, LARGEST_EDGE), Image.Resampling.LANCZOS)
    # A picture of its own: place, time, camera and owner stay behind with the one that was sent.
    plain = Image.new("RGB", upright.size, "white")
    with_edges = upright.convert("RGBA") if upright.mode in ("LA", "P", "PA", "RGBA") else upright.convert("RGB")
    plain.paste(with_edges, mask=with_edges if with_edges.mode == "RGBA" else None)
    written = io.BytesIO()
    plain.save(written, "JPEG", quality=85, optimize=True, progressive=True)
    return Picture(written.getvalue(), plain.width, plain.height)
