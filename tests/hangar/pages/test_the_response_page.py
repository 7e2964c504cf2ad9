"""The page of one coupling as its script uses it: a look saves nothing, leaving a box saves, both tell throws."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from hangar.members.models import Member
from hangar.pictures.words import plain
from hangar.setups.models import Draft, Revision
from mixing import Rig, Setup
from tests.hangar.pages.conftest import Answer, SignIn, values, words

FLAP = reverse("setups:coupling", args=["big-glider"]) + "?control=lever&channel=6&phase="


def asked(browser: Client, changes: dict[str, str], *, do: str = "") -> Answer:
    """What the script sends: the form as it stands, with some boxes changed."""
    form = values(browser.get(FLAP))
    given = {**form, **changes, **({"do": do} if do else {})}
    return browser.post(FLAP, given, headers={"HX-Request": "true"})


def down(setup: Setup) -> str:
    return f"{plain(float(Rig(setup).at({'lever': -100}).throw_mm['right_flap']))} mm down"


def with_travel(setup: Setup, travel: float) -> Setup:
    couplings = [
        one.model_copy(update={"stations": ((-100.0, travel), (100.0, 0.0))})
        if (one.control, one.channel) == ("lever", 6) else one
        for one in setup.couplings
    ]  # fmt: skip
    return setup.changed(couplings=couplings)


def test_a_look_saves_nothing(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    response = asked(sign_in(owner), {"travel_0": "60"}, do="look")
    page = words(response)
    assert f"travel 60 % Right flap ↓ {down(with_travel(glider.setup, 60))}" in page
    assert response["HX-Trigger"] == "looked"
    assert 'aria-valuenow="60"' in response.content.decode()
    assert 'name="travel_0"' not in response.content.decode(), "no box is overwritten under the hand"
    assert Draft.objects.count() == 0


def test_leaving_a_box_saves(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    response = asked(sign_in(owner), {"travel_0": "60"})
    body = response.content.decode()
    assert response["HX-Trigger"] == "kept"
    assert "<html" not in body
    assert "Kept in your draft" in body
    assert 'name="version" value="2"' in body
    assert down(Draft.objects.get().setup) in words(response)
    assert Draft.objects.get().setup == with_travel(glider.setup, 60)


def test_a_look_at_nonsense_says_so(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    response = asked(sign_in(owner), {"travel_0": "much"}, do="look")
    assert "“much” is not a number" in words(response)
    assert "<svg" not in response.content.decode()


def test_sent_again_after_a_lost_answer(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    form = {**values(browser.get(FLAP)), "travel_0": "60"}
    for _ in range(2):
        response = browser.post(FLAP, form, headers={"HX-Request": "true"})
        assert "Kept in your draft" in words(response)
    assert Draft.objects.get().version == 2


def test_another_page_saved_meanwhile(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    form = values(browser.get(FLAP))
    asked(browser, {"travel_0": "60"})
    asked(browser, {"travel_0": "70"})
    response = browser.post(FLAP, {**form, "travel_0": "80"}, headers={"HX-Request": "true"})
    assert "This draft was saved from another page meanwhile" in words(response)
    assert "Take what is stored , or save again to put yours in its place." in words(response)
    assert "Take what is stored" not in words(asked(browser, {"travel_0": "70"}))
    assert Draft.objects.get().setup == with_travel(glider.setup, 70)


def test_findings_that_the_draft_brought(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    assert "New in this draft" not in words(browser.get(FLAP))
    response = asked(browser, {"travel_0": "60"})
    assert re.search(r"New in this draft.*Caution", words(response)), "one flap alone is uneven"
    assert "that revision 1 has too" in words(response)


def test_the_page_without_a_script(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    body = sign_in(owner).get(FLAP).content.decode()
    for button in ("work", "more", "slope", "record", "remove"):
        assert re.search(rf'<button[^>]*name="do" value="{button}"', body), button
    assert body.count('role="slider"') == 4, "two stations, for a desk and for a phone"


@pytest.mark.parametrize("do", ["look", "work"])
def test_readers_may_not_look_or_save(glider: Revision, reader: Member, sign_in: SignIn, do: str) -> None:
    response = sign_in(reader).post(FLAP, {"do": do}, headers={"HX-Request": "true"})
    assert response.status_code == 403
