"""The club moves: all of it goes into one open file, and comes out of it the same on any database."""

import csv
import hashlib
import io
import itertools
import json
import re
import threading
import time
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.db import connection, transaction
from PIL import Image

from hangar.demo.loading import load
from hangar.fleet.models import Airframe
from hangar.fleet.photo_operations import set_photo
from hangar.keeping import exporting
from hangar.keeping.archive import CONTENTS
from hangar.keeping.errors import KeepingError
from hangar.keeping.exporting import export_club, heads
from hangar.keeping.importing import import_club
from hangar.keeping.what import LEFT_OUT, exported_fields, exported_models, holds_anything, is_left_out
from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.setups.operations import record
from tests.factories import AirframeFactory, MemberFactory, make_setup, open_draft, record_first
from tests.hangar.places import place_of_this_kind, sqlite_place
from tests.patience import PATIENCE_S

Files = dict[str, bytes]
TEXT = "=2+3 \u202e ﷽ 💥 \"quoted\", 'so' \\ <b>&amp;"


@contextmanager
def for_a_while(blocker: Any) -> Iterator[None]:
    """With the database, before any test of this file; what is written in it is gone afterwards, as are the photos."""
    with blocker.unblock(), transaction.atomic():
        yield
        transaction.set_rollback(True)
    for name in photos():
        default_storage.delete(f"airframes/{name}")


def give_photo(airframe: Airframe) -> None:
    picture = io.BytesIO()
    Image.new("RGB", (30, 20), "navy").save(picture, "PNG")
    set_photo(user=airframe.owner, airframe=airframe, file=picture, size=picture.tell(), alt="Blue")


@pytest.fixture(scope="module")
def large(django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented club, exported, with what it does not have: an unrecorded draft, a photo, a text hard to carry."""
    path = tmp_path_factory.mktemp("large") / "club.zip"
    with for_a_while(django_db_blocker):
        load(say=lambda line: None)
        airframe = Airframe.objects.filter(revisions__isnull=False).order_by("pk")[0]
        open_draft(user=airframe.owner, airframe=airframe)
        Airframe.objects.filter(pk=airframe.pk).update(mark_place=TEXT)
        give_photo(airframe)
        export_club(path)
    return path


@pytest.fixture(scope="module")
def small(django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two members, one airframe with a photo and two revisions, exported."""
    path = tmp_path_factory.mktemp("small") / "club.zip"
    with for_a_while(django_db_blocker):
        owner = MemberFactory.create(login="owner")
        airframe = AirframeFactory.create(name="Big Glider", owner=owner)
        airframe.helpers.add(MemberFactory.create(login="helper"))
        first = record_first(airframe)
        record(user=owner, airframe=airframe, setup=make_setup(remarks="second"), base=first, reason="r")
        give_photo(airframe)
        export_club(path)
    return path


@pytest.fixture(autouse=True)
def _no_photo_stays() -> Iterator[None]:
    yield
    for name in photos():
        default_storage.delete(f"airframes/{name}")


def photos() -> list[str]:
    return default_storage.listdir("airframes")[1] if default_storage.exists("airframes") else []


def contents(path: Path) -> dict[str, Any]:
    with zipfile.ZipFile(path) as archive:
        said: dict[str, Any] = json.loads(archive.read(CONTENTS))
    return said


def test_it_comes_out_as_it_went_in(large: Path, db: None, tmp_path: Path) -> None:
    done = import_club(large)
    export_club(tmp_path / "again.zip")
    before, after = contents(large), contents(tmp_path / "again.zip")
    assert before["files"] == after["files"]
    assert before["heads"] == after["heads"]
    assert len(before["heads"]) == done.chains > 5
    assert done.rows > 300
    assert [name for name in before["files"] if name.startswith("media/airframes/")]
    assert before["missing_files"] == []
    assert Airframe.objects.get(mark_place=TEXT).photo is not None
    call_command("verify_history", verbosity=0)


def test_the_club_goes_on_where_it_came_to(small: Path, db: None) -> None:
    import_club(small)
    owner, airframe = Member.objects.get(login="owner"), Airframe.objects.get()
    assert not owner.has_usable_password()
    assert [helper.login for helper in airframe.helpers.all()] == ["helper"]
    assert airframe.photo is not None
    assert default_storage.exists(str(airframe.photo.image.name))
    head = airframe.revisions.order_by("-number")[0]
    setup = head.setup.changed(remarks="in the new place")
    assert record(user=owner, airframe=airframe, setup=setup, base=head, reason="moved").new
    record_first(AirframeFactory.create(owner=MemberFactory.create()))


def test_on_another_site(large: Path, db: None, tmp_path: Path) -> None:
    """Also from PostgreSQL to SQLite and from there to PostgreSQL, where that is what the tests run on."""
    places = [sqlite_place(tmp_path / "second")]
    with place_of_this_kind(tmp_path / "third") as third:
        if connection.vendor != "sqlite":
            places.append(third)
        source = large
        for number, place in enumerate(places):
            assert "every seal of" in place.run("import_club", str(source))
            source = tmp_path / f"there-{number}.zip"
            place.run("export_club", str(source))
            assert contents(source)["files"] == contents(large)["files"]


def until_there_are(count: int) -> None:
    ends = time.monotonic() + PATIENCE_S
    while (there := Revision.objects.count()) < count:
        assert time.monotonic() < ends, f"{there} revisions, and no more come"
        time.sleep(0.01)


def test_while_members_write(first: Revision, transactional_db: None, tmp_path: Path) -> None:
    """Everything in the file is of one moment: no revision without its document, no head that is not there."""
    stop = threading.Event()

    def write() -> None:
        head = Revision.objects.get(pk=first.pk)
        try:
            for number in itertools.count():
                if stop.wait(0.002):
                    break
                setup = make_setup(remarks=f"change {number}")
                head = record(user=first.author, airframe=first.airframe, setup=setup, base=head, reason="r").revision
        finally:
            connection.close()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for turn in range(3):
            until_there_are(Revision.objects.count() + 2)
            export_club(tmp_path / f"{turn}.zip")
    finally:
        stop.set()
        writer.join(PATIENCE_S)
    seen = []
    for turn in range(3):
        with zipfile.ZipFile(tmp_path / f"{turn}.zip") as archive:
            rows = json.loads(archive.read("tables/setups.revision.json"))
            names = set(archive.namelist())
        newest = max(rows, key=lambda row: int(row["number"]))
        assert contents(tmp_path / f"{turn}.zip")["heads"] == {first.airframe.slug: newest["seal"]}
        assert {f"documents/{row['document']}.json" for row in rows} <= names
        seen.append(len(rows))
    assert sorted(set(seen)) == seen, "it was written to between them"


def test_nobody_waits_for_an_export(
    first: Revision, transactional_db: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In its middle somebody writes, and is done before it is."""
    raised: list[BaseException] = []

    def write() -> None:
        try:
            AirframeFactory.create(slug="meanwhile")
        except BaseException as error:
            raised.append(error)
        finally:
            connection.close()

    def in_the_middle() -> dict[str, str]:
        writer = threading.Thread(target=write)
        writer.start()
        writer.join(PATIENCE_S)
        assert Airframe.objects.count() == 1
        return heads()

    monkeypatch.setattr(exporting, "heads", in_the_middle)
    export_club(tmp_path / "club.zip")
    assert raised == []
    assert Airframe.objects.count() == 2
    assert getattr(connection, "transaction_mode", "IMMEDIATE") == "IMMEDIATE"


def test_every_table_is_exported_or_named_with_the_reason_why_not() -> None:
    for model in apps.get_models(include_auto_created=True):
        assert (model in exported_models()) != is_left_out(model), (
            f"{model._meta.label_lower} is neither exported nor in LEFT_OUT of hangar/keeping/what.py"
        )
    assert all(len(reason) > 10 for reason in LEFT_OUT.values())


def test_nothing_that_opens_a_door_is_exported() -> None:
    # The code on a printed sheet tells whether it is current, and must still do so where the club has moved to.
    harmless = {("sheets.print", "token")}
    for model in exported_models():
        for field in exported_fields(model):
            if (model._meta.label_lower, field.name) in harmless:
                continue
            assert not re.search("password|token|secret|session|login_key", field.name), (model, field)


def test_a_document_is_its_file_byte_for_byte(first: Revision, tmp_path: Path) -> None:
    export_club(tmp_path / "club.zip")
    with zipfile.ZipFile(tmp_path / "club.zip") as archive:
        content = archive.read(f"documents/{first.document_id}.json")
    assert hashlib.sha256(content).hexdigest() == first.document_id


def test_a_spreadsheet_takes_no_text_for_a_formula(airframe: Airframe, tmp_path: Path) -> None:
    Airframe.objects.update(mark_place=TEXT, name="-1+1")
    export_club(tmp_path / "club.zip")
    with zipfile.ZipFile(tmp_path / "club.zip") as archive:
        (row,) = csv.DictReader(io.StringIO(archive.read("tables/fleet.airframe.csv").decode()))
        (exact,) = json.loads(archive.read("tables/fleet.airframe.json"))
    assert (row["name"], row["mark_place"]) == ("'-1+1", f"'{TEXT}")
    assert (exact["name"], exact["mark_place"]) == ("-1+1", TEXT)
    assert row["span_mm"] == "3600"


def test_only_its_owner_may_read_it_and_nothing_is_written_over(airframe: Airframe, tmp_path: Path) -> None:
    path = tmp_path / "club.zip"
    export_club(path)
    assert path.stat().st_mode & 0o777 == 0o600
    before = path.read_bytes()
    with pytest.raises(KeepingError, match="is there already"):
        export_club(path)
    with pytest.raises(KeepingError, match="No such file or directory"):
        export_club(tmp_path / "no" / "such" / "folder.zip")
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]


def test_a_site_that_holds_data_is_left_alone(airframe: Airframe, tmp_path: Path) -> None:
    export_club(tmp_path / "club.zip")
    with pytest.raises(KeepingError, match="holds data already"):
        import_club(tmp_path / "club.zip")


class TestWhatDoesNotHold:
    @pytest.fixture
    def files(self, small: Path, db: None) -> Files:
        with zipfile.ZipFile(small) as archive:
            return {name: archive.read(name) for name in archive.namelist()}

    @pytest.fixture(autouse=True)
    def _nothing_stays(self, files: Files) -> Iterator[None]:
        yield
        assert not holds_anything()
        assert photos() == []

    def attempt(self, path: Path, files: Files, *, honest: bool = True, **said: Any) -> str:
        """Import these files; the refusal. `honest`: the digests are those of the files as they are now."""
        told = json.loads(files[CONTENTS])
        if honest:
            told["files"] = {
                name: {"size": len(content), "sha256": hashlib.sha256(content).hexdigest()}
                for name, content in files.items()
                if name != CONTENTS
            }
        with zipfile.ZipFile(path / "changed.zip", "w") as archive:
            for name, content in {**files, CONTENTS: json.dumps({**told, **said}).encode()}.items():
                archive.writestr(name, content)
        with pytest.raises(KeepingError) as refused:
            import_club(path / "changed.zip")
        return str(refused.value)

    def rows(self, files: Files, table: str) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = json.loads(files[f"tables/{table}.json"])
        return found

    def test_no_zip_file(self, tmp_path: Path) -> None:
        (tmp_path / "x.zip").write_bytes(b"PK")
        with pytest.raises(KeepingError, match="is not a ZIP file"):
            import_club(tmp_path / "x.zip")
        with pytest.raises(KeepingError, match="No such file"):
            import_club(tmp_path / "y.zip")
        with zipfile.ZipFile(tmp_path / "z.zip", "w") as archive:
            archive.writestr("a", b"")
        with pytest.raises(KeepingError, match="was not made by Hingeline"):
            import_club(tmp_path / "z.zip")

    def test_cut_off_or_altered(self, files: Files, tmp_path: Path) -> None:
        name = "tables/fleet.airframe.json"
        files[name] = files[name].replace(b"Big Glider", b"Big Slider")
        assert f"is damaged: {name}" in self.attempt(tmp_path, files, honest=False)

    def test_a_file_that_unpacks_to_more_than_it_says(self, files: Files, tmp_path: Path) -> None:
        files["tables/fleet.airframe.json"] += b" " * 10_000_000
        assert "is damaged" in self.attempt(tmp_path, files, honest=False)

    def test_a_missing_document(self, files: Files, tmp_path: Path) -> None:
        del files[next(name for name in files if name.startswith("documents/"))]
        assert "holds no documents/" in self.attempt(tmp_path, files)

    @pytest.mark.parametrize(("field", "value"), [("reason", "another"), ("recorded_at", "2020-01-01T00:00:00Z")])
    def test_a_changed_history(self, files: Files, tmp_path: Path, field: str, value: str) -> None:
        rows = self.rows(files, "setups.revision")
        rows[1][field] = value
        files["tables/setups.revision.json"] = json.dumps(rows).encode()
        assert "its seal does not fit" in self.attempt(tmp_path, files)

    def test_a_changed_document(self, files: Files, tmp_path: Path) -> None:
        name = next(name for name in files if name.startswith("documents/"))
        files[name] = files[name].replace(b'"Elevator"', b'"Elevatos"')
        assert "does not have the digest" in self.attempt(tmp_path, files)

    def test_a_history_without_its_end(self, files: Files, tmp_path: Path) -> None:
        rows = self.rows(files, "setups.revision")
        files["tables/setups.revision.json"] = json.dumps(rows[:1]).encode()
        assert "the newest seals are not those" in self.attempt(tmp_path, files)

    def test_a_row_that_points_nowhere(self, files: Files, tmp_path: Path) -> None:
        rows = self.rows(files, "fleet.airframe")
        rows[0]["owner"] = 99999
        files["tables/fleet.airframe.json"] = json.dumps(rows).encode()
        assert "does not fit together" in self.attempt(tmp_path, files)

    @pytest.mark.parametrize("value", ["soon", 7, [], "2026-13-01T00:00:00Z"])
    def test_a_value_that_cannot_be_read(self, files: Files, tmp_path: Path, value: Any) -> None:
        rows = self.rows(files, "fleet.airframe")
        rows[0]["added_at"] = value
        files["tables/fleet.airframe.json"] = json.dumps(rows).encode()
        assert "fleet.airframe, added_at: " in self.attempt(tmp_path, files)

    @pytest.mark.parametrize("content", [b"{", b"{}", b"[1]", b"\xff", b"[" * 100_000, b"[NaN]"])
    def test_a_table_that_is_none(self, files: Files, tmp_path: Path, content: bytes) -> None:
        files["tables/fleet.receiver.json"] = content
        assert "tables/fleet.receiver.json is no" in self.attempt(tmp_path, files)

    def test_of_a_newer_hingeline(self, files: Files, tmp_path: Path) -> None:
        assert "reads version 1" in self.attempt(tmp_path, files, version=2)
        rows = self.rows(files, "fleet.airframe")
        rows[0]["colour"] = "red"
        newer = {**files, "tables/fleet.airframe.json": json.dumps(rows).encode()}
        assert "fleet.airframe has no field colour here" in self.attempt(tmp_path, newer)
        assert "does not know tables/fleet.kite.json" in self.attempt(
            tmp_path, {**files, "tables/fleet.kite.json": b"[]"}
        )

    def test_another_kind_of_file(self, files: Files, tmp_path: Path) -> None:
        assert "is no Hingeline club: it says that it is 'Hingeline backup'" in self.attempt(
            tmp_path, files, kind="Hingeline backup"
        )

    @pytest.mark.parametrize("name", ["media/../../../outside", "media//etc/outside", "media/a\\..\\b"])
    def test_a_name_that_leads_elsewhere(self, files: Files, tmp_path: Path, name: str) -> None:
        files[name] = b"x"
        assert "leads elsewhere" in self.attempt(tmp_path, files)


def test_a_file_of_an_older_hingeline(small: Path, db: None, tmp_path: Path) -> None:
    """It has fewer tables and fewer fields: what was added since is as it is for whoever never used it."""
    with zipfile.ZipFile(small) as archive:
        files = {name: archive.read(name) for name in archive.namelist() if name != CONTENTS}
        told = json.loads(archive.read(CONTENTS))
    del files["tables/flights.balancecheck.json"]
    (row,) = json.loads(files["tables/fleet.airframe.json"])
    del row["mark_place"]
    files["tables/fleet.airframe.json"] = json.dumps([row]).encode()
    told["files"] = {
        name: {"size": len(content), "sha256": hashlib.sha256(content).hexdigest()} for name, content in files.items()
    }
    with zipfile.ZipFile(tmp_path / "older.zip", "w") as archive:
        for name, content in {**files, CONTENTS: json.dumps(told).encode()}.items():
            archive.writestr(name, content)
    import_club(tmp_path / "older.zip")
    assert Airframe.objects.get().mark_place == ""
