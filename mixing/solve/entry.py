"""One line of the dial-in list."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

Kind = Literal["reversal", "centre", "limits", "failsafe", "ends", "curve", "expo", "fade", "stance"]


class Moved(NamedTuple):
    """What an entry does to one surface or device, as numbers."""

    label: str
    role: str
    """Of a surface; "" for a device."""
    values: tuple[float, ...]
    """Throws [mm], or levels [%] of a device, at the positions that the entry's text tells, in their order."""


class Given(NamedTuple):
    """What an entry gives: in words, as numbers, and how far that is from what the document asks for [mm]."""

    words: str = ""
    moved: tuple[Moved, ...] = ()
    error_mm: float = 0.0


@dataclass(frozen=True)
class Entry:
    """What to enter at one place of the transmitter, rounded to its step, in its own conventions."""

    kind: Kind
    channel: int
    label: str
    """What it is for: "Right flap, Left lever", with the phase where it holds in one only."""
    enter: str
    """The figures to enter, in words with units: "95 % at −100, 0 % at +100"."""
    figures: tuple[tuple[float, float], ...]
    """The same as numbers: (control position %, value %) for ends, curves and fades, else (0, value)."""
    gives: str
    """The throws that these rounded figures give: "Right flap 45.8 mm down at −100, neutral at +100"; "" where none."""
    error_mm: float
    """How far they lie from what the document asks for, at most [mm]."""
    explanation: str = ""
    """For straight responses the slope and middle; for fitted curves how near they come."""
    control: str = ""
    """The key of the control whose response it belongs to; "" for what belongs to the channel alone."""
    phase: str = ""
    """The key of the phase in which it holds; "" where it holds in all."""
    by: str = ""
    """The key of the control of a fade."""
    moved: tuple[Moved, ...] = ()
    """What `gives` says, as numbers."""
    mark: str = ""
    """"sign unproven: check at the model" where a convention of the transmitter is not known, else ""."""
