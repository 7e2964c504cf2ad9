"""Values of a file from elsewhere: each is of the kind that its field has, and one that a form would take."""

from decimal import DecimalException
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from .errors import KeepingError
from .odd import refuse_odd_name

_DEEPEST = 20
_KINDS: tuple[tuple[type[models.Field[Any, Any]], tuple[type, ...]], ...] = (
    (models.BooleanField, (bool,)),
    (models.IntegerField, (int,)),
    (models.FloatField, (int, float)),
)
"""What JSON has for a field; for any other a text, from which the field makes what it holds."""


def value_of(field: "models.Field[Any, Any]", value: Any) -> Any:
    """What a field holds, from JSON. KeepingError for what it cannot be."""
    if isinstance(field, models.JSONField):
        _check_json(field, value, _DEEPEST)
        return value
    if value is None:
        if not field.null:
            raise _refusal(field, value, "it is missing")
        return None
    plain: Any = field.target_field if isinstance(field, models.ForeignKey) else field
    kinds = next((kinds for kind, kinds in _KINDS if isinstance(plain, kind)), (str,))
    if not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds):
        raise _refusal(field, value, "it is of another kind")
    if isinstance(value, str):
        _check_text(field, value)
    try:
        found = plain.to_python(value)
        plain.run_validators(found)
    except (ValidationError, TypeError, ValueError, OverflowError, DecimalException) as error:
        raise _refusal(field, value, _said(error)) from error
    return found


def checked(row: models.Model) -> models.Model:
    """The row, each field of which a form would take. KeepingError otherwise."""
    fields = {one.name: one for one in row._meta.concrete_fields}
    # A relation is looked up where all rows are there; nothing is what a table allows, or what there is at first.
    passed = {
        name for name, one in fields.items()
        if one.is_relation
        or (value := getattr(row, one.attname)) is None
        or (one.has_default() and value == one.get_default())
    }  # fmt: skip
    try:
        row.clean_fields(exclude=passed)
        row.clean()
    except ValidationError as error:
        name, told = next(iter(error.message_dict.items()))
        raise _refusal(fields.get(name, row._meta.pk), getattr(row, name, row.pk), " ".join(told)) from error
    return row


def _check_json(field: "models.Field[Any, Any]", value: Any, depth: int) -> None:
    if depth == 0:
        raise _refusal(field, "…", "it is too deep")
    if isinstance(value, str):
        _check_text(field, value)
    elif isinstance(value, dict):
        for name, one in value.items():
            _check_text(field, name)
            _check_json(field, one, depth - 1)
    elif isinstance(value, list):
        for one in value:
            _check_json(field, one, depth - 1)


def _check_text(field: "models.Field[Any, Any]", text: str) -> None:
    try:
        text.encode()
    except UnicodeEncodeError as error:
        raise _refusal(field, text, "it has half a character in it") from error
    if "\x00" in text:
        raise _refusal(field, text, "it has a NUL in it")
    if isinstance(field, models.FileField):
        refuse_odd_name(text, Path(field.name))


def _said(error: Exception) -> str:
    return " ".join(error.messages) if isinstance(error, ValidationError) else "it cannot be read"


def _refusal(field: "models.Field[Any, Any]", value: Any, why: str) -> KeepingError:
    shown = ascii(value)
    shown = shown if len(shown) <= 60 else f"{shown[:60]}…"
    return KeepingError(f"{field.model._meta.label_lower}, {field.name}: {shown} cannot be taken: {why.rstrip('.')}.")
