"""The whole club as one open file: JSON and CSV that any program can read, and its photos."""

import csv
import io
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import connection, models, transaction
from django.utils import timezone

from hangar.setups.models import Revision

from .archive import Writer, writing
from .media import add_media, stored_names
from .rows import Row, as_cell, as_json, as_row
from .what import LEFT_OUT, TEXTS_APART, exported_fields, exported_models

KIND = "Hingeline club"
VERSION = 1
README = """\
This is everything that a club has written in Hingeline.

contents.json      what is in this file: every file with its size and its SHA-256 digest; the newest seal of every
                   model
tables/NAME.json   one table: an array of rows, one a line. Times are UTC. A field such as "owner" holds the key of a
                   row of another table. `manage.py import_club` reads these.
tables/NAME.csv    the same table for a spreadsheet. A text that would be taken for a formula has an apostrophe before
                   it.
documents/         the setup documents, each under its SHA-256 digest, byte for byte as they were recorded
media/             the photos

Not in it: passwords, open invitations, who is signed in, failed sign-ins, what was backed up when; and what follows
from the rest: the rows of the line-up.
It holds names, and perhaps operator numbers and mail addresses, of members: keep it as you would keep those.
"""


@dataclass(frozen=True)
class Exported:
    tables: int
    rows: int
    documents: int
    files: int
    missing: tuple[str, ...]


def export_club(path: Path) -> Exported:
    """Write the club to a new file. All of it is as it was at one moment, while members go on writing."""
    with writing(path, {"kind": KIND, "version": VERSION, "made_at": timezone.now().isoformat()}) as writer:
        writer.add("README.txt", README.encode())
        with _one_moment():
            rows = sum(_add_table(writer, model) for model in exported_models())
            documents = _add_documents(writer)
            writer.contents["heads"] = heads()
            names = stored_names()
        missing = add_media(writer, names)
        writer.contents |= {"left_out": LEFT_OUT, "missing_files": missing}
    return Exported(len(exported_models()), rows, documents, len(names) - len(missing), tuple(missing))


@contextmanager
def _one_moment() -> Iterator[None]:
    """A transaction that sees one moment to its end, and keeps nobody from writing.

    (Within another transaction it is too late to ask for that.)
    """
    database: Any = connection
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "postgresql":
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield
    else:
        # One that only reads need not lock the file for its whole time, as every other transaction of the site does.
        connection.ensure_connection()
        usual, database.transaction_mode = database.transaction_mode, "DEFERRED"
        try:
            with transaction.atomic():
                yield
        finally:
            database.transaction_mode = usual


def _add_table(writer: Writer, model: type[models.Model]) -> int:
    apart = TEXTS_APART.get(model._meta.label_lower)
    query = model._base_manager.order_by("pk")
    # Sorted here as well: databases differ in the order of texts, and a file should not.
    rows = [as_row(one) for one in (query.defer(apart) if apart else query).iterator()]
    rows.sort(key=lambda row: row[model._meta.pk.name])
    name = f"tables/{model._meta.label_lower}"
    writer.add(f"{name}.json", as_json(rows))
    writer.add(f"{name}.csv", _as_csv([field.name for field in exported_fields(model)], rows))
    return len(rows)


def _as_csv(names: list[str], rows: Iterable[Row]) -> bytes:
    text = io.StringIO()
    table = csv.writer(text)
    table.writerow(names)
    table.writerows([as_cell(row[name]) for name in names] for row in rows)
    return text.getvalue().encode("utf-8", "replace")


def _add_documents(writer: Writer) -> int:
    count = 0
    for model in exported_models():
        text = TEXTS_APART.get(model._meta.label_lower)
        if text is None:
            continue
        for key, content in model._base_manager.order_by("pk").values_list("pk", text).iterator():
            writer.add(f"documents/{key}.json", content.encode())
            count += 1
    return count


def heads() -> dict[str, str]:
    """The newest seal of every model: kept elsewhere, they show later that no end of a chain was cut off."""
    # In a dictionary the last one of each stays.
    return dict(Revision.objects.order_by("airframe__slug", "number").values_list("airframe__slug", "seal"))
