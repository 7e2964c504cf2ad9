"""Anyone may ground a model; an instructor or secretary releases it, never their own where a second person has to."""

import datetime

import pytest
from django.db import IntegrityError, transaction

from hangar.fleet.models import Airframe
from hangar.flights.errors import FlightError
from hangar.flights.models import Grounding
from hangar.flights.operations import ground, record_work, release
from hangar.flights.reasons import in_words
from hangar.flights.reports import is_grounded, open_groundings
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from tests.factories import AirframeFactory

NOON = datetime.datetime(2026, 5, 1, 12, tzinfo=datetime.UTC)


def test_anyone_grounds_an_instructor_releases(reader: Member, instructor: Member, airframe: Airframe) -> None:
    grounding = ground(user=reader, airframe=airframe, reason=" crack at the left horn ")
    assert is_grounded(airframe)
    released = release(user=instructor, grounding=grounding, reason="horn glued anew, pulled with 50 N")
    assert (released.released_by, released.release_reason) == (instructor, "horn glued anew, pulled with 50 N")
    assert grounding.reason == "crack at the left horn"
    assert not is_grounded(airframe)


def test_each_cause_is_released_by_itself(reader: Member, secretary: Member, airframe: Airframe) -> None:
    first = ground(user=reader, airframe=airframe, reason="crack")
    second = ground(user=reader, airframe=airframe, reason="servo noise")
    release(user=secretary, grounding=first, reason="glued")
    assert list(open_groundings(airframe)) == [second]
    assert is_grounded(airframe)


def test_a_pilot_releases_nothing_not_even_their_own(owner: Member, airframe: Airframe) -> None:
    grounding = ground(user=owner, airframe=airframe, reason="crack")
    with pytest.raises(NotAllowed, match="ask an instructor"):
        release(user=owner, grounding=grounding, reason="looks fine")
    assert is_grounded(airframe)


def test_a_second_person_has_to(instructor: Member, secretary: Member, helper: Member) -> None:
    own = AirframeFactory.create(owner=instructor)
    helper.role = "instructor"
    helper.save()
    own.helpers.add(helper)
    grounding = ground(user=instructor, airframe=own, reason="first flight", second_person=True)
    for one in (instructor, helper):
        with pytest.raises(NotAllowed, match="second person"):
            release(user=one, grounding=grounding, reason="fine")
    release(user=secretary, grounding=grounding, reason="looked over together")


def test_an_instructor_releases_their_own_where_one_person_is_enough(instructor: Member) -> None:
    own = AirframeFactory.create(owner=instructor)
    grounding = ground(user=instructor, airframe=own, reason="loose screw")
    assert release(user=instructor, grounding=grounding, reason="tightened").released_at


def test_a_rebuild_grounds_until_a_second_person_released_it(owner: Member, airframe: Airframe) -> None:
    record_work(user=owner, airframe=airframe, kind="rebuild", note="new tail")
    grounding = open_groundings(airframe).get()
    assert (grounding.second_person, in_words([grounding.why])) == (True, ["rebuilt: new tail"])


def test_reasons_are_given(instructor: Member, airframe: Airframe) -> None:
    with pytest.raises(FlightError, match="Give a reason"):
        ground(user=instructor, airframe=airframe, reason=" ")
    grounding = ground(user=instructor, airframe=airframe, reason="crack")
    with pytest.raises(FlightError, match="Give a reason"):
        release(user=instructor, grounding=grounding, reason="")


def test_a_release_happens_once(instructor: Member, secretary: Member, airframe: Airframe) -> None:
    grounding = ground(user=instructor, airframe=airframe, reason="crack")
    release(user=instructor, grounding=grounding, reason="glued")
    with pytest.raises(FlightError, match="released from this already, by Ines Instructor"):
        release(user=secretary, grounding=grounding, reason="me too")


def test_the_database_wants_the_whole_of_a_release(instructor: Member, airframe: Airframe) -> None:
    grounding = ground(user=instructor, airframe=airframe, reason="crack", at=NOON)
    rows = Grounding.objects.filter(pk=grounding.pk)
    for half in (
        {"released_at": NOON},
        {"released_at": NOON, "released_by": instructor},
        {"release_reason": "fine"},
        {"released_at": NOON - datetime.timedelta(hours=1), "released_by": instructor, "release_reason": "fine"},
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            rows.update(**half)
