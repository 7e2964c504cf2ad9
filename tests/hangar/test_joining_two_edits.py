"""A setup that was joined from two edits is audited again, and what got worse is told."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.drafts import start_draft
from hangar.setups.models import Revision
from hangar.setups.operations import record
from mixing import Setup
from mixing.merge import got_worse
from tests.factories import make_setup, record_first

STATIONS = {"pitch": [[-100, 40], [100, -40]], "trim": [[-100, 30], [100, -30]]}


def two_on_the_elevator(**percent: float) -> Setup:
    """Stick and knob add up on the elevator, whose stop is at 9 mm: 75 % of its travel."""
    setup = make_setup()
    controls = [control.model_dump() for control in setup.controls]
    knob = {**controls[0], "key": "trim", "label": "Left knob", "kind": "knob", "uses": []}
    surface = setup.surface("elevator").model_dump() | {"stop_up_deg": 13.0, "stop_down_deg": 13.0}
    couplings: list[Any] = [coupling.model_dump() for coupling in setup.couplings if coupling.control != "pitch"]
    for control, stations in STATIONS.items():
        end = percent.get(control, stations[0][1])
        couplings.append({**couplings[0], "control": control, "channel": 1, "stations": [[-100, end], [100, -end]]})
    return setup.changed(controls=[*controls, knob], surfaces=[surface], couplings=couplings)


@pytest.fixture
def start(airframe: Airframe) -> Revision:
    return record_first(airframe, two_on_the_elevator())


def test_two_safe_edits_that_sum_past_a_stop(start: Revision, owner: Member, helper: Member) -> None:
    record(user=helper, airframe=start.airframe, setup=two_on_the_elevator(trim=34), base=start, reason="more knob")
    done = record(user=owner, airframe=start.airframe, setup=two_on_the_elevator(pitch=45), base=start, reason="more")
    assert done.merged
    assert {finding.code for finding in done.worse} == {"past-stop"}
    assert "Elevator" in done.worse[0].text


def test_safe_together(start: Revision, owner: Member, helper: Member) -> None:
    record(user=helper, airframe=start.airframe, setup=two_on_the_elevator(trim=31), base=start, reason="more knob")
    done = record(user=owner, airframe=start.airframe, setup=two_on_the_elevator(pitch=41), base=start, reason="more")
    assert (done.merged, done.worse) == (True, ())


def test_what_one_side_had_already_is_not_told_as_new() -> None:
    bad, good = two_on_the_elevator(pitch=90), two_on_the_elevator()
    assert got_worse((bad, good), bad) == ()
    assert got_worse((good, good), bad) != ()


def test_the_page_tells_it(start: Revision, owner: Member, helper: Member) -> None:
    start_draft(user=owner, airframe=start.airframe, setup=two_on_the_elevator(pitch=45), base=start)
    record(user=helper, airframe=start.airframe, setup=two_on_the_elevator(trim=34), base=start, reason="more knob")
    browser = Client()
    browser.force_login(owner)
    response = browser.post(
        reverse("setups:draft", args=["big-glider"]), {"do": "record", "reason": "more pitch"}, follow=True
    )
    page = response.content.decode()
    assert "Joining the two brought what neither had alone. Elevator" in page
    assert "It was joined with what was recorded meanwhile" in page
