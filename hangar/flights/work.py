"""What work on a model leaves to be measured or checked again: by which kind of work, and until when."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from hangar.languages.kept import Kept, kept

from .models import WorkKind

_ALL = frozenset({WorkKind.REPAIR, WorkKind.REBUILD, WorkKind.BOUGHT})
TOUCHES_THROWS = _ALL | {WorkKind.SERVO, WorkKind.HORN, WorkKind.HINGE}
TOUCHES_BALANCE = _ALL | {WorkKind.SERVO, WorkKind.RECEIVER, WorkKind.OTHER}
TOUCHES_RECEIVER = _ALL | {WorkKind.RECEIVER}
"""What a failsafe or range check depends on: receiver, wiring, a repair or rebuild."""


@dataclass
class Worked:
    """The newest work on one airframe by kind and surface ("" = all of it), and what was measured when."""

    work: dict[tuple[str, str], datetime] = field(default_factory=dict)
    throws_read: dict[str, datetime] = field(default_factory=dict)
    balanced: datetime | None = None

    def last(self, kinds: frozenset[WorkKind]) -> datetime | None:
        """When work of these kinds was last done."""
        return max((at for (kind, _), at in self.work.items() if kind in kinds), default=None)

    def surfaces_to_measure(self) -> set[str]:
        """The surfaces whose throws were not read since work touched them; "" stands for the whole model."""
        newest = max(self.throws_read.values(), default=None)
        left = set()
        for (kind, surface), at in self.work.items():
            read = self.throws_read.get(surface) if surface else newest
            if kind in TOUCHES_THROWS and (read is None or read < at):
                left.add(surface)
        return left

    def reasons(self, labels: Mapping[str, str]) -> list[Kept]:
        """What to look at before it flies; `labels` name the surfaces."""
        found = []
        left = self.surfaces_to_measure()
        if left:
            # No surface is named where the whole model was worked on.
            named = [] if "" in left else sorted(labels.get(key, key) for key in left)
            found.append(kept("not-measured", surfaces=named))
        worked = self.last(TOUCHES_BALANCE)
        if worked is not None and (self.balanced is None or self.balanced < worked):
            found.append(kept("not-balanced"))
        return found
