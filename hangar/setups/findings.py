"""The audit's findings of a setup, as pages show them."""

import mixing
from hangar.languages.speaking import way
from mixing import Finding
from mixing.document import Setup

from .remembered import Remembered

_known: Remembered[tuple[str, int | None, str], tuple[Finding, ...]] = Remembered(1000)


def findings(setup: Setup, *, receiver_channels: int | None = None) -> tuple[Finding, ...]:
    """What the audit finds, the worst first."""
    key = setup.digest(), receiver_channels, way()
    return _known.once(key, lambda: tuple(mixing.audit(setup, receiver_channels)))


def warnings(setup: Setup) -> int:
    """How many of them are warnings."""
    return sum(finding.severity == "warning" for finding in findings(setup))
