"""Test flights, their verdicts, and the last setup that flew well."""

import datetime
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from hangar.fleet.models import Airframe
from hangar.flights.errors import FlightError
from hangar.flights.models import Flight
from hangar.flights.operations import Logged, log_flight
from hangar.flights.reasons import in_words
from hangar.flights.reports import is_grounded, last_that_flew_well, last_verdict
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.setups.operations import record
from tests.factories import AirframeFactory, make_setup, record_first

MAY = [datetime.date(2026, 5, day) for day in range(1, 10)]


def fly(revision: Revision, **changes: Any) -> Logged:
    owner = revision.airframe.owner
    fields = {"user": owner, "pilot": owner, "flown_on": MAY[0], "load": "small", "verdict": "keep"}
    return log_flight(revision=revision, **{**fields, **changes})


@pytest.fixture
def three(owner: Member, airframe: Airframe, first: Revision) -> list[Revision]:
    revisions = [first]
    for number in (2, 3):
        setup = make_setup(remarks=str(number))
        done = record(user=owner, airframe=airframe, setup=setup, base=revisions[-1], reason="r")
        revisions.append(done.revision)
    return revisions


def test_a_flight(owner: Member, helper: Member, first: Revision) -> None:
    logged = fly(first, user=helper, wind=" light, along the slope ", observation="level", reason="as wanted")
    flight = Flight.objects.get()
    assert (logged.flight, logged.grounding, logged.was_grounded) == (flight, None, False)
    assert (flight.pilot, flight.by, flight.wind) == (owner, helper, "light, along the slope")


def test_the_newest_revision_that_was_kept(airframe: Airframe, three: list[Revision]) -> None:
    assert last_that_flew_well(airframe) is None
    fly(three[0])
    fly(three[1])
    fly(three[2], verdict="reject", reason="stalls at full brake")
    assert last_that_flew_well(airframe) == three[1]


def test_only_its_last_verdict_counts(airframe: Airframe, three: list[Revision]) -> None:
    fly(three[0], flown_on=MAY[0])
    fly(three[1], flown_on=MAY[1])
    fly(three[1], flown_on=MAY[3], verdict="tweak", reason="climbs with brake")
    assert last_that_flew_well(airframe) == three[0]
    fly(three[1], flown_on=MAY[2])
    assert last_that_flew_well(airframe) == three[0], "logged later, flown earlier"
    fly(three[1], flown_on=MAY[3])
    assert last_that_flew_well(airframe) == three[1], "the later of two on one day"


def test_other_airframes_do_not_count(owner: Member, airframe: Airframe, first: Revision) -> None:
    fly(record_first(AirframeFactory.create(owner=owner)))
    assert last_that_flew_well(airframe) is None


def test_each_revision_carries_its_last_verdict(three: list[Revision]) -> None:
    fly(three[0], flown_on=MAY[0])
    fly(three[0], flown_on=MAY[1], verdict="tweak", reason="r")
    fly(three[2], flown_on=MAY[1])
    verdicts = Revision.objects.annotate(last_verdict=last_verdict()).order_by("number")
    assert list(verdicts.values_list("last_verdict", flat=True)) == ["tweak", None, "keep"]


@pytest.mark.parametrize("condition", ["inspect", "damaged"])
def test_a_model_in_doubt_is_grounded_with_it(airframe: Airframe, first: Revision, condition: str) -> None:
    logged = fly(first, condition_after=condition)
    assert logged.grounding is not None
    assert (logged.grounding.flight, logged.grounding.airframe) == (logged.flight, airframe)
    assert condition in in_words([logged.grounding.why])[0]
    assert is_grounded(airframe)


def test_a_flight_of_a_grounded_model_is_not_lost(first: Revision) -> None:
    fly(first, condition_after="damaged")
    assert fly(first).was_grounded
    assert Flight.objects.count() == 2


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"load": "anvil"}, "has no load “anvil”; give one of small"),
        ({"flown_on": datetime.date(2999, 1, 1)}, "still to come"),
        ({"verdict": "reject"}, "reason of the verdict reject"),
        ({"verdict": "tweak", "reason": "  "}, "reason of the verdict tweak"),
    ],
)
def test_what_cannot_be(first: Revision, changes: dict[str, Any], message: str) -> None:
    with pytest.raises(FlightError, match=message):
        fly(first, **changes)
    assert not Flight.objects.exists()


def test_a_choice_that_is_none_is_said_at_its_field(first: Revision) -> None:
    with pytest.raises(ValidationError) as refused:
        fly(first, verdict="superb", condition_after="dented")
    assert set(refused.value.message_dict) == {"verdict", "condition_after"}


def test_a_reader_logs_nothing(reader: Member, first: Revision) -> None:
    with pytest.raises(NotAllowed):
        fly(first, user=reader)
