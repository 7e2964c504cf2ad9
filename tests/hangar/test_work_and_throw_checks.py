"""Work on the model, throws read with a ruler, and what makes them stale."""

import datetime

import pytest
from django.core.exceptions import ValidationError

from hangar.fleet.models import Airframe
from hangar.flights.errors import FlightError
from hangar.flights.models import ThrowCheck
from hangar.flights.operations import Read, record_throw_check, record_work
from hangar.flights.reports import last_work_on_receiver, stale_throws
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.setups.operations import record, roll_back
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


def test_it_holds_for_the_setup_that_it_was_read_with(
    owner: Member, airframe: Airframe, first: Revision, checked: ThrowCheck
) -> None:
    assert stale_throws(checked, first) == {}
    other = record(user=owner, airframe=airframe, setup=make_setup(remarks="x"), base=first, reason="r").revision
    assert stale_throws(checked, other) == {"elevator": "the setup was changed since revision 1"}
    back = roll_back(user=owner, airframe=airframe, to=first, reason="back").revision
    assert stale_throws(checked, back) == {}, "the same document again"


@pytest.mark.parametrize(
    ("surface", "hours", "stale"), [("elevator", 1, True), ("", 1, True), ("rudder", 1, False), ("elevator", -1, False)]
)
def test_work_on_the_surface_makes_it_stale(
    owner: Member, airframe: Airframe, first: Revision, checked: ThrowCheck, surface: str, hours: int, stale: bool
) -> None:
    record_work(user=owner, airframe=airframe, kind="servo", note="gears", surface=surface, at=NOON + hours * HOUR)
    expected = {"elevator": "work on the model since: gears"} if stale else {}
    assert stale_throws(checked, first) == expected


def test_what_cannot_be_read(owner: Member, reader: Member, first: Revision) -> None:
    with pytest.raises(FlightError, match="at least one throw"):
        record_throw_check(user=owner, revision=first, readings=[])
    one = Read("canard", {}, predicted_mm=0, measured_mm=0)
    with pytest.raises(FlightError, match="no surface 'canard'; give one of elevator"):
        record_throw_check(user=owner, revision=first, readings=[one])
    with pytest.raises(NotAllowed):
        record_throw_check(user=reader, revision=first, readings=[one])
    assert not ThrowCheck.objects.exists()


def test_work_on_the_receiver(owner: Member, airframe: Airframe) -> None:
    assert last_work_on_receiver(airframe) is None
    record_work(user=owner, airframe=airframe, kind="hinge", note="tape", at=NOON)
    assert last_work_on_receiver(airframe) is None
    for hours, kind in ((1, "receiver"), (3, "repair"), (2, "receiver")):
        record_work(user=owner, airframe=airframe, kind=kind, note="n", at=NOON + hours * HOUR)
    assert last_work_on_receiver(airframe) == NOON + 3 * HOUR


def test_who_and_what(owner: Member, reader: Member, airframe: Airframe) -> None:
    with pytest.raises(NotAllowed):
        record_work(user=reader, airframe=airframe, kind="servo", note="n")
    with pytest.raises(FlightError):
        record_work(user=owner, airframe=airframe, kind="servo", note=" ")
    with pytest.raises(ValidationError) as refused:
        record_work(user=owner, airframe=airframe, kind="magic", note="n")
    assert set(refused.value.message_dict) == {"kind"}
