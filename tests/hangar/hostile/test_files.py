"""Archives that mean harm, given to `import_club` and `restore`: refused in words, and nothing is changed."""

import json
import sqlite3
import struct
import warnings
import zipfile
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from hangar.keeping import archive, dumps
from hangar.keeping.archive import CONTENTS
from hangar.keeping.backing_up import KIND as BACKUP
from hangar.keeping.backing_up import VERSION
from hangar.keeping.errors import KeepingError
from tests.hangar.hostile.archives import Files, changed, refusal, told_of, write

ODD_NAMES = (
    "media/../../outside", "media//etc/outside", "/etc/outside", "media/a\\..\\b", "media/./b", "media/a\nb", "..",
    "media/\u202egnp.exe", "tables/../../x.json", "media/a/",
)  # fmt: skip


@pytest.mark.parametrize("name", ODD_NAMES, ids=ascii)
@pytest.mark.parametrize("where", ["told", "packed"])
def test_a_name_that_leads_out(club: Files, tmp_path: Path, name: str, where: str) -> None:
    """In the list of what it holds, and in the ZIP file itself."""
    files = changed(club, "fleet.airframe")
    told = {**told_of(files), name: told_of({name: b"x"})[name]} if where == "told" else told_of(files)
    if where == "packed" and name.endswith("/"):
        # A folder: nothing of it is read.
        return
    path = write(tmp_path / "club.zip", {**files, name: b"x"} if where == "packed" else files, files=told)
    assert "leads elsewhere" in refusal(path)
    assert not (tmp_path.parent / "outside").exists()


def test_a_name_that_no_folder_takes(club: Files, tmp_path: Path) -> None:
    files = changed(club, "fleet.airframe")
    heads = json.loads(club[CONTENTS])["heads"]
    path = write(tmp_path / "club.zip", {**files, f"media/{'n' * 300}": b"x"}, heads=heads)
    assert "too long" in refusal(path)


def test_a_file_that_belongs_to_nothing(club: Files, tmp_path: Path) -> None:
    files = {**changed(club, "fleet.airframe"), "media/page.html": b"<script>alert(1)</script>"}
    heads = json.loads(club[CONTENTS])["heads"]
    assert "No row points to media/page.html" in refusal(write(tmp_path / "club.zip", files, heads=heads))


def test_the_same_name_twice(club: Files, tmp_path: Path) -> None:
    path = write(tmp_path / "club.zip", changed(club, "fleet.airframe"))
    with zipfile.ZipFile(path, "a") as target, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        target.writestr("tables/fleet.airframe.json", b"[]")
    assert "twice" in refusal(path)


def test_a_link(club: Files, tmp_path: Path) -> None:
    path = write(tmp_path / "club.zip", changed(club, "fleet.airframe"))
    link = zipfile.ZipInfo("media/link")
    link.external_attr = 0o120777 << 16
    with zipfile.ZipFile(path, "a") as target:
        target.writestr(link, "/etc/passwd")
    assert "a link: 'media/link'" in refusal(path)


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_packed_in_a_way_that_we_never_use(club: Files, tmp_path: Path, method: int) -> None:
    path = write(tmp_path / "club.zip", changed(club, "fleet.airframe"))
    with zipfile.ZipFile(path, "a", method) as target:
        target.writestr("media/x.jpg", b"0" * 10_000)
    assert "packed in a way" in refusal(path)


def test_locked(club: Files, tmp_path: Path) -> None:
    path = write(tmp_path / "club.zip", changed(club, "fleet.airframe"))
    content = bytearray(path.read_bytes())
    entry = content.index(b"PK\x01\x02")
    (flags,) = struct.unpack_from("<H", content, entry + 8)
    struct.pack_into("<H", content, entry + 8, flags | 1)
    path.write_bytes(content)
    assert "locked with a password" in refusal(path)


@pytest.mark.parametrize("size", [10**15, 10**30])
def test_more_than_any_disk_holds(club: Files, tmp_path: Path, size: int) -> None:
    files = changed(club, "fleet.airframe")
    told = told_of(files)
    told["tables/fleet.airframe.json"]["size"] = size
    assert "there is room for" in refusal(write(tmp_path / "club.zip", files, files=told))


@pytest.mark.parametrize("said", [-1, 1.5, True, "12", None, [], {}])
def test_a_size_that_is_none(club: Files, tmp_path: Path, said: Any) -> None:
    files = changed(club, "fleet.airframe")
    told = told_of(files)
    told["tables/fleet.airframe.json"]["size"] = said
    assert "does not say the size" in refusal(write(tmp_path / "club.zip", files, files=told))


@pytest.mark.parametrize("said", ["", "0" * 63, "G" * 64, None, 7])
def test_a_digest_that_is_none(club: Files, tmp_path: Path, said: Any) -> None:
    files = changed(club, "fleet.airframe")
    told = told_of(files)
    told["tables/fleet.airframe.json"]["sha256"] = said
    assert "the digest of tables/fleet.airframe.json" in refusal(write(tmp_path / "club.zip", files, files=told))


@pytest.mark.parametrize("said", [None, [], "all", 7])
def test_no_list_of_what_it_holds(club: Files, tmp_path: Path, said: Any) -> None:
    assert "does not say which files" in refusal(
        write(tmp_path / "club.zip", changed(club, "fleet.airframe"), files=said)
    )


def test_a_bomb(club: Files, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A table that unpacks to more than is read at once, and a text that is larger than any setup."""
    monkeypatch.setattr(archive, "LARGEST_IN_MEMORY", 2_000_000)
    files = changed(club, "fleet.airframe")
    files["tables/fleet.airframe.json"] = b" " * 5_000_000 + files["tables/fleet.airframe.json"]
    path = write(tmp_path / "club.zip", files)
    assert path.stat().st_size < 100_000
    assert "at most 2000000 are read" in refusal(path)
    files = changed(club, "fleet.airframe")
    name = next(name for name in files if name.startswith("documents/"))
    files[name] += b" " * 2_000_000
    assert "at most 1048576 are read" in refusal(write(tmp_path / "text.zip", files))


def test_a_million_rows(club: Files, tmp_path: Path) -> None:
    files = changed(club, "fleet.airframe")
    files["tables/fleet.airframe.json"] = b"[" + b"{}," * 999_999 + b"{}]"
    assert "A row of fleet.airframe has no " in refusal(write(tmp_path / "club.zip", files))


@pytest.mark.parametrize(("opens", "closes"), [("[", "]"), ('{"a":', "}")])
def test_a_thousand_deep(club: Files, tmp_path: Path, opens: str, closes: str) -> None:
    deep = (opens * 1000 + "1" + closes * 1000).encode()
    files = changed(club, "fleet.airframe", span_mm=4711)
    files["tables/fleet.airframe.json"] = files["tables/fleet.airframe.json"].replace(b"4711", deep)
    assert "tables/fleet.airframe.json is no JSON" in refusal(write(tmp_path / "club.zip", files))
    with zipfile.ZipFile(tmp_path / "contents.zip", "w") as target:
        target.writestr(CONTENTS, deep)
    assert f"its {CONTENTS} is no JSON" in refusal(tmp_path / "contents.zip")


def test_a_key_twice(club: Files, tmp_path: Path) -> None:
    """What one program takes for the first, another takes for the last."""
    files = changed(club, "fleet.airframe")
    name = "tables/fleet.airframe.json"
    files[name] = files[name].replace(b'"name":', b'"name": "Other", "name":')
    assert "a key comes twice" in refusal(write(tmp_path / "club.zip", files))


def test_a_name_in_no_letters(club: Files, tmp_path: Path) -> None:
    path = write(tmp_path / "club.zip", {**changed(club, "fleet.airframe"), "media/ä": b"x"})
    path.write_bytes(path.read_bytes().replace("ä".encode(), b"\xff\xff"))
    assert "is damaged" in refusal(path)


class TestRestoring:
    """A backup is believed in what it says, since it is the whole site; not in what it is."""

    @pytest.fixture(autouse=True)
    def _untouched(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """Nothing here comes so far as the database."""

        def touched(_: object) -> None:
            raise AssertionError("the database was to be replaced")

        monkeypatch.setattr("hangar.keeping.backing_up.load", touched)

    def refused(self, path: Path) -> str:
        with pytest.raises(CommandError) as refused:
            call_command("restore", str(path), verbosity=0)
        return str(refused.value)

    def backup(self, path: Path, content_of: Files, **said: Any) -> Path:
        return write(path, content_of, kind=BACKUP, version=VERSION, database=connection.vendor, **said)

    def test_photos_that_lead_out(self, tmp_path: Path) -> None:
        files = {dumps.NAMES[connection.vendor]: b"x", "media/../../outside": b"x"}
        assert "leads elsewhere" in self.refused(self.backup(tmp_path / "b.zip", files))
        files = {dumps.NAMES[connection.vendor]: b"x", f"media/{'n' * 300}": b"x"}
        assert "too long" in self.refused(self.backup(tmp_path / "c.zip", files))

    def test_a_damaged_photo_is_noticed_first(self, tmp_path: Path) -> None:
        files = {dumps.NAMES[connection.vendor]: b"x", "media/a.jpg": b"x"}
        told = {**told_of(files), "media/a.jpg": told_of({"": b"y"})[""]}
        assert "is damaged: media/a.jpg" in self.refused(self.backup(tmp_path / "b.zip", files, files=told))

    def test_a_bomb(self, tmp_path: Path) -> None:
        name = dumps.NAMES[connection.vendor]
        path = self.backup(tmp_path / "b.zip", {name: b"0" * 9_000_000}, files=told_of({name: b"0" * 1000}))
        assert f"is damaged: {name}" in self.refused(path)
        path = self.backup(tmp_path / "c.zip", {name: b"0"}, files={name: {"size": 10**15, "sha256": "0" * 64}})
        assert "there is room for" in self.refused(path)


def test_a_database_that_is_none(db: None, tmp_path: Path) -> None:
    (tmp_path / "x").write_bytes(b"no database" * 100)
    with pytest.raises(KeepingError, match={"sqlite": "cannot be read", "postgresql": "failed"}[connection.vendor]):
        dumps.migrations_of(tmp_path / "x")
    if connection.vendor == "sqlite":
        with closing(sqlite3.connect(tmp_path / "y")) as other:
            other.execute("CREATE TABLE songs (name TEXT)")
        with pytest.raises(KeepingError, match="none of Hingeline's"):
            dumps.migrations_of(tmp_path / "y")
