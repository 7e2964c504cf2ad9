"""The audit's findings while one edits: all of the draft's, and which of them the draft brought."""

from dataclasses import dataclass

from hangar.fleet.lookups import current_fitting
from mixing import Finding
from mixing.document import Setup

from .editing import Desk
from .findings import findings


@dataclass(frozen=True)
class Open:
    """What the audit says of a draft: `new` is what the revision that it began from had not."""

    new: tuple[Finding, ...]
    old: tuple[Finding, ...]

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.new) + len(self.old)


def open_findings(desk: Desk, setup: Setup) -> Open:
    """The findings of the draft, the worst first, told apart by what its base had at the same place."""
    fitting = current_fitting(desk.airframe)
    channels = fitting.receiver.channels if fitting else None
    found = findings(setup, receiver_channels=channels)
    if desk.base is None or desk.draft is None:
        return Open((), found)
    before = findings(desk.base.setup, receiver_channels=channels)
    known = {(one.code, one.where) for one in before}
    new = tuple(one for one in found if (one.code, one.where) not in known)
    return Open(new, tuple(one for one in found if (one.code, one.where) in known))
