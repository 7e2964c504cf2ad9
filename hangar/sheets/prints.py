"""Reading what was printed, and whether a copy is still good."""

import re
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet

from hangar.fleet.models import Airframe
from hangar.setups.models import Revision

from .models import LostCopy, Print

_TOKEN = re.compile(r"[A-Za-z0-9_-]{22}")


@dataclass(frozen=True)
class CopyState:
    """What the page behind a QR code tells, and nothing else. A copy that was reported lost is superseded."""

    superseded: bool
    grounded: bool

    @property
    def current(self) -> bool:
        """Whether the sheet is the one to fly from."""
        return not self.superseded and not self.grounded


def state_of(token: str) -> CopyState | None:
    """How things stand with the copy of this token; None where there is none. One query at most."""
    if not _TOKEN.fullmatch(token):
        return None
    later = Revision.objects.filter(airframe=OuterRef("revision__airframe"), number__gt=OuterRef("revision__number"))
    # By the name of the relation: groundings are kept by the flights' own package, beside this one.
    open_ = Airframe.objects.filter(
        pk=OuterRef("revision__airframe"), groundings__isnull=False, groundings__released_at=None,
        groundings__withdrawn_at=None,
    )  # fmt: skip
    found = (
        Print.objects.filter(token=token)
        .annotate(later=Exists(later), gone=Exists(LostCopy.objects.filter(copy=OuterRef("pk"))), open=Exists(open_))
        .values_list("later", "gone", "open")
        .first()
    )
    if found is None:
        return None
    later_one, lost, grounded = found
    return CopyState(superseded=later_one or lost, grounded=grounded)


def copies_of(airframe: Airframe) -> QuerySet[Print]:
    """Every copy of whatever was printed of an airframe, the latest first."""
    return Print.objects.filter(revision__airframe=airframe).select_related("revision", "by__personal", "lost")
