"""Texts that are kept in the database: a code with its figures and names, put into words when someone reads it."""

from collections.abc import Iterable
from typing import Any, NamedTuple


class Kept(NamedTuple):
    """What is to be told, in no language: `values` are figures, codes and what people typed."""

    code: str
    values: dict[str, Any]


def kept(code: str, **values: Any) -> Kept:
    return Kept(code, values)


def as_json(told: Iterable[Kept]) -> list[list[Any]]:
    """As a JSON field gives it back."""
    return [[code, values] for code, values in told]
