"""Two members record on one airframe at the same moment: threads, and the database as it is in a club."""

from collections.abc import Callable

import pytest

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.errors import RecordedMeanwhile
from hangar.setups.history import broken_links
from hangar.setups.models import Revision
from hangar.setups.operations import record
from mixing import Setup
from tests.factories import make_setup
from tests.hangar.at_once import at_once

pytestmark = pytest.mark.django_db(transaction=True)


def throw(percent: float) -> Setup:
    setup = make_setup()
    elevator, motor = (coupling.model_dump() for coupling in setup.couplings)
    return setup.changed(couplings=[{**elevator, "stations": [[-100, percent], [100, -percent]]}, motor])


def test_of_many_who_touch_the_same_one_is_recorded(owner: Member, airframe: Airframe, first: Revision) -> None:
    def attempt(percent: float) -> Callable[[], object]:
        return lambda: record(user=owner, airframe=airframe, setup=throw(percent), base=first, reason=f"{percent} %")

    raised = at_once(*(attempt(percent) for percent in range(50, 58)))
    assert [type(error) for error in raised].count(type(None)) == 1
    assert [type(error) for error in raised].count(RecordedMeanwhile) == 7
    assert Revision.objects.count() == 2
    assert list(broken_links(airframe)) == []


def test_one_who_clicks_twice_gets_one_revision(owner: Member, airframe: Airframe, first: Revision) -> None:
    def attempt() -> object:
        return record(user=owner, airframe=airframe, setup=throw(60), base=first, reason="softer")

    assert at_once(*[attempt] * 6) == [None] * 6
    assert Revision.objects.count() == 2


def test_the_first_setup_of_an_airframe(owner: Member, helper: Member, airframe: Airframe) -> None:
    raised = at_once(
        *(
            lambda user=user, percent=percent: record(
                user=user, airframe=airframe, setup=throw(percent), base=None, reason="start", origin="start"
            )
            for user, percent in ((owner, 60), (helper, 70), (owner, 80), (helper, 90))
        )
    )
    assert sorted(type(error).__name__ for error in raised) == ["NoneType"] + ["RecordedMeanwhile"] * 3
    assert Revision.objects.count() == 1


def test_different_airframes_do_not_stand_in_each_others_way(owner: Member, airframe: Airframe) -> None:
    from tests.factories import AirframeFactory

    airframes = [airframe, *AirframeFactory.create_batch(5, owner=owner)]

    def chain(one: Airframe) -> Callable[[], object]:
        def work() -> None:
            head = None
            for percent in (50, 60, 70, 80):
                head = record(user=owner, airframe=one, setup=throw(percent), base=head, reason="r").revision

        return work

    assert at_once(*(chain(one) for one in airframes)) == [None] * 6
    assert Revision.objects.count() == 24
    assert [wrong for one in airframes for wrong in broken_links(one)] == []
