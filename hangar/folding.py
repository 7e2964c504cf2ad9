"""Searching without regard to case and accents, alike on every database.

What databases do with "Ö" in a search depends on which one it is and in which country it was set up. So each row that
is searched keeps its words in a plain form beside them, and what is looked for is put into the same form here.
"""

import contextlib
import unicodedata
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from django.apps.registry import Apps
from django.db import ProgrammingError, models, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

MOST_WORDS = 6
# The rest is left out: SQLite gives up on a pattern of 50,000 characters.
LONGEST_SEARCH = 200
# Letters that are written with a stroke or as two in one: Unicode takes none of them apart.
_APART = str.maketrans({
    "ø": "o", "ł": "l", "đ": "d", "ħ": "h", "ŧ": "t", "ı": "i", "æ": "ae", "œ": "oe", "þ": "th", "ð": "d", "ŋ": "n",
})  # fmt: skip


def folded(text: str) -> str:
    """Small letters without accents, one space between words.

    >>> folded("Süd-WIND  Ålesund")
    'sud-wind alesund'
    """
    apart = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(_plain(letter) for letter in apart)
    return " ".join(bare.casefold().translate(_APART).split())


def _plain(letter: str) -> str:
    """Without an accent; what is no letter that anyone could see parts words."""
    if unicodedata.combining(letter):
        return ""
    return " " if unicodedata.category(letter)[0] == "C" else letter


def search_words(text: str) -> list[str]:
    """The words of a search, each to be found somewhere in a row."""
    return folded(text[:LONGEST_SEARCH]).split()[:MOST_WORDS]


if TYPE_CHECKING:
    _Text = models.TextField[str, str]
else:
    _Text = models.TextField


class FoldedField(_Text):
    """What a row is found by: the fields `of` which it is made, folded, worked out whenever the row is written."""

    def __init__(self, *args: Any, of: tuple[str, ...] = (), **options: Any) -> None:
        self.of = tuple(of)
        super().__init__(*args, **{"editable": False, "default": "", "blank": True, **options})

    def deconstruct(self) -> Any:
        """For migrations."""
        name, path, args, options = super().deconstruct()
        return name, path, args, {**options, "of": self.of}

    def pre_save(self, model_instance: models.Model, add: bool) -> str:
        """Also where many rows are written at once."""
        found = folded(" ".join(str(getattr(model_instance, name)) for name in self.of))
        setattr(model_instance, self.attname, found)
        return found


class Searched(models.Model):
    """A model with a FoldedField called `searched`, which no save of a few fields forgets."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **options: Any) -> None:
        """As Django does it, with what follows from what is saved."""
        if options.get("update_fields") is not None:
            options["update_fields"] = {*options["update_fields"], "searched"}
        super().save(*args, **options)


def fill(app: str, name: str) -> Callable[[Apps, BaseDatabaseSchemaEditor], None]:
    """For a migration: work it out for every row that is there, and index it."""

    def filled(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
        model: Any = apps.get_model(app, name)
        field = model._meta.get_field("searched")
        rows = list(model._base_manager.only("pk", *field.of))
        for row in rows:
            field.pre_save(row, add=False)
        model._base_manager.bulk_update(rows, ["searched"], batch_size=500)
        index(schema_editor.connection, model._meta.db_table)

    return filled


def index(connection: BaseDatabaseWrapper, table: str) -> None:
    """On PostgreSQL by groups of three letters, so that a part of a word is found without reading every row.

    SQLite reads the rows: for ten thousand that takes two milliseconds, and its own index of three letters would be a
    table beside each one, to be kept up with it by triggers.
    """
    if connection.vendor != "postgresql":
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM pg_available_extensions WHERE name = 'pg_trgm'")
        if cursor.fetchone() is None:
            return
        # Whoever may not add it has a search that reads every row, too.
        with contextlib.suppress(ProgrammingError), transaction.atomic(using=connection.alias):
            cursor.execute("CREATE EXTENSION IF NOT EXISTS pg_trgm")
            cursor.execute(f"CREATE INDEX {table}_searched ON {table} USING gin (searched gin_trgm_ops)")
