"""From what is wanted to the numbers that give it: travel, responses, curves, arms and horns, the dial-in list."""

from ..conventions import Conventions
from .along import response_for, with_response
from .arms import ArmAndHorn, arm_and_horn
from .curve import Curve, best_curve
from .dial_in import dial_in
from .ends import with_end, with_rate
from .entry import Entry
from .errors import SolveError, Unattainable
from .travel import travel_for, travels_for
from .wanted import ThrowCurve, curve_for

__all__ = [
    "ArmAndHorn",
    "Conventions",
    "Curve",
    "Entry",
    "SolveError",
    "ThrowCurve",
    "Unattainable",
    "arm_and_horn",
    "best_curve",
    "curve_for",
    "dial_in",
    "response_for",
    "travel_for",
    "travels_for",
    "with_end",
    "with_rate",
    "with_response",
]
