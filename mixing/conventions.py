"""Where transmitters differ: signs, a unit and an order, as a five-minute test of one of them shows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .language import later

UNPROVEN_MARK = later("sign unproven: check at the model")


@dataclass(frozen=True)
class Conventions:
    """How one transmitter reads what is entered. "unproven" until the test was done: nothing is then turned round,
    and every entry that the convention touches says so."""

    lever_forward: Literal["plus", "minus", "unproven"] = "unproven"
    """What a lever pushed forward reads."""
    expo_positive: Literal["softens", "sharpens", "unproven"] = "unproven"
    """What a positive expo does around the centre."""
    centre_unit: Literal["us", "pct", "unproven"] = "unproven"
    """Whether the centre of a channel is entered in µs or in % of travel."""
    reversal: Literal["before", "after", "unproven"] = "unproven"
    """Whether a channel is reversed before its limits act (they hold the pulse) or after (they hold the travel)."""

    @property
    def proven(self) -> bool:
        """Whether every convention is known."""
        return "unproven" not in (self.lever_forward, self.expo_positive, self.centre_unit, self.reversal)
