"""A backup is whole although members write meanwhile, and comes back into an empty site of the same kind."""

import io
import itertools
import json
import threading
import time
import zipfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import FileSystemStorage, default_storage
from django.core.management import CommandError, call_command
from django.db import OperationalError, connection
from django.db.migrations.recorder import MigrationRecorder
from PIL import Image

from hangar.fleet.models import Airframe
from hangar.fleet.photo_operations import set_photo
from hangar.keeping import backing_up, dumps
from hangar.keeping.archive import CONTENTS, reading
from hangar.keeping.backing_up import back_up, made_at, name_for, restore
from hangar.keeping.errors import KeepingError
from hangar.keeping.media import put_media_back
from hangar.keeping.models import Backup
from hangar.setups.models import Revision
from hangar.setups.operations import record
from tests.factories import make_setup
from tests.hangar.places import place_of_this_kind
from tests.patience import PATIENCE_S


def write_until(stop: threading.Event, first: Revision) -> None:
    head = first
    try:
        for number in itertools.count():
            if stop.wait(0.001):
                break
            setup = make_setup(remarks=f"change {number}")
            head = record(user=first.author, airframe=first.airframe, setup=setup, base=head, reason="r").revision
    finally:
        connection.close()


def until_there_are(count: int) -> int:
    """Wait for so many revisions; how many there are then."""
    ends = time.monotonic() + PATIENCE_S
    while (there := Revision.objects.count()) < count:
        assert time.monotonic() < ends, f"{there} revisions, and no more come"
        time.sleep(0.01)
    return there


@pytest.mark.django_db(transaction=True)
def test_it_is_made_while_members_write_and_comes_back_whole(first: Revision, tmp_path: Path) -> None:
    picture = io.BytesIO()
    Image.new("RGB", (30, 20)).save(picture, "PNG")
    photo = set_photo(user=first.author, airframe=first.airframe, file=picture, size=picture.tell(), alt="Dark")
    stop = threading.Event()
    writer = threading.Thread(target=write_until, args=(stop, first))
    writer.start()
    try:
        least = until_there_are(4)
        back_up(tmp_path / "now.zip")
        most = Revision.objects.count()
        until_there_are(most + 1)
    finally:
        stop.set()
        writer.join(PATIENCE_S)
    after = Revision.objects.count()
    with place_of_this_kind(tmp_path / "there") as place:
        said = place.run("restore", str(tmp_path / "now.zip"))
        revisions = int(said.removeprefix("Restored: ").split()[0])
        assert least <= revisions <= most < after
        heads = place.run("verify_history", "--heads")
        assert Revision.objects.get(number=revisions).seal in heads
        assert (tmp_path / "there" / "media" / str(photo.image.name)).exists()
        refusal = place.run("restore", str(tmp_path / "now.zip"), fails=True)
        assert "This site holds data already" in refusal
    assert Revision.objects.count() == after


@pytest.mark.django_db(transaction=True)
def test_what_the_command_says(first: Revision, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("backup", str(tmp_path / "one.zip"))
    kept = Backup.objects.get()
    path = tmp_path / "one.zip"
    assert capsys.readouterr().out == f"one.zip: {kept.size / 1e6:.2f} MB, SHA-256 {kept.digest}\n"
    assert kept.size == path.stat().st_size
    assert made_at(path) == kept.at
    assert path.stat().st_mode & 0o777 == 0o600
    with pytest.raises(CommandError, match="is there already"):
        call_command("backup", str(path))
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        assert set(archive.namelist()) == {CONTENTS, dumps.NAMES[connection.vendor]}


@pytest.mark.django_db(transaction=True)
def test_in_a_folder_only_the_newest_stay(first: Revision, tmp_path: Path) -> None:
    for day in (1, 2, 3):
        (tmp_path / name_for(datetime(2026, 5, day, tzinfo=UTC))).write_bytes(b"")
    (tmp_path / "hangar-notes.zip").write_bytes(b"somebody else's")
    call_command("backup", str(tmp_path), "--keep", "2")
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names == ["hangar-20260503T000000Z.zip", Backup.objects.get().name, "hangar-notes.zip"]
    # Made while the clock was wrong.
    for year in (2098, 2099):
        (tmp_path / name_for(datetime(year, 1, 1, tzinfo=UTC))).write_bytes(b"")
    (tmp_path / Backup.objects.get().name).unlink()
    call_command("backup", str(tmp_path), "--keep", "2")
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names == [Backup.objects.all()[0].name, "hangar-20990101T000000Z.zip", "hangar-notes.zip"]
    for wrong in ([str(tmp_path), "--keep", "0"], [str(tmp_path / "x.zip"), "--keep", "3"]):
        with pytest.raises(CommandError, match="--keep N goes with a folder"):
            call_command("backup", *wrong)


def test_a_backup_that_fails_leaves_nothing_behind(
    first: Revision, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_room(target: Path) -> None:
        target.write_bytes(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backing_up, "dump", no_room)
    with pytest.raises(KeepingError, match="No space left on device"):
        back_up(tmp_path / "one.zip")
    assert list(tmp_path.iterdir()) == []
    assert not Backup.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_a_missing_photo_is_named_and_does_not_stop_it(first: Revision, tmp_path: Path) -> None:
    picture = io.BytesIO()
    Image.new("RGB", (30, 20)).save(picture, "PNG")
    photo = set_photo(user=first.author, airframe=first.airframe, file=picture, size=picture.tell(), alt="Dark")
    default_storage.delete(str(photo.image.name))
    back_up(tmp_path / "one.zip")
    with zipfile.ZipFile(tmp_path / "one.zip") as archive:
        assert json.loads(archive.read(CONTENTS))["missing_files"] == [photo.image.name]


def changed(path: Path, **said: object) -> Path:
    """The backup with other words about itself."""
    target = path.with_name("changed.zip")
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(target, "w") as archive:
        for name in source.namelist():
            content = source.read(name)
            archive.writestr(name, json.dumps({**json.loads(content), **said}) if name == CONTENTS else content)
    return target


@pytest.mark.django_db(transaction=True)
def test_what_cannot_be_restored(airframe: Airframe, tmp_path: Path) -> None:
    back_up(tmp_path / "one.zip")
    with pytest.raises(KeepingError, match="holds data already"):
        restore(tmp_path / "one.zip")
    with pytest.raises(KeepingError, match="to change the kind, use export_club"):
        restore(changed(tmp_path / "one.zip", database="other"))
    with pytest.raises(KeepingError, match="has version 9; this Hingeline reads version 1"):
        restore(changed(tmp_path / "one.zip", version=9))
    with pytest.raises(KeepingError, match="is no Hingeline backup"):
        restore(changed(tmp_path / "one.zip", kind="Hingeline club"))
    with pytest.raises(KeepingError, match="does not say when it was made"):
        made_at(changed(tmp_path / "one.zip", made_at="today"))


@pytest.mark.django_db(transaction=True)
def test_a_damaged_one_changes_nothing(first: Revision, tmp_path: Path) -> None:
    back_up(tmp_path / "one.zip")
    with zipfile.ZipFile(tmp_path / "one.zip") as archive:
        largest = max(archive.infolist(), key=lambda one: one.compress_size)
    content = bytearray((tmp_path / "one.zip").read_bytes())
    # In the middle of what is packed, not in a name or a date beside it. One bit would not always do: packed
    # otherwise, the same content may come out of it.
    middle = largest.header_offset + 100 + largest.compress_size // 2
    content[middle : middle + 64] = bytes(byte ^ 0xFF for byte in content[middle : middle + 64])
    (tmp_path / "one.zip").write_bytes(content)
    with place_of_this_kind(tmp_path / "there") as place:
        refusal = place.run("restore", str(tmp_path / "one.zip"), fails=True)
        assert "damaged" in refusal


@pytest.mark.django_db(transaction=True)
def test_one_of_a_newer_hingeline_is_refused_before_anything_is_written(first: Revision, tmp_path: Path) -> None:
    MigrationRecorder(connection).record_applied("setups", "0999_colours")
    try:
        back_up(tmp_path / "newer.zip")
    finally:
        MigrationRecorder(connection).record_unapplied("setups", "0999_colours")
    back_up(tmp_path / "ours.zip")
    with place_of_this_kind(tmp_path / "there") as place:
        refusal = place.run("restore", str(tmp_path / "newer.zip"), fails=True)
        assert "made by a newer Hingeline (setups 0999_colours): bring the program up to date first" in refusal
        assert place.run("restore", str(tmp_path / "ours.zip")).startswith("Restored: 1 revisions")


def test_a_dump_that_is_none_of_ours() -> None:
    with pytest.raises(KeepingError, match="none of Hingeline's"):
        list(dumps._copied("SET row_security = off;\n"))
    script = "COPY public.django_migrations (id, app, name, applied) FROM stdin;\n1\tfleet\t0001_initial\tx\n\\.\n\n"
    assert list(dumps._copied(script)) == [("fleet", "0001_initial")]


def test_a_place_where_nothing_can_be_written(db: None, tmp_path: Path) -> None:
    """Told in words by SQLite's own connection, too, which knows nothing of Django's errors."""
    told = {"sqlite": r"It could not be copied: .+\. Nothing was changed\.", "postgresql": "pg_dump failed: "}
    with pytest.raises(KeepingError, match=told[connection.vendor]):
        dumps.dump(tmp_path / "no" / "such" / "folder")


@pytest.mark.django_db(transaction=True)
def test_a_photo_of_which_half_is_there(first: Revision, tmp_path: Path) -> None:
    """Left by a restore that was cut off; or by another site, which may need it."""
    picture = io.BytesIO()
    Image.new("RGB", (30, 20)).save(picture, "PNG")
    photo = set_photo(user=first.author, airframe=first.airframe, file=picture, size=picture.tell(), alt="Dark")
    back_up(tmp_path / "one.zip")
    half = tmp_path / "there" / "media" / str(photo.image.name)
    half.parent.mkdir(parents=True)
    half.write_bytes(b"half")
    with place_of_this_kind(tmp_path / "there") as place:
        refusal = place.run("restore", str(tmp_path / "one.zip"), fails=True)
        assert f"in the place of media/{photo.image.name} already" in refusal
        assert half.read_bytes() == b"half"
        half.unlink()
        place.run("restore", str(tmp_path / "one.zip"))
    assert half.stat().st_size > 4


@pytest.mark.django_db(transaction=True)
def test_half_of_a_photo_does_not_stay(
    first: Revision, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    picture = io.BytesIO()
    Image.new("RGB", (30, 20)).save(picture, "PNG")
    set_photo(user=first.author, airframe=first.airframe, file=picture, size=picture.tell(), alt="Dark")
    back_up(tmp_path / "one.zip")
    settings.MEDIA_ROOT = tmp_path / "media"

    def half(self: FileSystemStorage, name: str, content: object) -> str:
        Path(self.path(name)).parent.mkdir(parents=True)
        Path(self.path(name)).write_bytes(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(FileSystemStorage, "_save", half)
    with (
        pytest.raises(KeepingError, match="No space left on device"),
        reading(tmp_path / "one.zip", kind=backing_up.KIND) as reader,
    ):
        put_media_back(reader)
    assert [path for path in (tmp_path / "media").rglob("*") if path.is_file()] == []


@pytest.mark.django_db(transaction=True)
def test_one_that_is_whole_but_could_not_be_noted(
    first: Revision, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(**fields: object) -> None:
        raise OperationalError("database or disk is full")

    monkeypatch.setattr(Backup.objects, "create", full)
    with pytest.raises(CommandError, match=r"one\.zip is whole, and only the note of it could not be kept"):
        call_command("backup", str(tmp_path / "one.zip"))
    assert made_at(tmp_path / "one.zip").tzinfo is not None


def test_without_the_programs_of_postgresql(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    with pytest.raises(KeepingError, match="apt-get install postgresql-client"):
        dumps._call("pg_dump", [])
