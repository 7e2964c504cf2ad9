"""Joining a draft with what someone recorded meanwhile."""

from collections.abc import Mapping

from mixing import Setup
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
