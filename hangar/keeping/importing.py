"""A club that was exported moves in: everything or nothing, into a site where nobody has written anything yet."""

import re
from dataclasses import dataclass
from pathlib import Path

from django.apps import apps
from django.core.management.color import no_style
from django.db import DatabaseError, connection, models, transaction

from hangar.fleet.models import Airframe, Photo
from hangar.flights.glances import add_missing
from hangar.setups import steps
from hangar.setups.history import broken_links
from hangar.setups.models import Draft
from hangar.sheets.models import Print
from mixing.reading import LARGEST_TEXT

from .archive import Reader, reading
from .errors import KeepingError
from .exporting import KIND, VERSION, heads
from .media import FOLDER, media_of, put_media_back, take_away
from .odd import strict_json
from .rows import Row, as_object
from .what import TEXTS_APART, exported_models, holds_anything

_BATCH = 500
_TOKEN = re.compile(r"[\w-]+\Z", re.ASCII)


@dataclass(frozen=True)
class Imported:
    rows: int
    chains: int


def import_club(path: Path) -> Imported:
    """Read the file of `export_club`. KeepingError, and nothing written, where something in it does not hold."""
    with reading(path, kind=KIND) as reader:
        if reader.contents.get("version") != VERSION:
            raise KeepingError(
                f"{path} has version {reader.contents.get('version')!r}; this Hingeline reads version {VERSION}. "
                "Bring it up to date first."
            )
        _unknown_tables(reader)
        written: list[str] = []
        try:
            with transaction.atomic():
                # Looked at here, where nobody can write in between.
                if holds_anything():
                    raise KeepingError("This site holds data already: import into an empty one.")
                rows = sum(_fill(reader, model) for model in exported_models())
                connection.check_constraints()
                chains = _checked(reader)
                _continue_numbering()
                add_missing()
                written = _put_photos_back(reader)
        except BaseException as error:
            take_away(written)
            if isinstance(error, DatabaseError):
                # PostgreSQL tells the rest on lines of its own, with what is in the row.
                raise KeepingError(f"{path} does not fit together: {str(error).splitlines()[0]}.") from error
            raise
    return Imported(rows, chains)


def _fill(reader: Reader, model: type[models.Model]) -> int:
    name = f"tables/{model._meta.label_lower}.json"
    if name not in reader.files:
        # An older site had no such table.
        return 0
    text = TEXTS_APART.get(model._meta.label_lower)
    objects = []
    for row in _rows(name, reader.read(name)):
        apart = {text: _text(f"documents/{row.get(model._meta.pk.name)}.json", reader)} if text else {}
        objects.append(as_object(model, row, **apart))
    # Past the managers that write one row at a time with its checks: the chains are checked as a whole afterwards.
    model._base_manager.bulk_create(objects, batch_size=_BATCH)
    return len(objects)


def _rows(name: str, content: bytes) -> list[Row]:
    rows = strict_json(name, content)
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise KeepingError(f"{name} is no array of rows.")
    return rows


def _text(name: str, reader: Reader) -> str:
    try:
        text = reader.read(name, LARGEST_TEXT).decode()
    except UnicodeDecodeError as error:
        raise KeepingError(f"{name} is no UTF-8.") from error
    if "\x00" in text:
        raise KeepingError(f"{name} is no JSON.")
    return text


def _unknown_tables(reader: Reader) -> None:
    # Of an older Hingeline, also those that are worked out here.
    known = {f"tables/{model._meta.label_lower}.json" for model in apps.get_models(include_auto_created=True)}
    unknown = [name for name in reader.files if name.startswith("tables/") and name.endswith(".json")]
    if foreign := sorted(set(unknown) - known):
        raise KeepingError(f"This Hingeline does not know {', '.join(foreign)}: bring it up to date first.")


def _checked(reader: Reader) -> int:
    """How many chains there are; every one holds, and so does what no field can tell by itself."""
    chains = Airframe.objects.filter(revisions__isnull=False).distinct()
    for airframe in chains:
        if (wrong := next(broken_links(airframe), None)) is not None:
            raise KeepingError(f"Its history does not hold: {wrong}.")
    if heads() != reader.contents.get("heads"):
        raise KeepingError("Its history does not hold: the newest seals are not those that it names.")
    for draft in Draft.objects.select_related("base__document"):
        if (number := steps.unreadable(draft)) is not None:
            raise KeepingError(f"A draft does not hold: nobody can read its edit {number}.")
    for copy in Print.objects.only("token"):
        if not _TOKEN.match(copy.token):
            raise KeepingError(f"A print has the code {copy.token!r}, which cannot stand in an address.")
    return chains.count()


def _put_photos_back(reader: Reader) -> list[str]:
    """The names of those that were stored: each is a picture as this site makes them, and no other file came along."""
    from hangar.fleet.photo_reading import is_ours  # what reads pictures is loaded where there may be some

    def look(name: str, content: bytes | None) -> None:
        if not is_ours(photos[name], content):
            raise KeepingError(f"{FOLDER}/{name} is no photo as this site makes them.")

    photos = {str(photo.image.name): photo for photo in Photo.objects.all()}
    names = set(media_of(reader))
    if foreign := names - photos.keys():
        raise KeepingError(f"No row points to {FOLDER}/{min(foreign)}: that file does not belong to this club.")
    for name in photos.keys() - names:
        look(name, None)
    return put_media_back(reader, look)


def _continue_numbering() -> None:
    """The next row of each table gets a number of its own: PostgreSQL does not look at those that were given."""
    statements = connection.ops.sequence_reset_sql(no_style(), exported_models())
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
