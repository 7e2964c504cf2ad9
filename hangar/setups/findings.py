"""The audit's findings, in the words and order of pages."""

from dataclasses import dataclass
from typing import Any

import mixing
from hangar.pictures.words import position_words
from mixing.document import Setup


@dataclass(frozen=True)
class Line:
    """One finding to show."""

    severity: str
    where: str
    text: str
    at_words: str


def findings(setup: Setup, *, receiver_channels: int | None = None) -> list[Line]:
    """What the audit finds, the worst first."""
    audit: Any = getattr(mixing, "audit", None)
    if audit is None:
        return []
    return [
        Line(found.severity, str(found.where or ""), found.text, _at_words(setup, found.at))
        for found in audit(setup, receiver_channels)
    ]


def warnings(setup: Setup) -> int:
    """How many of them are warnings."""
    return sum(line.severity == "warning" for line in findings(setup))


def _at_words(setup: Setup, at: Any) -> str:
    """The positions at which it is seen: "Left lever back, Aileron stick right"."""
    if not isinstance(at, dict):
        return ""
    known = {control.key: control for control in setup.controls}
    return ", ".join(
        f"{known[key].label} {position_words(known[key], float(position))}"
        for key, position in at.items()
        if key in known
    )
