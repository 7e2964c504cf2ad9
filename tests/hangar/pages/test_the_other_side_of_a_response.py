"""On the page of a response the other side of a pair gets the same throws, as long as it is ticked."""

import re

import numpy as np
import pytest
from django.test import Client
from django.urls import reverse

from hangar.members.models import Member
from hangar.setups.models import Draft, Revision
from mixing import Rig, Setup
from tests.hangar.pages.conftest import Answer, SignIn, values

RESPONSE = reverse("setups:coupling", args=["big-glider"])
FLAP = f"{RESPONSE}?control=lever&channel=6&phase="
AILERON = f"{RESPONSE}?control=roll&channel=1&phase="
X = np.linspace(-100, 100, 9)


def ticked(response: Answer) -> bool | None:
    box = re.search(r'<input type="checkbox" name="both"[^>]*>', response.content.decode())
    return None if box is None else " checked" in box[0]


def send(browser: Client, address: str, *, live: bool = False, **changes: str) -> Answer:
    headers = {"HX-Request": "true"} if live else {}
    return browser.post(address, {**values(browser.get(address)), **changes}, headers=headers, follow=True)


def throws(setup: Setup, control: str, surface: str) -> np.ndarray:
    return np.asarray(Rig(setup).at({control: X}).throw_mm[surface])


@pytest.mark.parametrize("live", [False, True])
def test_one_sided_on_both_sides(glider: Revision, owner: Member, sign_in: SignIn, live: bool) -> None:
    browser = sign_in(owner)
    assert ticked(browser.get(FLAP)) is True
    if live:
        send(browser, FLAP, live=True, both="1", travel_0="60")
    else:
        send(browser, FLAP, both="1", start="0", end="−100", reach="60", do="one_sided")
    setup = Draft.objects.get().setup
    assert throws(setup, "lever", "left_flap") == pytest.approx(throws(setup, "lever", "right_flap"), abs=0.1)
    assert abs(throws(setup, "lever", "left_flap")[0] - throws(glider.setup, "lever", "left_flap")[0]) > 5
    assert ticked(browser.get(FLAP)) is True


def test_against_each_other(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    send(browser, AILERON, both="1", low="30", high="−70", do="halves", fade_0="lever")
    setup = Draft.objects.get().setup
    assert throws(setup, "roll", "left_aileron")[::-1] == pytest.approx(throws(setup, "roll", "right_aileron"), abs=0.1)


def test_on_one_side_only(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    send(browser, FLAP, travel_0="60")
    setup = Draft.objects.get().setup
    assert throws(setup, "lever", "left_flap") == pytest.approx(throws(glider.setup, "lever", "left_flap"))
    assert ticked(browser.get(FLAP)) is False, "the sides differ now, and that was wanted"


def test_what_is_not_right_yet_stays_on_its_side(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    send(sign_in(owner), FLAP, both="1", travel_0="much")
    data = Draft.objects.get().text
    assert data.count("much") == 1


def test_taking_both_out(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    send(browser, FLAP, both="1", do="remove")
    left = {(one.control, one.channel) for one in Draft.objects.get().setup.couplings}
    assert not left & {("lever", 6), ("lever", 7)}
    assert ("lever", 1) in left


def test_where_there_is_no_other_side(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    assert ticked(browser.get(f"{RESPONSE}?control=pitch&channel=4&phase=")) is None
    assert ticked(browser.get(f"{RESPONSE}?control=power&channel=3&phase=")) is None
