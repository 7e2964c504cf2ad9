"""What every part of a setup document shares: frozen, strict, nothing unknown, nothing infinite."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Self

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from .errors import PartError
from .language import say


class Part(BaseModel):
    """A frozen piece of a setup document; a change makes a new one."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)

    def __eq__(self, other: object) -> bool:
        # By the fields alone: what was computed and kept beside them (arrays) is no part of the value.
        if type(self) is not type(other):
            return NotImplemented
        return all(getattr(self, name) == getattr(other, name) for name in type(self).model_fields)

    def __hash__(self) -> int:
        return hash((type(self), *(getattr(self, name) for name in type(self).model_fields)))

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """A copy with some fields replaced, not validated; what was computed from the old fields stays behind."""
        copied = super().model_copy(update=update, deep=deep)
        for name in copied.__dict__.keys() - type(self).model_fields.keys():
            del copied.__dict__[name]
        return copied


def _as_tuple(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value


# All but the tab and the line feed.
_CONTROL_CHARACTER = re.compile("[\x00-\x08\x0b-\x1f\x7f]")


def _printable(text: str) -> str:
    if _CONTROL_CHARACTER.search(text):
        raise PartError(say("holds a control character; give plain text"))
    return text


def _one_line(text: str) -> str:
    if "\n" in text or "\t" in text:
        raise PartError(say("holds a line break or a tab; give one line"))
    if not text.strip():
        raise PartError(say("is empty; give a word or two"))
    return _printable(text)


type_tuple = BeforeValidator(_as_tuple)
"""Lets a list stand where a tuple is kept, so that Python code and JSON read alike."""

Key = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,39}$")]
Label = Annotated[str, Field(max_length=80), AfterValidator(_one_line)]
Note = Annotated[str, Field(max_length=200), AfterValidator(_printable)]
Remarks = Annotated[str, Field(max_length=8000), AfterValidator(_printable)]
Position = Annotated[float, Field(ge=-100, le=100)]
Travel = Annotated[float, Field(ge=-400, le=400)]
Factor = Annotated[float, Field(ge=0, le=100)]
Pulse = Annotated[float, Field(ge=300, le=3000)]


class Stance(Mapping[int, float]):
    """Travel added to channels in a phase: an immutable mapping of channel number to travel %."""

    __slots__ = ("_travel",)

    def __init__(self, travel: Mapping[int, float] | None = None) -> None:
        self._travel = dict(sorted((travel or {}).items()))

    def __getitem__(self, number: int) -> float:
        return self._travel[number]

    def __iter__(self) -> Iterator[int]:
        return iter(self._travel)

    def __len__(self) -> int:
        return len(self._travel)

    def __hash__(self) -> int:
        return hash(tuple(self._travel.items()))

    def __repr__(self) -> str:
        return f"Stance({self._travel})"

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        inner = handler.generate_schema(dict[Annotated[int, Field(ge=1, le=64)], Travel])
        return core_schema.no_info_before_validator_function(
            cls._with_numbers,
            core_schema.no_info_after_validator_function(cls, inner),
            serialization=core_schema.plain_serializer_function_ser_schema(
                lambda stance: {str(number): travel for number, travel in stance.items()}
            ),
        )

    @staticmethod
    def _with_numbers(given: Any) -> Any:
        if not isinstance(given, Mapping):
            return given
        for key in given:
            if isinstance(key, str) and not (key.isascii() and key.isdigit() and not key.startswith("0")):
                raise PartError(
                    say(
                        'has the channel key "{key}"; give a channel number such as "1", without zeros in front',
                        key=key,
                    )
                )
        return {int(key) if isinstance(key, str) else key: travel for key, travel in given.items()}
