"""A club that was exported moves in: everything or nothing, into a site where nobody has written anything yet."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.core.management.color import no_style
from django.db import DatabaseError, connection, models, transaction

from hangar.fleet.models import Airframe
from hangar.setups.history import broken_links

from .archive import Reader, reading
from .errors import KeepingError
from .exporting import KIND, VERSION, heads
from .media import put_media_back, take_away
from .rows import Row, as_object
from .what import TEXTS_APART, exported_models, holds_anything

_BATCH = 500


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
        written = put_media_back(reader) if not holds_anything() else []
        try:
            with transaction.atomic():
                # Again, now that nobody can write in between.
                if holds_anything():
                    raise KeepingError("This site holds data already: import into an empty one.")
                rows = sum(_fill(reader, model) for model in exported_models())
                _unknown_tables(reader)
                connection.check_constraints()
                chains = _checked_chains(reader)
                _continue_numbering()
        except DatabaseError as error:
            take_away(written)
            raise KeepingError(f"{path} does not fit together: {error}.") from error
        except BaseException:
            take_away(written)
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
        one = as_object(model, row)
        if text:
            setattr(one, text, _decoded(f"documents/{one.pk}.json", reader.read(f"documents/{one.pk}.json")))
        objects.append(one)
    # Past the managers that write one row at a time with its checks: the chains are checked as a whole afterwards.
    model._base_manager.bulk_create(objects, batch_size=_BATCH)
    return len(objects)


def _rows(name: str, content: bytes) -> list[Row]:
    try:
        rows: Any = json.loads(_decoded(name, content))
    except (ValueError, RecursionError) as error:
        raise KeepingError(f"{name} is no JSON: {error}.") from error
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise KeepingError(f"{name} is no array of rows.")
    return rows


def _decoded(name: str, content: bytes) -> str:
    try:
        return content.decode()
    except UnicodeDecodeError as error:
        raise KeepingError(f"{name} is no UTF-8.") from error


def _unknown_tables(reader: Reader) -> None:
    known = {f"tables/{model._meta.label_lower}.json" for model in exported_models()}
    unknown = [name for name in reader.files if name.startswith("tables/") and name.endswith(".json")]
    if foreign := sorted(set(unknown) - known):
        raise KeepingError(f"This Hingeline does not know {', '.join(foreign)}: bring it up to date first.")


def _checked_chains(reader: Reader) -> int:
    chains = Airframe.objects.filter(revisions__isnull=False).distinct()
    for airframe in chains:
        if (wrong := next(broken_links(airframe), None)) is not None:
            raise KeepingError(f"Its history does not hold: {wrong}.")
    if heads() != reader.contents.get("heads"):
        raise KeepingError("Its history does not hold: the newest seals are not those that it names.")
    return chains.count()


def _continue_numbering() -> None:
    """The next row of each table gets a number of its own: PostgreSQL does not look at those that were given."""
    statements = connection.ops.sequence_reset_sql(no_style(), exported_models())
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
