"""The audit's findings of a setup, as pages show them."""

import mixing
from mixing import Finding
from mixing.document import Setup


def findings(setup: Setup, *, receiver_channels: int | None = None) -> list[Finding]:
    """What the audit finds, the worst first."""
    return list(mixing.audit(setup, receiver_channels))


def warnings(setup: Setup) -> int:
    """How many of them are warnings."""
    return sum(finding.severity == "warning" for finding in mixing.audit(setup))
