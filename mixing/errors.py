"""What can go wrong in the computation. Every error says what was given and what to give instead."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple


class Problem(NamedTuple):
    """One fault of a document: where it is, and what was expected there."""

    path: str
    text: str

    def __str__(self) -> str:
        return f"{self.path}: {self.text}" if self.path else self.text


class SetupError(ValueError):
    """A setup document that cannot be used; `problems` lists every fault with its path."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class ThrowError(ValueError):
    """A throw or chord that no surface can have."""


class ResponseError(ValueError):
    """Stations that make no response, or a question that this response has no answer to."""


class PositionError(ValueError):
    """A control position or phase that this setup does not have."""


class LinkageError(ValueError):
    """Lengths and angles that make no working linkage."""


class Unreachable(ValueError):
    """A linkage that cannot follow so far. `last` is the last angle [degrees] that it reaches on that side."""

    def __init__(self, text: str, *, last: float) -> None:
        self.last = last
        super().__init__(text)
