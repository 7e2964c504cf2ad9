"""Whether a model may fly, and why not: from its groundings, setup, flights, receiver, checks and transmitter.

A whole line-up is read in a constant number of queries.
"""

from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Any

from django.db.models import Max, OuterRef, QuerySet, Subquery

from hangar.fleet.checks import Standing as CheckStanding
from hangar.fleet.checks import standing as check_standing
from hangar.fleet.models import Airframe, Asked, Binding, Check, CheckKind, Fitting, MarkSeen, MassBand, Status
from hangar.fleet.rules import ClubRules, club_rules
from hangar.languages.kept import Kept, kept
from hangar.setups.models import DocumentSummary, Entered, Revision
from hangar.setups.summaries import summaries

from .club import AskedOfIt
from .models import BalanceCheck, Flight, Grounding, Reading, Verdict, Work
from .reasons import GROUNDED, LOOK_FIRST, READY, in_words, sheet_words, state_class, state_words
from .reports import last_verdict
from .work import TOUCHES_RECEIVER, Worked


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
    def sheet_behind(self) -> int | None:
        """By how many revisions the sheet that was printed last, which lies in the flight box, is behind the current
        one; None where none was printed."""
        return None if self.sheet_printed is None or self.head is None else self.head.number - self.sheet_printed

    @property
    def sheet(self) -> str:
        """Whether the sheet in the flight box is that of the current revision, in words."""
        return sheet_words(self.sheet_behind, self.head.number if self.head is not None else None)

    @property
    def receiver(self) -> str | None:
        """The label of the receiver that sits in it."""
        return self.fitting.receiver.label if self.fitting is not None else None

    @property
    def warnings(self) -> int | None:
        """How many warnings of the audit are open; None where there is no setup."""
        return self.summary.warnings if self.summary is not None else None

    @property
    def reasons(self) -> list[str]:
        """Why it is grounded, or what to look at before it flies, in words."""
        return in_words(self.why)

    @cached_property
    def why(self) -> list[Kept]:
        """The same in no language, as the line-up keeps it. Worked out once: ask only when all else is filled in."""
        if self.groundings:
            return [grounding.why for grounding in self.groundings]
        found = []
        if self.airframe.status != Status.AIRWORTHY:
            found.append(kept("status", status=self.airframe.status))
        labels = self.summary.surfaces if self.summary is not None else {}
        asked = self.club.missing(self.airframe, Asked.LOOK_FIRST)
        return [*found, *self._of_setup(), *self._of_receiver(), *self.worked.reasons(labels), *asked]

    @property
    def told(self) -> list[str]:
        """What the club asks for beside that, which does not keep the model on the ground."""
        return in_words(self.club.missing(self.airframe, Asked.TOLD))

    def _of_setup(self) -> list[Kept]:
        if self.head is None:
            return [kept("no-setup")]
        found = []
        if count := self.warnings:
            found.append(kept("warnings", count=count))
        if self.verdict is None:
            found.append(kept("not-flown", revision=self.head.number))
        elif self.verdict == Verdict.REJECT:
            found.append(kept("rejected", revision=self.head.number))
        if self.entered is None:
            found.append(kept("not-entered"))
        elif self.entered.revision.document_id != self.head.document_id:
            found.append(kept("other-entered", entered=self.entered.revision.number, head=self.head.number))
        return found

    def _of_receiver(self) -> list[Kept]:
        if self.fitting is None:
            return [kept("no-receiver")]
        found = []
        receiver = self.fitting.receiver
        highest = self.summary.highest_channel if self.summary is not None else 0
        if highest > receiver.channels:
            found.append(kept("too-few-channels", receiver=str(receiver), channels=receiver.channels, highest=highest))
        for kind in CheckKind.values:
            check = self.checks.get(kind)
            if check is None:
                found.append(kept("no-check", kind=kind))
            elif not check.current:
                found.append(kept("check-gone", kind=kind, why=list(check.why[0])))
        return found

    @property
    def state(self) -> str:
        """In a word."""
        if self.groundings:
            return GROUNDED
        return LOOK_FIRST if self.why else READY

    @property
    def state_words(self) -> str:
        """The state in the reader's language."""
        return state_words(self.state)

    @property
    def state_class(self) -> str:
        """The word as a style sheet's class."""
        return state_class(self.state)


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
    open_ones = Grounding.objects.filter(airframe__in=found, released_at=None)
    for grounding in open_ones.select_related("by__personal", "flight"):
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
