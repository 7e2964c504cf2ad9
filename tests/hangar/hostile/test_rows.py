"""Rows that mean harm, in an archive that is whole: `import_club` refuses them in words, and nothing is changed."""

import hashlib
import io
import json
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from hangar.keeping.archive import CONTENTS
from hangar.setups import steps
from tests.hangar.hostile.archives import Files, changed, refusal, write

PHOTO = "media/airframes/picture.jpg"


def attempt(club: Files, folder: Path, table: str, **fields: Any) -> str:
    heads = json.loads(club[CONTENTS])["heads"]
    return refusal(write(folder / "club.zip", changed(club, table, **fields), heads=heads))


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999", "1" * 5000])
def test_a_number_that_is_none(club: Files, tmp_path: Path, number: str) -> None:
    files = changed(club, "fleet.airframe", span_mm=4711)
    files["tables/fleet.airframe.json"] = files["tables/fleet.airframe.json"].replace(b"4711", number.encode())
    assert "tables/fleet.airframe.json is no JSON" in refusal(write(tmp_path / "club.zip", files))


@pytest.mark.parametrize(
    ("table", "field", "value"),
    [
        ("fleet.airframe", "name", "half a letter \ud800"),
        ("fleet.airframe", "name", "nothing \x00 inside"),
        ("fleet.airframe", "name", "N" * 100_000),
        ("fleet.airframe", "name", ["a", "list"]),
        ("fleet.airframe", "name", {"a": "table"}),
        ("fleet.airframe", "name", None),
        ("fleet.airframe", "status", "flying"),
        ("fleet.airframe", "slug", "../../etc"),
        ("fleet.airframe", "span_mm", 10**30),
        ("fleet.airframe", "span_mm", -5),
        ("fleet.airframe", "span_mm", True),
        ("fleet.airframe", "span_mm", [1]),
        ("fleet.airframe", "wing_area_dm2", "1e400"),
        ("fleet.airframe", "wing_area_dm2", "NaN"),
        ("fleet.airframe", "added_at", "0000-00-00T00:00:00Z"),
        ("fleet.airframe", "added_at", {"a": 1}),
        ("fleet.airframe", "owner", 10**30),
        ("fleet.airframe", "owner", "owner"),
        ("fleet.airframe", "owner", [1]),
        ("fleet.airframe", "id", 10**30),
        ("fleet.airframe", "id", None),
        ("fleet.airframe", "id", "one"),
        ("members.member", "role", "king"),
        ("members.member", "login", "a b"),
        ("members.member", "login", "Owner\u202e"),
        ("members.member", "is_active", "perhaps"),
        ("members.member", "author_key", ""),
        ("members.member", "password", "md5$$d41d8cd98f00b204e9800998ecf8427e"),
        ("members.personalname", "full_name", "x" * 5000),
        ("setups.revision", "number", -1),
        ("setups.revision", "number", 2**70),
        ("setups.revision", "origin", "x" * 500),
        ("setups.document", "digest", "../../../etc/passwd"),
        ("setups.document", "digest", "\ud800"),
    ],
)
def test_a_value_that_no_form_would_take(club: Files, tmp_path: Path, table: str, field: str, value: Any) -> None:
    said = attempt(club, tmp_path, table, **{field: value})
    otherwise = {"digest": "holds no documents/", "author_key": "does not fit together"}
    no_field = f"{table} has no field {field} here"
    assert said.startswith((f"{table}, {field}: ", no_field)) or otherwise.get(field, "no such words") in said, said
    assert said.isprintable(), "whatever is in it, a terminal can show it"


def test_rows_that_only_together_do_no_good(club: Files, tmp_path: Path) -> None:
    assert "does not fit together" in attempt(club, tmp_path, "fleet.airframe", owner=2**62)
    assert "does not fit together" in attempt(club, tmp_path, "setups.revision", number=5)
    rows = json.loads(club["tables/fleet.airframe.json"])
    files = {**changed(club, "fleet.airframe"), "tables/fleet.airframe.json": json.dumps(rows * 2).encode()}
    assert "does not fit together" in refusal(write(tmp_path / "twice.zip", files))


READING = {"id": 1, "check_of": 1, "surface": "elevator", "phase": "", "predicted_mm": 1, "measured_mm": 1}


@pytest.mark.parametrize("positions", [{"pitch": 1e9}, {"pitch": "up"}, {"pitch": None}, ["pitch"], "pitch", 7])
def test_a_reading_at_no_position(club: Files, tmp_path: Path, positions: Any) -> None:
    files = changed(club, "fleet.airframe")
    files["tables/flights.reading.json"] = json.dumps([{**READING, "positions": positions}]).encode()
    assert "flights.reading, positions: " in refusal(write(tmp_path / "club.zip", files))


def test_json_twenty_one_deep(club: Files, tmp_path: Path) -> None:
    deep: Any = 1
    for _ in range(21):
        deep = {"a": deep}
    files = changed(club, "fleet.airframe")
    files["tables/flights.reading.json"] = json.dumps([{**READING, "positions": deep}]).encode()
    assert "it is too deep" in refusal(write(tmp_path / "club.zip", files))


def with_a_draft(club: Files, packed: str) -> Files:
    """The owner's draft of the first model, with one edit that can be taken back."""
    (airframe,) = json.loads(club["tables/fleet.airframe.json"])
    (revision,) = json.loads(club["tables/setups.revision.json"])
    draft = {
        "id": 1, "airframe": airframe["id"], "member": airframe["owner"], "base": revision["id"], "text": "no setup",
        "at": 1, "version": 1, "updated_at": "2026-05-01T00:00:00Z",
    }  # fmt: skip
    files = changed(club, "fleet.airframe")
    files["tables/setups.draft.json"] = json.dumps([draft]).encode()
    step = {"id": 1, "draft": 1, "number": 0, "packed": packed}
    files["tables/setups.draftstep.json"] = json.dumps([step]).encode()
    return files


@pytest.mark.parametrize("packed", ["no base 85 ~", "VPaz", "bomb", "other"])
def test_an_edit_that_nobody_can_read(club: Files, tmp_path: Path, packed: str) -> None:
    if packed in ("bomb", "other"):
        packed = steps.pack("0" * 50_000_000 if packed == "bomb" else "x" * 40_000, "of another setup")
    heads = json.loads(club[CONTENTS])["heads"]
    said = refusal(write(tmp_path / "club.zip", with_a_draft(club, packed), heads=heads))
    assert "nobody can read its edit 0" in said


def with_a_photo(club: Files, content: bytes, **row: Any) -> Files:
    (airframe,) = json.loads(club["tables/fleet.airframe.json"])
    photo = {
        "id": 1, "airframe": airframe["id"], "image": PHOTO.removeprefix("media/"), "alt": "Blue", "width": 30,
        "height": 20, "digest": hashlib.sha256(content).hexdigest(), "at": "2026-05-01T00:00:00Z",
        "by": airframe["owner"], **row,
    }  # fmt: skip
    files = {**changed(club, "fleet.airframe"), PHOTO: content}
    files["tables/fleet.photo.json"] = json.dumps([photo]).encode()
    return files


def picture(kind: str, size: tuple[int, int] = (30, 20)) -> bytes:
    written = io.BytesIO()
    Image.new("RGB", size, "navy").save(written, kind)
    return written.getvalue()


@pytest.mark.parametrize(
    ("content", "row"),
    [
        (b"<html><script>alert(1)</script>", {}),
        (picture("PNG"), {}),
        (picture("JPEG")[:100], {}),
        (picture("JPEG", (2000, 20)), {"width": 2000}),
        (picture("JPEG"), {"width": 31}),
        (picture("JPEG"), {"digest": "0" * 64}),
        (picture("JPEG"), {"digest": "../../../../etc"}),
    ],
    ids=["page", "png", "cut", "large", "other-size", "other-digest", "no-digest"],
)
def test_a_photo_that_this_site_never_made(club: Files, tmp_path: Path, content: bytes, row: dict[str, Any]) -> None:
    heads = json.loads(club[CONTENTS])["heads"]
    said = refusal(write(tmp_path / "club.zip", with_a_photo(club, content, **row), heads=heads))
    assert f"{PHOTO} is no photo as this site makes them" in said


@pytest.mark.parametrize("name", ["../../outside.jpg", "/etc/passwd", "a/../../b.jpg"])
def test_a_photo_somewhere_else(club: Files, tmp_path: Path, name: str) -> None:
    assert "leads elsewhere" in refusal(write(tmp_path / "c.zip", with_a_photo(club, picture("JPEG"), image=name)))
