"""From what is wanted to the numbers that give it: travel, responses, curves, arms and horns, the dial-in list."""

from ..conventions import Conventions
from .along import response_for, with_response
from .errors import SolveError, Unattainable
from .travel import travel_for, travels_for

__all__ = [
    "Conventions",
    "SolveError",
    "Unattainable",
    "response_for",
    "travel_for",
    "travels_for",
    "with_response",
]
