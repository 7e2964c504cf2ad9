"""What was logged is never deleted: it is withdrawn with a reason, by whoever logged it or an instructor, and then
counts no longer."""

import datetime
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from hangar.fleet import operations as fleet
from hangar.fleet.checks import failsafe_digest
from hangar.fleet.errors import FleetError, NeverDeleted
from hangar.fleet.lookups import current_fitting
from hangar.fleet.models import Airframe, Binding, Check, Fitting, MarkSeen, Receiver
from hangar.flights import operations as flights
from hangar.flights.errors import FlightError
from hangar.flights.models import BalanceCheck, Flight, Grounding, ThrowCheck, Work
from hangar.flights.reports import is_grounded, last_that_flew_well
from hangar.flights.standings import standing_of
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.setups import operations as setups
from hangar.setups.history import currently_entered
from hangar.setups.models import Entered, Revision
from tests.factories import AirframeFactory, ReceiverFactory, TransmitterFactory
from tests.hangar.check_standings import check_standings

NOON = datetime.datetime(2026, 5, 1, 12, tzinfo=datetime.UTC)
HOUR = datetime.timedelta(hours=1)


@pytest.fixture
def logged(first: Revision, owner: Member) -> dict[str, Any]:
    """One of everything, by the owner."""
    airframe, transmitter = first.airframe, TransmitterFactory.create(owner=owner)
    airframe.mark = "TERN 4"
    airframe.save()
    fitting = fleet.fit(user=owner, receiver=ReceiverFactory.create(), airframe=airframe, at=NOON)
    flown: dict[str, Any] = {
        "revision": first,
        "flown_on": NOON.date(),
        "pilot": owner,
        "load": "small",
        "verdict": "keep",
    }
    digest = failsafe_digest(first.setup)
    return {
        "fitting": fitting,
        "binding": fleet.bind(user=owner, airframe=airframe, transmitter=transmitter, at=NOON),
        "check": fleet.record_check(user=owner, airframe=airframe, kind="range", transmitter=transmitter,
                                    failsafe_digest=digest, passed=True, at=NOON + HOUR),
        "seen": fleet.see_mark(user=owner, airframe=airframe),
        "entered": setups.enter(user=owner, revision=first, transmitter=transmitter, model_memory="07"),
        "flight": flights.log_flight(user=owner, **flown).flight,
        "work": flights.record_work(user=owner, airframe=airframe, kind="servo", note="a new servo"),
        "throw_check": flights.record_throw_check(
            user=owner, revision=first, readings=[flights.Read("elevator", {"pitch": 100}, -9.6, -9.5)]),
        "balance_check": flights.record_balance_check(user=owner, revision=first, load="small", cg_mm=65, mass_g=2100),
    }  # fmt: skip


WAYS: dict[str, Any] = {
    "fitting": lambda user, row, reason: fleet.withdraw_fitting(user=user, fitting=row, reason=reason),
    "binding": lambda user, row, reason: fleet.withdraw_binding(user=user, binding=row, reason=reason),
    "check": lambda user, row, reason: fleet.withdraw_check(user=user, check=row, reason=reason),
    "seen": lambda user, row, reason: fleet.withdraw_mark_seen(user=user, seen=row, reason=reason),
    "entered": lambda user, row, reason: setups.withdraw_entered(user=user, entered=row, reason=reason),
    "flight": lambda user, row, reason: flights.withdraw_flight(user=user, flight=row, reason=reason),
    "work": lambda user, row, reason: flights.withdraw_work(user=user, work=row, reason=reason),
    "throw_check": lambda user, row, reason: flights.withdraw_throw_check(user=user, check=row, reason=reason),
    "balance_check": lambda user, row, reason: flights.withdraw_balance_check(user=user, check=row, reason=reason),
}
COUNTS: dict[str, Any] = {
    "fitting": lambda airframe: current_fitting(airframe) is not None,
    "binding": lambda airframe: standing_of(airframe).binding is not None,
    "check": lambda airframe: "range" in standing_of(airframe).checks,
    "seen": lambda airframe: standing_of(airframe).club.mark_seen == "TERN 4",
    "entered": lambda airframe: currently_entered(airframe) is not None,
    "flight": lambda airframe: last_that_flew_well(airframe) is not None,
    "work": lambda airframe: ("servo", "") in standing_of(airframe).worked.work,
    "throw_check": lambda airframe: bool(standing_of(airframe).worked.throws_read),
    "balance_check": lambda airframe: standing_of(airframe).club.mass_g == 2100,
}


@pytest.mark.parametrize("what", WAYS)
def test_it_counts_no_longer_and_stays_to_be_read(logged: dict[str, Any], owner: Member, what: str) -> None:
    airframe, row = Airframe.objects.get(), logged[what]
    assert COUNTS[what](airframe)
    withdrawn = WAYS[what](owner, row, " logged for the wrong model ")
    assert not COUNTS[what](airframe)
    stored = type(row).everything.get(pk=row.pk)
    assert (stored.withdrawn_by, stored.withdrawal_reason) == (owner, "logged for the wrong model")
    assert stored.withdrawn_at == withdrawn.withdrawn_at
    assert not type(row).objects.filter(pk=row.pk).exists()


@pytest.mark.parametrize("what", WAYS)
def test_who_may(logged: dict[str, Any], reader: Member, helper: Member, instructor: Member, what: str) -> None:
    """A helper may log things on the airframe, but not take back what the owner logged."""
    for member in (reader, helper):
        with pytest.raises(NotAllowed, match="whoever logged it"):
            WAYS[what](member, logged[what], "not so")
    assert WAYS[what](instructor, logged[what], "not so").withdrawn_by == instructor


@pytest.mark.parametrize("what", WAYS)
def test_with_a_reason_and_once(logged: dict[str, Any], owner: Member, what: str) -> None:
    for reason in ("", "   ", "x" * 501):
        with pytest.raises(FleetError, match=r"Say why|501 characters"):
            WAYS[what](owner, logged[what], reason)
    WAYS[what](owner, logged[what], "twice")
    with pytest.raises(FleetError, match="withdrawn already, by Olive Owner"):
        WAYS[what](owner, logged[what], "again")


@pytest.mark.parametrize("what", WAYS)
def test_never_deleted(logged: dict[str, Any], what: str) -> None:
    row = logged[what]
    with pytest.raises(NeverDeleted, match="withdraw it with a reason"):
        row.delete()
    for rows in (type(row).objects.all(), type(row).everything.filter(pk=row.pk)):
        with pytest.raises(NeverDeleted, match="withdraw it with a reason"):
            rows.delete()


@pytest.mark.parametrize("model", [Fitting, Binding, Check, MarkSeen, Entered, Flight, Grounding, Work, ThrowCheck,
                                   BalanceCheck])  # fmt: skip
def test_the_database_wants_the_whole_of_it(
    logged: dict[str, Any], owner: Member, airframe: Airframe, model: Any
) -> None:
    flights.ground(user=owner, airframe=airframe, reason="crack")
    for half in ({"withdrawn_at": NOON}, {"withdrawn_by": owner}, {"withdrawal_reason": "x"},
                 {"withdrawn_at": NOON, "withdrawn_by": owner}):  # fmt: skip
        with pytest.raises(IntegrityError), transaction.atomic():
            model.everything.update(**half)


class TestAGrounding:
    def test_its_author_alone_does_not_withdraw_it(self, owner: Member, instructor: Member, airframe: Airframe) -> None:
        """That would be a way round the release."""
        grounding = flights.ground(user=owner, airframe=airframe, reason="crack")
        with pytest.raises(NotAllowed, match="instructor or a secretary"):
            flights.withdraw_grounding(user=owner, grounding=grounding, reason="it was a scratch")
        assert is_grounded(airframe)
        flights.withdraw_grounding(user=instructor, grounding=grounding, reason="wrong model")
        assert not is_grounded(airframe)
        with pytest.raises(FlightError, match="withdrawn already"):
            flights.release(user=instructor, grounding=grounding, reason="fine")

    def test_nor_ones_own_where_a_second_person_has_to_release(self, instructor: Member) -> None:
        own = AirframeFactory.create(owner=instructor)
        grounding = flights.ground(user=instructor, airframe=own, reason="rebuilt", second_person=True)
        with pytest.raises(NotAllowed, match="second person"):
            flights.withdraw_grounding(user=instructor, grounding=grounding, reason="mine")

    def test_a_flight_that_is_withdrawn_leaves_the_model_grounded(self, first: Revision, owner: Member) -> None:
        logged = flights.log_flight(
            user=owner, revision=first, flown_on=NOON.date(), pilot=owner, load="small", verdict="keep",
            condition_after="damaged",
        )  # fmt: skip
        flights.withdraw_flight(user=owner, flight=logged.flight, reason="it was another day")
        assert is_grounded(first.airframe)


class TestAReceiverMove:
    def test_everything_goes_back_where_it_was(self, owner: Member, airframe: Airframe) -> None:
        other = AirframeFactory.create(owner=owner)
        moved, stayed = ReceiverFactory.create(label="R7"), ReceiverFactory.create(label="R8")
        fleet.fit(user=owner, receiver=moved, airframe=airframe, at=NOON)
        fleet.fit(user=owner, receiver=stayed, airframe=other, at=NOON)
        mistake = fleet.fit(user=owner, receiver=moved, airframe=other, at=NOON + HOUR)
        fleet.withdraw_fitting(user=owner, fitting=mistake, reason="it was R9")
        for one, sits in ((airframe, moved), (other, stayed)):
            fitting = current_fitting(one)
            assert fitting is not None
            assert (fitting.receiver, fitting.until) == (sits, None)
        assert set(Receiver.objects.values_list("status", flat=True)) == {"in_use"}

    def test_where_something_moved_since_it_stays_there(self, owner: Member, airframe: Airframe) -> None:
        other, third = AirframeFactory.create(owner=owner), AirframeFactory.create(owner=owner)
        receiver = ReceiverFactory.create()
        fleet.fit(user=owner, receiver=receiver, airframe=airframe, at=NOON)
        mistake = fleet.fit(user=owner, receiver=receiver, airframe=other, at=NOON + HOUR)
        fleet.fit(user=owner, receiver=receiver, airframe=third, at=NOON + 2 * HOUR)
        mistake.refresh_from_db()
        fleet.withdraw_fitting(user=owner, fitting=mistake, reason="never was there")
        assert Fitting.objects.get(until=None).airframe == third

    def test_the_checks_made_before_hold_again(self, logged: dict[str, Any], owner: Member, first: Revision) -> None:
        other = AirframeFactory.create(owner=owner)
        receiver = logged["fitting"].receiver
        mistake = fleet.fit(user=owner, receiver=receiver, airframe=other, at=timezone.now())
        digest = failsafe_digest(first.setup)
        assert not check_standings(first.airframe, failsafe_digest=digest)["range"].current
        fleet.withdraw_fitting(user=owner, fitting=mistake, reason="it stayed")
        assert check_standings(first.airframe, failsafe_digest=digest)["range"].current


def test_a_check_that_is_withdrawn_leaves_the_one_before(logged: dict[str, Any], owner: Member) -> None:
    airframe = Airframe.objects.get()
    before = logged["check"]
    later = fleet.record_check(
        user=owner, airframe=airframe, kind="range", transmitter=before.transmitter, passed=False,
        failsafe_digest=before.failsafe_digest, at=NOON + 2 * HOUR,
    )  # fmt: skip
    assert not standing_of(airframe).checks["range"].current
    fleet.withdraw_check(user=owner, check=later, reason="typed for the wrong model")
    assert standing_of(airframe).checks["range"].check == before
