"""Low rates from one form: a switch, a fade of every response of the controls that were chosen, a row for each rate."""

import json
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from hangar.members.models import Member
from hangar.setups.models import Draft, Revision
from mixing import Rig
from tests.hangar.pages.conftest import Answer, SignIn, error_at, values, words

PAGE = reverse("setups:rates", args=["big-glider"])
THROWS = reverse("setups:throws", args=["big-glider"])


def send(browser: Client, **given: Any) -> Answer:
    return browser.post(PAGE, {**values(browser.get(PAGE)), "switch": "new", **given}, follow=True)


def test_a_new_switch(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    response = send(browser, controls=["roll", "pitch"], share="50")
    assert "a row for either rate now" in words(response)
    assert "Aileron stick right Rate switch low" in words(response)
    setup = Draft.objects.get().setup
    throw = Rig(setup).at({"pitch": [100, 100, 0], "rate_switch": [-100, 100, 100]}).travel_pct[4]
    assert throw[0] - throw[2] == pytest.approx(2 * (throw[1] - throw[2]))
    assert Rig(setup).at({}).throw_mm == Rig(glider.setup).at({}).throw_mm
    rated = {
        (one.control, one.channel) for one in setup.couplings for fade in one.fades if fade.control == "rate_switch"
    }
    moving = {surface.channel for surface in setup.surfaces}
    wanted = {(one.control, one.channel) for one in setup.couplings if one.control in ("roll", "pitch")}
    assert rated == {place for place in wanted if place[1] in moving}


def test_the_same_switch_for_another_control(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    send(browser, controls=["roll"], share="50")
    assert "Rate switch" in words(browser.get(PAGE))
    send(browser, controls=["roll", "yaw"], share="70", switch="rate_switch")
    setup = Draft.objects.get().setup
    fades = [fade for one in setup.couplings for fade in one.fades if fade.control == "rate_switch"]
    assert {fade.stations for fade in fades} == {((-100, 100), (100, 70))}
    assert len([one for one in setup.controls if one.kind == "switch"]) == 2


@pytest.mark.parametrize(
    ("given", "at", "told"),
    [
        ({"controls": [], "share": "50"}, "controls", "Choose one control at least."),
        ({"controls": ["roll"], "share": "some"}, "share", "“some” is not a number"),
        ({"controls": ["roll"], "share": "120"}, "share", "give at most 99"),
        ({"controls": ["roll"], "share": "50", "switch": "flightphase"}, "switch", "Select a valid choice"),
    ],
)
def test_what_cannot_be(
    glider: Revision, owner: Member, sign_in: SignIn, given: dict[str, Any], at: str, told: str
) -> None:
    response = send(sign_in(owner), **given)
    assert told in error_at(response, at)
    assert values(response)["share"] == given["share"]
    assert not Draft.objects.exists()


def test_what_another_page_did_meanwhile_stays(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    old = values(browser.get(PAGE))
    browser.post(THROWS, {**values(browser.get(THROWS)), "t-yaw-1-rudder": "12 right"})
    browser.post(PAGE, {**old, "controls": ["pitch"], "switch": "new", "share": "50"})
    setup = Draft.objects.get().setup
    assert round(float(Rig(setup).at({"yaw": 100}).throw_mm["rudder"]), 1) == -12
    assert "rate_switch" in {one.key for one in setup.controls}


def test_while_nothing_moves(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    data = {**glider.setup.data(), "couplings": []}
    Draft.objects.create(airframe=glider.airframe, member=owner, base=glider, text=json.dumps(data))
    assert "No control moves a surface yet." in words(sign_in(owner).get(PAGE))
