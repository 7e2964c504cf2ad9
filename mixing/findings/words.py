"""The words of findings: which way something goes, and by how much."""

from __future__ import annotations

from collections.abc import Sequence

from ..differences import Difference
from ..document import Surface
from ..language import later, say
from ..wording import length_size, lowered, number, way_words


def told_apart(positions: Sequence[float]) -> list[str]:
    """Positions with one decimal, or with as many as it takes to tell them apart: "49.99" and "50"."""
    for digits in range(1, 7):
        told = [number(position, digits) for position in positions]
        if len(set(told)) == len(set(positions)):
            break
    return told


def named(surface: Surface) -> str:
    """A surface's label inside a sentence."""
    return lowered(surface.label)


def degrees(value: float, surface: Surface) -> str:
    """A deflection: "32.3° up"."""
    return f"{number(abs(value))}° {way_words(value, surface.role)}"


def moved(value_mm: float, surface: Surface) -> str:
    """A throw or a change of it, however small: "0.6 mm up"."""
    return f"{length_size(value_mm)} {way_words(value_mm, surface.role)}"


def or_more(amount: str, difference: Difference) -> str:
    """An amount, and that there may be more where that is not certain."""
    return amount if difference.sure else say("{amount} or more", amount=amount)


PURPOSES = {
    "roll": later("roll"),
    "pitch": later("pitch"),
    "yaw": later("yaw"),
    "brake": later("brake"),
    "camber": later("camber"),
}
"""What a control that moves surfaces is for."""
