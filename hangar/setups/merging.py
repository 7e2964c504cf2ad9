"""Joining a draft with what someone recorded meanwhile, and judging what came of it."""

from collections.abc import Mapping

from mixing import Finding, Setup, audit
from mixing.merge import Side, merge

from .errors import RecordedMeanwhile
from .models import Revision


def merged(*, base: Revision | None, head: Revision, ours: Setup, choices: Mapping[str, Side] | None = None) -> Setup:
    """`ours`, which started from `base`, on top of `head`; RecordedMeanwhile where both touch the same things.

    `choices` decide conflicts: their path → "ours" or "theirs".
    """
    if base is None:
        raise RecordedMeanwhile(base=base, head=head, ours=ours)
    result = merge(base.setup, ours, head.setup, choices=choices)
    if result.setup is None:
        raise RecordedMeanwhile(base=base, head=head, ours=ours, conflicts=result.conflicts)
    return result.setup


def got_worse(sides: tuple[Setup, Setup], joined: Setup) -> tuple[Finding, ...]:
    """What the audit says of two joined setups and of neither side alone, notes left out: two safe edits can sum past
    a stop. The worst first."""
    known = {(finding.code, finding.where, finding.text) for side in sides for finding in audit(side)}
    return tuple(
        finding
        for finding in audit(joined)
        if finding.severity != "note" and (finding.code, finding.where, finding.text) not in known
    )
