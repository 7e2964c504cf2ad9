"""A row of a table as plain JSON, and back: the same on every database."""

import json
from collections.abc import Iterable
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from django.db import models
from django.db.models.fields.files import FieldFile

from .errors import KeepingError
from .values import checked, value_of
from .what import FIELDS_LEFT_OUT, exported_fields

Row = dict[str, Any]
# A spreadsheet would take a text that begins like this for a formula, and run it.
_LIKE_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def as_row(obj: models.Model) -> Row:
    return {field.name: _plain(field, field.value_from_object(obj)) for field in exported_fields(type(obj))}


def as_object(model: type[models.Model], row: Row, **apart: str) -> models.Model:
    """The row as an object that is not saved yet. KeepingError for a field that is unknown or missing, and for a value
    that no form would take. `apart`: what came beside the row."""
    label, fields = model._meta.label_lower, {field.name: field for field in exported_fields(model)}
    if unknown := sorted(row.keys() - fields.keys()):
        raise KeepingError(
            f"{label} has no field {ascii(', '.join(unknown)[:200])[1:-1]} here: this file was made by a newer "
            "Hingeline. Bring this one up to date first."
        )
    values = dict(FIELDS_LEFT_OUT.get(label, {}))
    for name, field in fields.items():
        if name in row:
            values[field.attname] = value_of(field, row[name])
        elif not (field.has_default() or field.null or field.blank):
            raise KeepingError(f"A row of {label} has no {name}.")
    return checked(model(**values, **apart))


def as_json(rows: Iterable[Row]) -> bytes:
    """A JSON array, a row a line, the keys in the order of the alphabet."""
    lines = (json.dumps(row, ensure_ascii=False, allow_nan=False, sort_keys=True) for row in rows)
    return ("[\n" + ",\n".join(lines) + "\n]\n").encode("utf-8", "surrogatepass")


def as_cell(value: Any) -> str:
    """A value as a spreadsheet may show it."""
    if value is None:
        return ""
    if isinstance(value, str):
        return f"'{value}" if value.startswith(_LIKE_A_FORMULA) else value
    return json.dumps(value, ensure_ascii=False, sort_keys=True)


def _plain(field: "models.Field[Any, Any]", value: Any) -> Any:
    if value is None or isinstance(field, models.JSONField) or isinstance(value, bool | int | float):
        return value
    if isinstance(value, FieldFile):
        return value.name or ""
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, str | Decimal):
        return str(value)
    raise TypeError(f"{field} holds {type(value).__name__}: say in rows.py how it is written, and how it is read")
