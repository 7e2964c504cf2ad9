"""What a wanted throw can fail at."""

from __future__ import annotations


class SolveError(ValueError):
    """A question that cannot be asked of this setup; the text says what was given and what to give."""


class Unattainable(SolveError):
    """A throw that this model cannot reach as it is; the text says what would be needed."""
