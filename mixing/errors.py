"""What can go wrong in the computation. Every error says what was given and what to give instead."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from .language import say
from .wording import capital


class Problem(NamedTuple):
    """One fault of a document: where it is, and what was expected there."""

    path: str
    text: str
    """What is told of the place: "is 7; give at most 5"."""
    whole: bool = False
    """Whether the text says itself what it speaks of: "the document is not JSON"."""

    def __str__(self) -> str:
        return f"{self.path}: {self.text}" if self.path else self.text

    @property
    def sentence(self) -> str:
        """The text by itself, beside the value that it speaks of: "This is 7; give at most 5."."""
        told = f"{self.text}." if self.whole else say("This {is_so}.", is_so=self.text)
        return capital(told)


class SetupError(ValueError):
    """A setup document that cannot be used; `problems` lists every fault with its path."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class PartError(ValueError):
    """A value that no part of a document can have; the text goes on behind the name of the field: "is empty; ..."."""


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
