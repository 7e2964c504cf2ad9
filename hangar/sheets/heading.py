"""What a sheet says of itself: whose setup it is, which revision, when, by whom, why."""

import datetime
from dataclasses import dataclass

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from hangar.setups.history import currently_entered
from hangar.setups.models import Revision

from .models import Print
from .qr import address_of, base_address

NOT_FLOWN = gettext_noop("not flown")


@dataclass(frozen=True)
class EnteredLine:
    """What is in a transmitter: which of its model memories, and whether it is this revision."""

    transmitter: str
    memory: str
    number: int
    when: str
    is_this: bool


@dataclass(frozen=True)
class Heading:
    """The head of a sheet, in words."""

    airframe: str
    mark: str
    number: int
    recorded: str
    author: str
    reason: str
    origin: str
    seal: str
    verdict: str
    newest: int
    entered: tuple[EnteredLine, ...] = ()
    copy: str = ""
    copy_number: int = 0
    instruction: bool = False
    asks: str = ""
    """The address that its QR code leads to; none without a numbered copy."""

    @property
    def outdated(self) -> bool:
        """Whether a later revision was recorded already when the sheet was made."""
        return self.newest > self.number


def when_words(moment: datetime.datetime) -> str:
    """A moment in the club's time with its offset: "4 Nov 2026, 18:30 UTC+01:00"."""
    local = timezone.localtime(moment)
    offset = local.utcoffset() or datetime.timedelta()
    minutes = round(offset.total_seconds() / 60)
    sign = "−" if minutes < 0 else "+"
    zone = "UTC" if minutes == 0 else f"UTC{sign}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"
    return f"{date_format(local, 'DATETIME_FORMAT')} {zone}"


def copy_words(copy: Print) -> str:
    """Which copy it is: "copy 2 of this revision, printed 4 Nov 2026, 18:30 UTC by Ada Lindner"."""
    text = _("copy {number} of this revision, printed {when} by {who}")
    return text.format(number=copy.copy, when=when_words(copy.at), who=copy.by)


def heading_of(revision: Revision, copy: Print | None = None, base: str = "") -> Heading:
    """The head of a sheet of one revision, as things stand now; `base` is where the site stands."""
    airframe = revision.airframe
    newest = Revision.objects.filter(airframe=airframe).order_by("-number").values_list("number", flat=True).first()
    return Heading(
        airframe=airframe.name,
        mark=airframe.mark,
        number=revision.number,
        recorded=when_words(revision.recorded_at),
        author=str(revision.author),
        reason=revision.reason,
        origin=revision.origin_words,
        seal=revision.seal[:8],
        verdict=verdict_of(revision),
        newest=newest or revision.number,
        entered=_entered_lines(revision),
        copy=copy_words(copy) if copy is not None else "",
        copy_number=copy.copy if copy is not None else 0,
        instruction=copy is not None and copy.instruction,
        asks=address_of(copy, base or base_address()) if copy is not None else "",
    )


def verdict_of(revision: Revision) -> str:
    """The verdict of its latest flight, in a word; `NOT_FLOWN` before the first."""
    flight = revision.flights.order_by("-flown_on", "-recorded_at", "-pk").first()
    return str(flight.get_verdict_display()) if flight is not None else _(NOT_FLOWN)


def _entered_lines(revision: Revision) -> tuple[EnteredLine, ...]:
    entered = currently_entered(revision.airframe)
    if entered is None:
        return ()
    line = EnteredLine(
        transmitter=str(entered.transmitter),
        memory=entered.model_memory,
        number=entered.revision.number,
        when=when_words(entered.at),
        is_this=entered.revision.document_id == revision.document_id,
    )
    return (line,)
