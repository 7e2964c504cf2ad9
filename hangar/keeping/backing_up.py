"""A backup: the database as it was at one moment and the photos, in one file. And back, into an empty site."""

import hashlib
import re
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.db import DatabaseError, connection
from django.db.migrations.loader import MigrationLoader
from django.utils import timezone

from hangar.fleet.models import Airframe
from hangar.setups.history import broken_links
from hangar.setups.models import Revision

from .archive import Reader, reading, writing
from .dumps import NAMES, dump, load, migrations_of
from .errors import KeepingError
from .media import add_media, media_of, put_media_back, stored_names, take_away
from .models import Backup
from .what import holds_anything

KIND = "Hingeline backup"
VERSION = 1
_OURS = re.compile(r"hangar-\d{8}T\d{6}Z\.zip\Z")


def name_for(now: datetime) -> str:
    return f"hangar-{now.astimezone(UTC):%Y%m%dT%H%M%SZ}.zip"


def back_up(path: Path) -> Backup:
    """Write a backup to a new file, or to a new one in a folder; members may go on writing meanwhile."""
    now = timezone.now()
    path = path / name_for(now) if path.is_dir() else path
    contents = {"kind": KIND, "version": VERSION, "made_at": now.isoformat(), "database": connection.vendor}
    with writing(path, contents) as writer:
        with tempfile.TemporaryDirectory(prefix=".hangar-backup-", dir=path.parent) as beside:
            copy = Path(beside) / NAMES[connection.vendor]
            dump(copy)
            with copy.open("rb") as file:
                writer.add_from(copy.name, file)
        # After the database: a photo that comes meanwhile is in it for nothing; one that the copy names is not missed.
        writer.contents["missing_files"] = add_media(writer, stored_names())
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    try:
        return Backup.objects.create(at=now, name=path.name, size=path.stat().st_size, digest=digest)
    except DatabaseError as error:
        raise KeepingError(
            f"{path} is whole, and only the note of it could not be kept ({error}): the secretary's page does not tell "
            "of it."
        ) from error


def thin_out(folder: Path, keep: int, *, made: str) -> list[str]:
    """Delete all but the newest `keep` backups that this command named; their names. Never the one just made: it is
    the newest, whatever a clock said that went wrong for a while."""
    others = (one for one in folder.iterdir() if _OURS.match(one.name) and one.name != made)
    old = sorted(others, reverse=True)[keep - 1 :]
    for one in old:
        one.unlink(missing_ok=True)
    return [one.name for one in old]


def made_at(path: Path) -> datetime:
    with reading(path, kind=KIND) as reader:
        try:
            return datetime.fromisoformat(reader.contents["made_at"])
        except (KeyError, TypeError, ValueError) as error:
            raise KeepingError(f"{path} does not say when it was made.") from error


def restore(path: Path) -> int:
    """Bring a backup back into this site, which must be empty; then bring its tables up to date. How many revisions.

    KeepingError, and nothing changed, where the site holds data, the backup is damaged or of another kind of database.
    """
    with reading(path, kind=KIND) as reader:
        _fits(path, reader.contents)
        if _is_in_use():
            raise KeepingError("This site holds data already: restore into an empty one (HANGAR_DATA, DATABASE_URL).")
        with tempfile.TemporaryDirectory(prefix="hangar-restore-") as beside:
            copy = Path(beside) / NAMES[connection.vendor]
            with copy.open("wb") as file:
                reader.copy(copy.name, file)
            _check_all(reader, but=copy.name)
            _refuse_newer(path, migrations_of(copy))
            # Before the database: files without rows are waste, and an empty site can be tried again.
            written = put_media_back(reader)
            try:
                load(copy)
            except BaseException:
                take_away(written)
                raise
    call_command("migrate", interactive=False, verbosity=0)
    return _checked()


def _fits(path: Path, contents: dict[str, Any]) -> None:
    if contents.get("version") != VERSION:
        raise KeepingError(f"{path} has version {contents.get('version')!r}; this Hingeline reads version {VERSION}.")
    if contents.get("database") != connection.vendor:
        raise KeepingError(
            f"{path} is a backup of {contents.get('database')}, and this site runs on {connection.vendor}. Restore it "
            "on the same kind of database; to change the kind, use export_club and import_club."
        )


def _is_in_use() -> bool:
    try:
        return holds_anything()
    except DatabaseError:
        # No tables yet: nothing in them.
        connection.close()
        return False


def _check_all(reader: Reader, *, but: str) -> None:
    """Read every file but the one that was read before anything is changed: no damage must be noticed half-way."""
    media_of(reader)
    for name in reader.files.keys() - {but}:
        reader.check(name)


def _refuse_newer(path: Path, made_by: set[tuple[str, str]]) -> None:
    """What a newer site has changed in its tables cannot be changed back here."""
    if newer := sorted(made_by - set(MigrationLoader(connection).disk_migrations)):
        told = ", ".join(f"{app} {name}" for app, name in newer)
        raise KeepingError(
            f"{path} was made by a newer Hingeline ({told}): bring the program up to date first. Nothing was changed."
        )


def _checked() -> int:
    for airframe in Airframe.objects.filter(revisions__isnull=False).distinct():
        if (wrong := next(broken_links(airframe), None)) is not None:
            raise KeepingError(f"The data was restored, and its history does not hold: {wrong}.")
    return Revision.objects.count()
