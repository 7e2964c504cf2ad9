"""Every write on flights. Each takes the member who does it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from hangar.fleet.models import Airframe
from hangar.fleet.rules import ClubRules, club_rules
from hangar.fleet.withdrawing import mark_withdrawn
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.members.policy import can, guard
from hangar.setups.history import current_head
from hangar.setups.models import Revision
from hangar.setups.operations import record
from mixing import Setup
from mixing.bought import as_bought
from mixing.wording import number

from .errors import FlightError
from .models import (
    NO_LONGER_ASKED,
    BalanceCheck,
    Cause,
    Condition,
    Flight,
    Grounding,
    Reading,
    ThrowCheck,
    Verdict,
    Work,
    WorkKind,
)
from .reports import is_grounded


@dataclass(frozen=True)
class Logged:
    """A logged flight; the grounding which it caused; and whether the model was grounded already when it was logged."""

    flight: Flight
    grounding: Grounding | None
    was_grounded: bool


def log_flight(
    *,
    user: Member,
    revision: Revision,
    flown_on: date,
    pilot: Member,
    load: str,
    verdict: str,
    condition_after: str = Condition.SOUND,
    wind: str = "",
    observation: str = "",
    reason: str = "",
    now: datetime | None = None,
) -> Logged:
    """Log a test flight. A model that is to be inspected or is damaged afterwards is grounded with it.

    A flight of a grounded model is logged too: it did happen, and what it showed must not be lost.
    Raises FlightError, and django's ValidationError by field.
    """
    guard(user, "edit", revision.airframe)
    now = now or timezone.now()
    _check_load(revision, load)
    _check_told(flown_on, verdict, reason, timezone.localdate(now))
    flight = Flight(
        revision=revision, flown_on=flown_on, pilot=pilot, load=load, wind=wind.strip(), verdict=verdict,
        observation=observation.strip(), condition_after=condition_after, reason=reason.strip(), recorded_at=now,
        by=user,
    )  # fmt: skip
    flight.full_clean()
    with transaction.atomic():
        was_grounded = is_grounded(revision.airframe)
        flight.save(force_insert=True)
        grounding = None
        if condition_after != Condition.SOUND:
            grounding = Grounding.objects.create(
                airframe=revision.airframe, since=now, by=user, flight=flight, cause=Cause.FLIGHT
            )
    return Logged(flight, grounding, was_grounded)


def _check_told(flown_on: date, verdict: str, reason: str, today: date) -> None:
    if flown_on > today:
        text = _("The flight is dated {date}, which is still to come; give the day it was flown.")
        raise FlightError(text.format(date=date_format(flown_on, "DATE_FORMAT")))
    if verdict in (Verdict.TWEAK, Verdict.REJECT) and not reason.strip():
        text = _("Give the reason of the verdict {verdict}: what has to change, or why it is rejected.")
        raise FlightError(text.format(verdict=Verdict(verdict).label))


def _check_load(revision: Revision, load: str) -> None:
    keys = [one.key for one in revision.setup.balance.loads]
    if load not in keys:
        text = _("Revision {number} has no load “{load}”; give one of {known}.")
        raise FlightError(text.format(number=revision.number, load=load, known=", ".join(keys)))


def ground(
    *, user: Member, airframe: Airframe, reason: str, second_person: bool = False, at: datetime | None = None
) -> Grounding:
    """Ground a model. Anyone signed in may: who sees a crack says so."""
    guard(user, "ground")
    grounding = Grounding(
        airframe=airframe, since=at or timezone.now(), by=user, reason=_said(reason), second_person=second_person
    )
    grounding.full_clean()
    grounding.save(force_insert=True)
    return grounding


def release(*, user: Member, grounding: Grounding, reason: str, at: datetime | None = None) -> Grounding:
    """Release a model from one grounding. An instructor or a secretary does so, with a reason; never their own where
    a second person has to."""
    guard(user, "release")
    reason = _said(reason)
    airframe = grounding.airframe
    _guard_second_person(user, grounding)
    if grounding.cause == Cause.FIRST_FLIGHT and current_head(airframe) is None:
        text = _("{airframe} has no setup yet: record it first. It is released with the setup that it has.")
        raise FlightError(text.format(airframe=airframe))
    with transaction.atomic():
        # Two members release at once: the first one's reason stands.
        stored = Grounding.everything.select_for_update().get(pk=grounding.pk)
        if stored.withdrawn_at is not None:
            text = _("This grounding was withdrawn already, by {member}.")
            raise FlightError(text.format(member=stored.withdrawn_by))
        if stored.released_at is not None:
            text = _("{airframe} was released from this already, by {member}.")
            raise FlightError(text.format(airframe=airframe, member=stored.released_by))
        stored.released_at, stored.released_by, stored.release_reason = at or timezone.now(), user, reason
        stored.full_clean()
        stored.save()
    return stored


def _guard_second_person(user: Member, grounding: Grounding) -> None:
    """Where a second person has to release a model, it is nobody whose own work it is."""
    if not grounding.second_person:
        return
    airframe, head = grounding.airframe, current_head(grounding.airframe)
    own = {
        _("you are one who owns it"): airframe.owner_id == user.pk,
        _("you are one who helps with it"): airframe.helpers.filter(pk=user.pk).exists(),
        _("you are one who recorded its setup"): head is not None and head.author_id == user.author_key,
        _("you are one who logged the rebuild"): grounding.cause == Cause.REBUILD and grounding.by_id == user.pk,
    }
    if mine := [what for what, so in own.items() if so]:
        text = _(
            "A second person has to release {airframe}, and {mine}: ask an instructor who neither "
            "owns nor helps with it, and whose work it is not."
        )
        raise NotAllowed(text.format(airframe=airframe, mine=mine[0]))


def ground_before_first_flight(airframe: Airframe) -> None:
    """Where the club asks for it, a new airframe stays on the ground until a second person has released it."""
    if club_rules().first_flight:
        _ground_before_first_flight([airframe])


def _ground_before_first_flight(airframes: Iterable[Airframe]) -> None:
    Grounding.objects.bulk_create(
        Grounding(
            airframe=airframe, since=timezone.now(), by_id=airframe.owner_id, cause=Cause.FIRST_FLIGHT,
            second_person=True,
        )
        for airframe in airframes
    )  # fmt: skip


def follow_club_rules(rules: ClubRules) -> None:
    """The rule about first flights was switched on or off: it holds for every airframe that has not flown yet."""
    waiting = Grounding.objects.filter(cause=Cause.FIRST_FLIGHT)
    with transaction.atomic():
        if rules.first_flight:
            flown = Flight.objects.values("revision__airframe")
            new = Airframe.objects.exclude(pk__in=flown).exclude(pk__in=waiting.values("airframe"))
            _ground_before_first_flight(new)
        elif rules.changed_by is not None:
            for grounding in waiting.filter(released_at=None):
                mark_withdrawn(rules.changed_by, grounding, NO_LONGER_ASKED, None)


def _said(reason: str) -> str:
    if not reason.strip():
        raise FlightError(_("Give a reason, in a few words."))
    return reason.strip()


def record_work(
    *, user: Member, airframe: Airframe, kind: str, note: str, surface: str = "", at: datetime | None = None
) -> Work:
    """Work was done on the model. A rebuild grounds it until it is released, by a second person where the club asks
    for one."""
    guard(user, "edit", airframe)
    work = Work(airframe=airframe, kind=kind, surface=surface, at=at or timezone.now(), by=user, note=_said(note))
    work.full_clean()
    with transaction.atomic():
        work.save(force_insert=True)
        if kind == WorkKind.REBUILD:
            Grounding.objects.create(
                airframe=airframe, since=work.at, by=user, reason=work.note, cause=Cause.REBUILD,
                second_person=club_rules().after_rebuild,
            )  # fmt: skip
    return work


def record_balance_check(
    *,
    user: Member,
    revision: Revision,
    load: str,
    cg_mm: float,
    mass_g: float | None = None,
    at: datetime | None = None,
) -> BalanceCheck:
    """The model was balanced with one of its loads. What the setup says of it is not changed by this."""
    guard(user, "edit", revision.airframe)
    _check_load(revision, load)
    if mass_g is not None and mass_g <= 0:
        text = _("A mass of {mass} g cannot be; give what the scales said.")
        raise FlightError(text.format(mass=number(mass_g)))
    check = BalanceCheck(revision=revision, load=load, cg_mm=cg_mm, mass_g=mass_g, at=at or timezone.now(), by=user)
    check.full_clean()
    check.save(force_insert=True)
    return check


@dataclass(frozen=True)
class Read:
    """A throw read with the ruler. `predicted_mm` is what mixing's Rig says for the same positions."""

    surface: str
    positions: Mapping[str, float]
    predicted_mm: float
    measured_mm: float
    phase: str = ""
    play_mm: float | None = None


def record_throw_check(
    *, user: Member, revision: Revision, readings: Iterable[Read], note: str = "", at: datetime | None = None
) -> ThrowCheck:
    """Keep throws read at the model against the prediction of a revision."""
    guard(user, "edit", revision.airframe)
    readings = tuple(readings)
    if not readings:
        raise FlightError(_("Give at least one throw that was read at the model."))
    known = [surface.key for surface in revision.setup.surfaces]
    for one in readings:
        if one.surface not in known:
            text = _("{revision} has no surface “{surface}”; give one of {known}.")
            raise FlightError(text.format(revision=revision, surface=one.surface, known=", ".join(known)))
    with transaction.atomic():
        check = ThrowCheck.objects.create(revision=revision, at=at or timezone.now(), by=user, note=note.strip())
        Reading.objects.bulk_create(
            Reading(
                check_of=check,
                surface=one.surface,
                positions=dict(one.positions),
                phase=one.phase,
                predicted_mm=one.predicted_mm,
                measured_mm=one.measured_mm,
                play_mm=one.play_mm,
            )
            for one in readings
        )
    return check


def take_over(*, user: Member, airframe: Airframe, setup: Setup, at: datetime | None = None) -> Revision:
    """A bought model is taken into the hangar: its setup as it was, nothing of it measured, no verdict with it.

    Throws, balance, failsafe and range are then to be measured and checked. Only where nothing was recorded yet.
    """
    guard(user, "edit", airframe)
    if current_head(airframe) is not None:
        text = _("{airframe} has a setup already: what was bought is taken over before the first one.")
        raise FlightError(text.format(airframe=airframe))
    with transaction.atomic():
        recorded = record(
            user=user, airframe=airframe, setup=as_bought(setup), base=None, origin="import",
            reason=_("As bought, unmeasured."), now=at,
        )  # fmt: skip
        record_work(
            user=user, airframe=airframe, kind=WorkKind.BOUGHT, at=at,
            note=_("As bought: nothing of it is measured yet."),
        )  # fmt: skip
    return recorded.revision


def withdraw_flight(*, user: Member, flight: Flight, reason: str, at: datetime | None = None) -> Flight:
    """A flight counts no longer. A grounding that it caused stays: an instructor releases the model."""
    return mark_withdrawn(user, flight, reason, at)


def withdraw_grounding(*, user: Member, grounding: Grounding, reason: str, at: datetime | None = None) -> Grounding:
    """A grounding that was logged by mistake counts no longer. Whoever may release the model may do this: else it
    would be a way round the release."""
    if not can(user, "release"):
        raise NotAllowed(_("A grounding is withdrawn by an instructor or a secretary: they release the model too."))
    _guard_second_person(user, grounding)
    return mark_withdrawn(user, grounding, reason, at)


def withdraw_work(*, user: Member, work: Work, reason: str, at: datetime | None = None) -> Work:
    """Work that was not done counts no longer. What a rebuild grounded stays grounded until it is released."""
    return mark_withdrawn(user, work, reason, at)


def withdraw_throw_check(*, user: Member, check: ThrowCheck, reason: str, at: datetime | None = None) -> ThrowCheck:
    """The throws that were read count no longer."""
    return mark_withdrawn(user, check, reason, at)


def withdraw_balance_check(
    *, user: Member, check: BalanceCheck, reason: str, at: datetime | None = None
) -> BalanceCheck:
    """Where it balanced, and what it weighed, counts no longer."""
    return mark_withdrawn(user, check, reason, at)
