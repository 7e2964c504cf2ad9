"""Revisions as lists of the history tell them: what each changed, its verdict, and where it flew before."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.text import Truncator
from django.utils.translation import gettext as _

from hangar.fleet.models import Airframe
from hangar.setups.models import Revision
from hangar.setups.what_changed import what_changed

from .reasons import verdict_words
from .reports import flew_well_as, last_verdict


@dataclass(frozen=True)
class Told:
    """One revision; what it changed, in mm where throws changed; and the number under which the same document flew
    well, where it was recorded more than once."""

    revision: Any
    changed: tuple[str, ...]
    flew_well_as: int | None

    @property
    def in_a_line(self) -> str:
        """For a list to choose from: number, day, how it flew, and the beginning of its reason."""
        row = self.revision
        if row.last_verdict:
            flown = verdict_words(row.last_verdict)
        elif self.flew_well_as:
            flown = _("as {number}, which flew well").format(number=self.flew_well_as)
        else:
            flown = _("not flown")
        day = date_format(timezone.localdate(row.recorded_at), "DATE_FORMAT")
        return f"{row.number}, {day}, {flown}: {Truncator(row.reason).chars(40)}"


def listed(airframe: Airframe) -> Any:
    """All revisions with their last verdict, newest first, in one query."""
    return Revision.objects.of(airframe).listed().annotate(last_verdict=last_verdict())


def told(airframe: Airframe, revisions: Iterable[Revision]) -> list[Told]:
    """In at most two more queries, however many there are."""
    rows = list(revisions)
    changed, well = what_changed(rows), flew_well_as(airframe, rows)
    return [Told(row, changed.get(row.pk, ()), well.get(row.pk)) for row in rows]
