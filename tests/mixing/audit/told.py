"""What the audit tells of a setup, by code."""

from mixing import Finding, Rig, Setup, audit


def told(made: Setup, code: str, receiver_channels: int | None = None) -> list[Finding]:
    """The findings of one code; their positions are ones that the setup has."""
    found = [finding for finding in audit(made, receiver_channels) if finding.code == code]
    for finding in found:
        Rig(made).at(finding.at)
    return found


def one(made: Setup, code: str, receiver_channels: int | None = None) -> Finding:
    """The only finding of a code."""
    found = told(made, code, receiver_channels)
    assert len(found) == 1, found
    return found[0]
