"""Whether a model may fly, and why not: from its groundings, setup, flights, receiver, checks and transmitter.

A whole line-up is read in a constant number of queries.
"""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import Max, OuterRef, QuerySet, Subquery

from hangar.fleet.checks import Standing as CheckStanding
from hangar.fleet.checks import standing as check_standing
from hangar.fleet.models import Airframe, Asked, Binding, Check, CheckKind, Fitting, MarkSeen, MassBand
from hangar.fleet.rules import ClubRules, club_rules
from hangar.setups.models import DocumentSummary, Entered, Revision
from hangar.setups.summaries import summaries

from .club import AskedOfIt
from .models import BalanceCheck, Flight, Grounding, Reading, Verdict, Work
from .reports import last_verdict
from .work import TOUCHES_RECEIVER, Worked

READY, LOOK_FIRST, GROUNDED = "ready to fly", "look first", "grounded"
STATES = (READY, LOOK_FIRST, GROUNDED)
_CLASSES = {READY: "ready", LOOK_FIRST: "look-first", GROUNDED: "grounded"}


@dataclass
class Standing:
    """One airframe with what the line-up and its own page say of it."""

    airframe: Airframe
    head: Revision | None = None
    summary: DocumentSummary | None = None
    last_flown: date | None = None
    entered: Entered | None = None
    fitting: Fitting | None = None
    binding: Binding | None = None
    worked: Worked = field(default_factory=Worked)
    club: AskedOfIt = field(default_factory=lambda: AskedOfIt(ClubRules()))
    sheet_printed: int | None = None
    groundings: list[Grounding] = field(default_factory=list)
    checks: dict[str, CheckStanding] = field(default_factory=dict)

    @property
    def verdict(self) -> str | None:
        """The last verdict on the current revision."""
        return getattr(self.head, "last_verdict", None)

    @property
    def sheet(self) -> str:
        """Whether the sheet that was printed last, which lies in the flight box, is that of the current revision."""
        if self.sheet_printed is None:
            return "none printed"
        current = self.head is not None and self.head.number == self.sheet_printed
        return "up to date" if current else f"of revision {self.sheet_printed}"

    @property
    def receiver(self) -> str | None:
        """The label of the receiver that sits in it."""
        return self.fitting.receiver.label if self.fitting is not None else None

    @property
    def warnings(self) -> int | None:
        """How many warnings of the audit are open; None where there is no setup."""
        return self.summary.warnings if self.summary is not None else None

    @property
    def failsafe(self) -> str:
        """When the failsafe check was made, and whether it still holds."""
        return self._checked(CheckKind.FAILSAFE)

    @property
    def range_check(self) -> str:
        """When the range check was made, and whether it still holds."""
        return self._checked(CheckKind.RANGE)

    def _checked(self, kind: str) -> str:
        check = self.checks.get(kind)
        if check is None:
            return "none"
        day = f"{check.check.at:%d %b %Y}"
        return day if check.current else f"{day}, stale"

    @property
    def reasons(self) -> list[str]:
        """Why it is grounded, or what to look at before it flies."""
        if self.groundings:
            return [grounding.reason for grounding in self.groundings]
        found = []
        if self.airframe.status != "airworthy":
            found.append(f"the airframe is {self.airframe.get_status_display()}")
        labels = self.summary.surfaces if self.summary is not None else {}
        asked = self.club.missing(self.airframe, Asked.LOOK_FIRST)
        return [*found, *self._of_setup(), *self._of_receiver(), *self.worked.reasons(labels), *asked]

    @property
    def told(self) -> list[str]:
        """What the club asks for beside that, which does not keep the model on the ground."""
        return self.club.missing(self.airframe, Asked.TOLD)

    def _of_setup(self) -> list[str]:
        if self.head is None:
            return ["no setup is recorded"]
        found = []
        if count := self.warnings:
            found.append(f"the audit has {count} warning{'s' if count > 1 else ''}")
        if self.verdict is None:
            found.append(f"revision {self.head.number} was not flown yet")
        elif self.verdict == Verdict.REJECT:
            found.append(f"revision {self.head.number} was rejected after a flight")
        if self.entered is None:
            found.append("no record says what is in the transmitter")
        elif self.entered.revision.document_id != self.head.document_id:
            found.append(f"revision {self.entered.revision.number} is in the transmitter, not {self.head.number}")
        return found

    def _of_receiver(self) -> list[str]:
        if self.fitting is None:
            return ["no receiver is recorded in it"]
        found = []
        receiver = self.fitting.receiver
        if self.summary is not None and self.summary.highest_channel > receiver.channels:
            has = f"{receiver} has {receiver.channels} channels"
            found.append(f"{has}, and the setup uses channel {self.summary.highest_channel}")
        for kind, name in CheckKind.choices:
            check = self.checks.get(kind)
            if check is None:
                found.append(f"no {name} is recorded")
            elif not check.current:
                found.append(f"the {name} no longer holds: {check.reasons[0]}")
        return found

    @property
    def state(self) -> str:
        """In a word."""
        if self.groundings:
            return GROUNDED
        return LOOK_FIRST if self.reasons else READY

    @property
    def state_class(self) -> str:
        """The word as a style sheet's class."""
        return state_class(self.state)


def state_class(state: str) -> str:
    """A state as a style sheet's class."""
    return _CLASSES.get(state, "look-first")


def standings(airframes: QuerySet[Airframe]) -> list[Standing]:
    """One standing an airframe, in the order of the query."""
    flown = Flight.objects.filter(revision__airframe=OuterRef("pk")).order_by("-flown_on").values("flown_on")[:1]
    newest = Revision.objects.filter(airframe=OuterRef("pk")).order_by("-number").values("pk")[:1]
    entered = Entered.objects.filter(revision__airframe=OuterRef("pk")).order_by("-at", "-pk").values("pk")[:1]
    # By the name of the relation: what was printed is kept by the sheets' own package, beside this one.
    sheets = Revision.objects.filter(airframe=OuterRef("pk"), prints__kind="setup_sheet")
    printed = sheets.order_by("-prints__at", "-prints__pk").values("number")[:1]
    rows = airframes.select_related("owner__personal").annotate(
        _flown=Subquery(flown), _head=Subquery(newest), _entered=Subquery(entered), _printed=Subquery(printed)
    )
    found = {row.pk: Standing(row, last_flown=row._flown, sheet_printed=row._printed) for row in rows}
    _add_setups(found)
    _add_work(found)
    _add_club(found)
    _add_receivers(found)
    for grounding in Grounding.objects.filter(airframe__in=found, released_at=None).select_related("by__personal"):
        found[grounding.airframe_id].groundings.append(grounding)
    return list(found.values())


def standing_of(airframe: Airframe) -> Standing:
    """That of one airframe."""
    return standings(Airframe.objects.filter(pk=airframe.pk))[0]


def _picked(found: dict[int, Standing], name: str) -> list[Any]:
    return [key for one in found.values() if (key := getattr(one.airframe, name)) is not None]


def _add_setups(found: dict[int, Standing]) -> None:
    heads = Revision.objects.filter(pk__in=_picked(found, "_head")).select_related("author__personal")
    for head in heads.annotate(last_verdict=last_verdict()):
        found[head.airframe_id].head = head
    entries = Entered.objects.filter(pk__in=_picked(found, "_entered"))
    for entered in entries.select_related("revision", "transmitter", "by__personal"):
        found[entered.revision.airframe_id].entered = entered
    known = summaries(one.head.document_id for one in found.values() if one.head is not None)
    for one in found.values():
        one.summary = known[one.head.document_id] if one.head is not None else None


def _add_work(found: dict[int, Standing]) -> None:
    """What was done to the models, and what was measured since: three queries for all of them."""
    done = Work.objects.filter(airframe__in=found).values_list("airframe", "kind", "surface")
    for airframe, kind, surface, at in done.annotate(Max("at")).order_by():
        found[airframe].worked.work[kind, surface] = at
    read = Reading.objects.filter(check_of__revision__airframe__in=found, check_of__withdrawn_at=None)
    by_surface = read.values_list("check_of__revision__airframe", "surface").annotate(Max("check_of__at"))
    for airframe, surface, at in by_surface.order_by():
        found[airframe].worked.throws_read[surface] = at
    balanced = BalanceCheck.objects.filter(revision__airframe__in=found).values_list("revision__airframe")
    for airframe, at in balanced.annotate(Max("at")).order_by():
        found[airframe].worked.balanced = at


def _add_club(found: dict[int, Standing]) -> None:
    rules, bands = club_rules(), tuple(MassBand.objects.all())
    for one in found.values():
        one.club = AskedOfIt(rules, bands)
    seen = MarkSeen.objects.filter(airframe__in=found).order_by("at", "pk")
    for airframe, mark in seen.values_list("airframe", "mark"):
        found[airframe].club.mark_seen = mark
    weighed = BalanceCheck.objects.filter(revision__airframe__in=found, mass_g__isnull=False).order_by("at", "pk")
    for airframe, load, mass in weighed.values_list("revision__airframe", "load", "mass_g"):
        found[airframe].club.masses[load] = mass or 0.0


def _add_receivers(found: dict[int, Standing]) -> None:
    for fitting in Fitting.objects.filter(airframe__in=found, until=None).select_related("receiver", "by__personal"):
        found[fitting.airframe_id].fitting = fitting
    at_receiver = {one.fitting.receiver_id: one for one in found.values() if one.fitting is not None}
    for binding in Binding.objects.filter(receiver__in=at_receiver).select_related("transmitter").order_by("at", "pk"):
        at_receiver[binding.receiver_id].binding = binding
    checks = Check.objects.filter(fitting__airframe__in=found).select_related(
        "fitting__receiver", "transmitter", "by__personal"
    )
    for check in checks.order_by("at", "pk"):
        one = found[check.fitting.airframe_id]
        one.checks[check.kind] = check_standing(
            check, fitting=one.fitting, binding=one.binding, worked_at=one.worked.last(TOUCHES_RECEIVER),
            failsafe_digest=one.summary.failsafe if one.summary else None,
        )  # fmt: skip
