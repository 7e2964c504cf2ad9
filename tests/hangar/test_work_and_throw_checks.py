"""Work on the model, throws read with a ruler, and what makes them stale."""

import datetime

import pytest
from django.core.exceptions import ValidationError

from hangar.fleet.models import Airframe
from hangar.flights.errors import FlightError
from hangar.flights.models import ThrowCheck
from hangar.flights.operations import Read, record_throw_check, record_work
from hangar.flights.standings import standing_of
from hangar.flights.work import TOUCHES_RECEIVER
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.setups.models import Revision
from mixing import Rig
from tests.factories import make_setup

NOON = datetime.datetime(2026, 5, 1, 12, tzinfo=datetime.UTC)
HOUR = datetime.timedelta(hours=1)


@pytest.fixture
def checked(owner: Member, first: Revision) -> ThrowCheck:
    predicted = float(Rig(make_setup()).at({"pitch": -100}).throw_mm["elevator"])
    reading = Read("elevator", {"pitch": -100.0}, predicted_mm=predicted, measured_mm=9.0)
    return record_throw_check(user=owner, revision=first, readings=[reading], at=NOON)


def test_a_throw_check(checked: ThrowCheck) -> None:
    reading = checked.readings.get()
    assert reading.positions == {"pitch": -100.0}
    assert reading.predicted_mm == pytest.approx(9.6)
    assert reading.off_by_mm == pytest.approx(-0.6)


def test_what_cannot_be_read(owner: Member, reader: Member, first: Revision) -> None:
    with pytest.raises(FlightError, match="at least one throw"):
        record_throw_check(user=owner, revision=first, readings=[])
    one = Read("canard", {}, predicted_mm=0, measured_mm=0)
    with pytest.raises(FlightError, match="no surface “canard”; give one of elevator"):
        record_throw_check(user=owner, revision=first, readings=[one])
    with pytest.raises(NotAllowed):
        record_throw_check(user=reader, revision=first, readings=[one])
    assert not ThrowCheck.objects.exists()


def test_work_on_the_receiver(owner: Member, airframe: Airframe) -> None:
    def worked_at() -> datetime.datetime | None:
        return standing_of(airframe).worked.last(TOUCHES_RECEIVER)

    assert worked_at() is None
    record_work(user=owner, airframe=airframe, kind="hinge", note="tape", at=NOON)
    assert worked_at() is None
    for hours, kind in ((1, "receiver"), (3, "repair"), (2, "receiver")):
        record_work(user=owner, airframe=airframe, kind=kind, note="n", at=NOON + hours * HOUR)
    assert worked_at() == NOON + 3 * HOUR


def test_who_and_what(owner: Member, reader: Member, airframe: Airframe) -> None:
    with pytest.raises(NotAllowed):
        record_work(user=reader, airframe=airframe, kind="servo", note="n")
    with pytest.raises(FlightError):
        record_work(user=owner, airframe=airframe, kind="servo", note=" ")
    with pytest.raises(ValidationError) as refused:
        record_work(user=owner, airframe=airframe, kind="magic", note="n")
    assert set(refused.value.message_dict) == {"kind"}
