"""Joining a draft with what someone recorded meanwhile."""

from mixing import Setup

from .errors import RecordedMeanwhile
from .models import Revision


def merged(*, base: Revision | None, head: Revision, ours: Setup) -> Setup:
    """`ours`, which started from `base`, on top of `head`; RecordedMeanwhile where both touch the same things."""
    raise RecordedMeanwhile(base=base, head=head, ours=ours)
