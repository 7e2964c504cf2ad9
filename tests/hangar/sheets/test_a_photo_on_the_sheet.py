"""The photo of an airframe in the head of its sheet: small, told in words, gone when it is taken away."""

import io
from pathlib import Path
from typing import Any

import pypdf
import pytest
from PIL import Image

from hangar.fleet.models import Airframe
from hangar.fleet.photo_operations import describe_photo, remove_photo, set_photo
from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.sheets.operations import record_print
from hangar.sheets.photo import BOX
from hangar.sheets.render import facts_of, setup_sheet_pdf
from hangar.sheets.spacings import SPACINGS

from .rendering import structure

ALT = "On the grass, from the side"


@pytest.fixture(autouse=True)
def folders(settings: Any, tmp_path: Path) -> Path:
    settings.HANGAR_DATA, settings.MEDIA_ROOT = tmp_path / "data", tmp_path / "media"
    return tmp_path


@pytest.fixture
def pictured(owner: Member, first: Revision) -> Revision:
    return with_photo(owner, first, (40, 110, 180))


def with_photo(owner: Member, revision: Revision, colour: tuple[int, int, int]) -> Revision:
    written = io.BytesIO()
    Image.new("RGB", (1200, 900), colour).save(written, "PNG")
    size = written.tell()
    written.seek(0)
    set_photo(user=owner, airframe=revision.airframe, file=written, size=size, alt=ALT)
    return again(revision)


def again(revision: Revision) -> Revision:
    return Revision.objects.get(pk=revision.pk)


def images(content: bytes) -> list[bytes]:
    (page,) = pypdf.PdfReader(io.BytesIO(content)).pages
    return [image.data for image in page.images]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("copied", [False, True])
def test_it_stands_in_the_head_of_the_one_page(owner: Member, pictured: Revision, paper: str, copied: bool) -> None:
    copy = record_print(user=owner, revision=pictured) if copied else None
    content = setup_sheet_pdf(pictured, paper=paper, copy=copy)
    (image,) = images(content)
    with Image.open(io.BytesIO(image)) as shown:
        assert shown.width <= BOX[0]
        assert shown.height <= BOX[1]
        red, _, blue = shown.convert("RGB").resize((1, 1)).getpixel((0, 0))  # type: ignore[misc]
    assert blue > red + 100
    assert ALT in [str(node["/Alt"]) for node in structure(content) if "/Alt" in node]


def test_another_picture_other_words_or_none_make_another_sheet(owner: Member, first: Revision) -> None:
    keys = [facts_of(first).key("a4")]
    keys.append(facts_of(with_photo(owner, first, (40, 110, 180))).key("a4"))
    keys.append(facts_of(with_photo(owner, first, (180, 40, 40))).key("a4"))
    describe_photo(user=owner, airframe=Airframe.objects.get(pk=first.airframe_id), alt="In the workshop")
    keys.append(facts_of(again(first)).key("a4"))
    assert len(set(keys)) == 4
    remove_photo(user=owner, airframe=Airframe.objects.get(pk=first.airframe_id))
    assert facts_of(again(first)).key("a4") == keys[0]


def test_a_file_that_is_gone_costs_the_photo_not_the_sheet(pictured: Revision, folders: Path) -> None:
    for path in (folders / "media").rglob("*.jpg"):
        path.unlink()
    assert images(setup_sheet_pdf(pictured)) == []
    assert "<img" not in facts_of(pictured).sheet().html(SPACINGS[0])


def test_a_file_that_is_back_is_on_the_next_sheet(pictured: Revision, folders: Path) -> None:
    (path,) = (folders / "media").rglob("*.jpg")
    with_it = facts_of(pictured).key("a4")
    kept = path.rename(folders / "away")
    assert facts_of(pictured).key("a4") != with_it
    assert images(setup_sheet_pdf(pictured)) == []
    kept.rename(path)
    assert len(images(setup_sheet_pdf(pictured))) == 1
    assert facts_of(pictured).key("a4") == with_it
