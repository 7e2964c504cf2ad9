"""A photo: made small and plain, shown to members, and gone when it is taken away."""

import io
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client, TestCase
from django.urls import reverse
from PIL import Image, ImageChops, ImageOps

from hangar.fleet import photo_operations
from hangar.fleet.errors import PhotoError
from hangar.fleet.models import Airframe
from hangar.fleet.photo import Photo
from hangar.fleet.photo_reading import LARGEST_EDGE, read_picture
from hangar.headers import LARGEST_POST
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from tests.hangar.pages.conftest import Answer, SignIn, error_at, words

ORIENTATION, MAKER, GPS = 0x0112, 0x010F, 0x8825


def picture(
    size: tuple[int, int] = (400, 300), form: str = "JPEG", colour: Any = (200, 40, 30), mode: str = "RGB", **how: Any
) -> bytes:
    written = io.BytesIO()
    Image.new(mode, size, colour).save(written, form, **how)
    return written.getvalue()


def by_a_phone() -> bytes:
    """Held upright, so stored lying down, with the place where it was taken."""
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKER] = 6, "SECRET-MAKER"
    exif.get_ifd(GPS)[1] = "N"
    exif.get_ifd(GPS)[2] = (54.0, 10.0, 0.0)
    return picture((400, 300), exif=exif, comment=b"SECRET-COMMENT")


@pytest.fixture
def mine(airframe: Airframe, owner: Member, sign_in: SignIn) -> Client:
    return sign_in(owner)


@pytest.fixture
def folder(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return Path(settings.MEDIA_ROOT)


def files(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*") if path.is_file())


def send(mine: Client, content: bytes | None, alt: str = "On the grass", name: str = "IMG_17.jpg") -> Answer:
    sent: dict[str, Any] = {"alt": alt}
    if content is not None:
        sent["file"] = SimpleUploadedFile(name, content)
    with TestCase.captureOnCommitCallbacks(execute=True):
        return mine.post(reverse("fleet:edit_photo", args=["big-glider"]), sent)


def address(photo: Photo) -> str:
    return reverse("fleet:photo", args=["big-glider", photo.version])


def test_from_the_file_to_the_page(mine: Client, reader: Member, sign_in: SignIn, folder: Path) -> None:
    assert send(mine, by_a_phone()).status_code == 302
    page = sign_in(reader).get(reverse("flights:airframe", args=["big-glider"])).content.decode()
    photo = Photo.objects.get()
    assert f'<img src="{address(photo)}" alt="On the grass" width="300" height="400"' in page
    answer = sign_in(reader).get(address(photo))
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Security-Policy"] == "default-src 'none'; frame-ancestors 'none'; sandbox"
    assert answer["Cache-Control"].startswith("private")
    assert Image.open(io.BytesIO(answer.content)).size == (300, 400)


def test_nothing_is_left_of_what_the_camera_wrote(mine: Client, folder: Path) -> None:
    send(mine, by_a_phone(), name="at-home.jpg")
    (kept,) = files(folder)
    content = kept.read_bytes()
    assert b"SECRET" not in content
    opened = Image.open(io.BytesIO(content))
    assert dict(opened.getexif()) == {}
    assert not {"exif", "comment", "icc_profile", "xmp"} & opened.info.keys()
    assert "home" not in str(kept)
    assert "home" not in str(Photo.objects.values().get())
    assert kept.stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize(
    ("size", "kept"), [((3200, 1600), (LARGEST_EDGE, 800)), ((900, 3200), (450, LARGEST_EDGE)), ((30, 20), (30, 20))]
)
def test_made_small_never_large(size: tuple[int, int], kept: tuple[int, int]) -> None:
    content = picture(size)
    made = read_picture(io.BytesIO(content), len(content))
    assert (made.width, made.height) == kept == Image.open(io.BytesIO(made.jpeg)).size


@pytest.mark.parametrize(
    ("form", "mode", "colour", "shown"),
    [
        ("PNG", "RGB", (200, 40, 30), (200, 40, 30)),
        ("PNG", "RGBA", (200, 40, 30, 0), (255, 255, 255)),
        ("PNG", "LA", (0, 0), (255, 255, 255)),
        ("PNG", "P", 0, (0, 0, 0)),
        ("PNG", "1", 1, (255, 255, 255)),
        ("WEBP", "RGB", (200, 40, 30), (200, 40, 30)),
        ("JPEG", "L", 90, (90, 90, 90)),
        ("JPEG", "CMYK", (0, 0, 0, 0), (255, 255, 255)),
    ],
)
def test_every_kind_becomes_a_plain_jpeg(form: str, mode: str, colour: Any, shown: tuple[int, ...]) -> None:
    content = picture(form=form, mode=mode, colour=colour)
    made = Image.open(io.BytesIO(read_picture(io.BytesIO(content), len(content)).jpeg))
    assert (made.format, made.mode) == ("JPEG", "RGB")
    found = made.getpixel((200, 150))
    assert isinstance(found, tuple)
    assert max(abs(a - b) for a, b in zip(found, shown, strict=True)) <= 6


def noted(*change: tuple[bytes, bytes]) -> bytes:
    """What a camera noted, with other bytes in some places."""
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKER] = 6, "MAKER"
    exif.get_ifd(GPS)[1], exif.get_ifd(GPS)[2] = "N", (48.0, 12.0, 1.0)
    content = exif.tobytes()
    for old, new in change:
        assert content.count(old) == 1
        content = content.replace(old, new)
    return content


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize(
    "note",
    [
        # Two of a text, where there is one; a text under the number of a figure; a figure where there are several.
        noted((b"\0\1\0\2\0\0\0\2N", b"\0\1\0\3\0\0\0\2N")),
        noted((b"\x01\x0f\0\2", b"\x01\x4a\0\2")),
        noted((b"\0\0\0\x30\0\0\0\1", b"\0\0\0\x30\xa1\0\0\1")),
        noted((b"\0\0\0\3\0\0\0", b"\0\0\0\0\0\0\0")),
    ],
)
def test_a_camera_that_notes_odd_things(form: str, note: bytes) -> None:
    """The picture can be seen, so it is taken, and turned as it should be."""
    content = picture((40, 30), form, exif=note)
    made = read_picture(io.BytesIO(content), len(content))
    assert (made.width, made.height) == (30, 40)


@pytest.mark.filterwarnings("ignore::UserWarning")  # Pillow tells of them already when it opens the picture.
@pytest.mark.parametrize("note", [b"", b"II*\0", b"nothing that can be read", noted()[:20]])
def test_a_camera_whose_notes_are_broken(note: bytes) -> None:
    content = picture((40, 30), exif=b"Exif\0\0" + note.removeprefix(b"Exif\0\0"))
    assert read_picture(io.BytesIO(content), len(content)).width == 40


@pytest.mark.parametrize("held", range(10))
def test_upright_however_it_was_held(held: int) -> None:
    exif, stored = Image.Exif(), Image.new("RGB", (40, 30), "white")
    exif[ORIENTATION] = held
    stored.paste((200, 0, 0), (0, 0, 10, 20))
    written = io.BytesIO()
    stored.save(written, "PNG", exif=exif)
    made = Image.open(io.BytesIO(read_picture(written, 1).jpeg))
    written.seek(0)
    expected = ImageOps.exif_transpose(Image.open(written)).convert("RGB")
    assert made.size == expected.size
    # Turned otherwise, white would stand where red does: 200 and more.
    assert max(ImageChops.difference(made, expected).tobytes()) < 120


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", "not a picture"),
        (b"GIF89a" + bytes(40), "not a picture"),
        (picture(form="GIF", mode="P", colour=0), "not a picture"),
        (picture()[:300], "not a picture"),
        (b"\x00" * 100, "not a picture"),
        (picture((7000, 6000), "PNG", mode="1", colour=0), "42 million points"),
        (picture((10_000, 9_000), "PNG", mode="1", colour=0), "far too many points"),
        (picture((20_000, 10_000), "PNG", mode="1", colour=0), "far too many points"),
    ],
)
def test_what_is_no_picture_is_told_at_the_field(mine: Client, folder: Path, content: bytes, told: str) -> None:
    answer = send(mine, content, alt="Kept as typed")
    assert answer.status_code == 200
    assert told in error_at(answer, "file")
    assert "Kept as typed" in answer.content.decode()
    assert not Photo.objects.exists()
    assert files(folder) == []


def test_a_file_that_is_too_large() -> None:
    with pytest.raises(PhotoError, match=r"This file has 13\.0 MiB; a photo is at most 12 MiB"):
        read_picture(io.BytesIO(b""), 13 * 1024 * 1024)


@pytest.mark.parametrize("length", [str(LARGEST_POST + 1), "9" * 400, "-1", "many"])
def test_more_than_any_form_takes_is_not_even_read(mine: Client, length: str) -> None:
    answer = mine.generic("POST", "/", b"", content_type="text/plain", CONTENT_LENGTH=length)
    assert answer.status_code == 413
    assert "A photo is at most 12 MiB" in words(answer)
    assert "Content-Security-Policy" in answer


def test_nothing_chosen_or_nothing_said(mine: Client, folder: Path) -> None:
    assert error_at(send(mine, None), "file") == "Choose a picture."
    assert "in a few words" in error_at(send(mine, picture(), alt=" "), "alt")
    assert files(folder) == []


def test_another_picture_takes_the_place_of_the_first(mine: Client, folder: Path) -> None:
    send(mine, picture())
    first = Photo.objects.get()
    send(mine, picture(colour=(0, 0, 255)), alt="Blue now")
    second = Photo.objects.get()
    assert len(files(folder)) == 1
    assert mine.get(address(first)).status_code == 404
    assert mine.get(address(second)).status_code == 200
    assert second.alt == "Blue now"


def test_only_the_words_are_changed(mine: Client, folder: Path) -> None:
    send(mine, picture())
    digest = Photo.objects.get().digest
    assert send(mine, None, alt="At the bench").status_code == 302
    assert (Photo.objects.get().alt, Photo.objects.get().digest) == ("At the bench", digest)


def test_taking_it_away(mine: Client, folder: Path) -> None:
    send(mine, picture())
    assert "Take it away" in words(mine.get(reverse("fleet:edit_photo", args=["big-glider"])))
    with TestCase.captureOnCommitCallbacks(execute=True):
        assert mine.post(reverse("fleet:remove_photo", args=["big-glider"])).status_code == 302
    assert not Photo.objects.exists()
    assert files(folder) == []
    assert "<figure" not in mine.get(reverse("flights:airframe", args=["big-glider"])).content.decode()


def test_a_file_that_was_lost_is_not_there(mine: Client, folder: Path) -> None:
    send(mine, picture())
    files(folder)[0].unlink()
    assert mine.get(address(Photo.objects.get())).status_code == 404


def test_a_photo_that_could_not_be_recorded_leaves_no_file(
    airframe: Airframe, owner: Member, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*args: object, **options: object) -> None:
        raise RuntimeError

    monkeypatch.setattr(Photo, "save", fail)
    content = picture()
    with pytest.raises(RuntimeError):
        photo_operations.set_photo(
            user=owner, airframe=airframe, file=io.BytesIO(content), size=len(content), alt="Here"
        )
    assert files(folder) == []


def test_only_who_edits_the_airframe(airframe: Airframe, reader: Member, folder: Path) -> None:
    content = picture()
    for deed in (
        lambda: photo_operations.set_photo(
            user=reader, airframe=airframe, file=io.BytesIO(content), size=len(content), alt="Mine"
        ),
        lambda: photo_operations.describe_photo(user=reader, airframe=airframe, alt="Mine"),
        lambda: photo_operations.remove_photo(user=reader, airframe=airframe),
    ):
        with pytest.raises(NotAllowed):
            deed()


def test_strangers_do_not_see_it(mine: Client, folder: Path) -> None:
    send(mine, picture())
    answer = Client().get(address(Photo.objects.get()))
    assert answer.status_code == 302
    assert answer["Location"].startswith(reverse("members:sign_in"))
