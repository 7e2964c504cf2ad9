"""What can go wrong in the history. The text says what was given and what to give instead."""

from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from mixing import Setup
from mixing.merge import Conflict

if TYPE_CHECKING:
    from .as_built import Part
    from .models import Draft, Revision


class HistoryError(ValueError):
    """Something cannot be recorded as it was given."""


class ReasonError(HistoryError):
    """The reason of a revision cannot be as it was given."""


class WiringError(HistoryError):
    """A surface or device cannot be plugged in as it was given."""


class Immutable(HistoryError):
    """A recorded revision or document was to be changed or deleted."""


class RecordedMeanwhile(HistoryError):
    """Someone recorded a revision since the draft started, and both touch the same things.

    base       the revision from which the draft started (None where it started the setup)
    head       the revision which is current now
    theirs     the setup of `head`
    ours       the setup which was to be recorded
    conflicts  what both touched, for the member to choose; empty where one started without a setup
    """

    def __init__(
        self, *, base: "Revision | None", head: "Revision", ours: Setup, conflicts: tuple[Conflict, ...] = ()
    ) -> None:
        if base:
            told = _("Revision {head} was recorded meanwhile, and your draft started from revision {base}.")
        else:
            told = _("Revision {head} was recorded meanwhile, and your draft started from an airframe without a setup.")
        then = _("Both touch the same things: look at both and choose; your draft is kept.")
        super().__init__(f"{told.format(head=head.number, base=base.number if base else '')} {then}")
        self.base, self.head, self.ours, self.conflicts = base, head, ours, conflicts
        self.theirs = head.setup


class AsBuiltDiffers(HistoryError):
    """A rollback would claim a model which nobody rebuilt. `parts` says what differs."""

    def __init__(self, *, number: int, parts: "tuple[Part, ...]") -> None:
        super().__init__(
            _(
                "The model is not built as it was in revision {number}: {parts}. Say of each of these that it was put "
                "back, or take the throws of that revision on today's model."
            ).format(number=number, parts="; ".join(part.words for part in parts))
        )
        self.number, self.parts = number, parts


class DraftMoved(HistoryError):
    """The draft was saved from another page meanwhile. `stored` is what it says now."""

    def __init__(self, *, stored: "Draft") -> None:
        super().__init__(
            _("This draft was saved from another page meanwhile: look at both and choose; nothing is lost.")
        )
        self.stored = stored
