"""The channel map is edited in place: reversed, plugged in elsewhere, Y-leads made and undone, all on the draft."""

import json
import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.fleet.operations import fit
from hangar.members.models import Member
from hangar.setups.models import Draft, Revision
from mixing import Rig, Setup
from tests.factories import ReceiverFactory
from tests.hangar.pages.conftest import Answer, SignIn, words

MAP = reverse("setups:parts", args=["big-glider", "channels"])
REWIRE = reverse("setups:rewire", args=["big-glider"])


def do(browser: Client, deed: str, key: str, *, section: str = "surfaces", **more: Any) -> Answer:
    desk = browser.get(MAP).context["desk"]
    base = {} if desk.draft else {"base": desk.base.number}
    sent = {"do": deed, "section": section, "key": key, "version": desk.version, **base, **more}
    answer: Answer = browser.post(REWIRE, sent, follow=True)
    return answer


def drafted(member: Member) -> Setup:
    return Setup.from_text(Draft.objects.get(member=member).text)


def block(response: Answer, key: str) -> str:
    """What the map says of one part."""
    found = re.search(rf'<li class="wire" id="{key}">.*?(?=<li class="wire"|</ul>\s*(<section|<div))',
                      response.content.decode(), flags=re.DOTALL)  # fmt: skip
    assert found is not None
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", found[0]))


def test_led_by_surface(glider: Revision, glider_setup: Setup, owner: Member, sign_in: SignIn) -> None:
    page = sign_in(owner).get(MAP)
    rig = Rig(glider_setup)
    for surface in glider_setup.surfaces:
        told = block(page, surface.key)
        channel = glider_setup.channel(surface.channel)
        for travel in (100, -100):
            throw = float(rig.follow(surface, rig.pulse(channel, travel)[0]).throw_mm(chord_mm=surface.chord_mm))
            way = ("down", "up") if surface.role != "rudder" else ("left", "right")
            assert f"{abs(throw):.1f} mm {way[0] if throw > 0 else way[1]}" in told
        assert f"channel {surface.channel}" in told
    body = page.content.decode()
    # The pulse figures are there, folded away.
    assert body.count("<details>") == 3 * 7
    assert "<details open" not in body


def test_reversing_tells_before_and_after(
    glider: Revision, glider_setup: Setup, owner: Member, sign_in: SignIn
) -> None:
    browser = sign_in(owner)
    line = next(one for one in browser.get(MAP).context["map"].lines if one.part["key"] == "elevator")
    back = next(one for one in line.reversal if one.place == "Elevator stick back")
    assert (back.now.word, back.then.word) == ("up", "down")
    response = do(browser, "reverse", "elevator")
    number = glider_setup.surface("elevator").channel
    assert f"Channel {number} is reversed in the draft." in words(response)
    assert drafted(owner).channel(number).reversed != glider_setup.channel(number).reversed
    # The prediction was what the draft now really does, and the audit says so at the surface.
    throw = float(Rig(drafted(owner)).at({"pitch": 100}).throw_mm["elevator"])
    assert back.then.figure == f"{throw:.1f} mm"
    assert "Warning" in block(response, "elevator")
    # Where the audit says that it goes the wrong way, reversing it again lies open.
    assert response.content.decode().count("<details open>") == 1
    do(browser, "reverse", "elevator")
    assert drafted(owner).text() == glider_setup.text()


def test_to_a_free_channel(glider: Revision, glider_setup: Setup, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    old = glider_setup.surface("right_flap").channel
    response = do(browser, "exchange:9", "right_flap")
    assert "Now on channel 9: Right flap. All that belongs to it went along; no throw changed." in words(response)
    assert drafted(owner).surface("right_flap").channel == 9
    assert not any(one.number == old for one in drafted(owner).channels)
    do(browser, f"exchange:{old}", "right_flap")
    assert drafted(owner).text() == glider_setup.text()


def test_changing_places(glider: Revision, glider_setup: Setup, owner: Member, sign_in: SignIn) -> None:
    a, b = glider_setup.surface("left_flap").channel, glider_setup.surface("right_flap").channel
    response = do(sign_in(owner), f"exchange:{b}", "left_flap")
    assert f"Left flap and Right flap changed places: channels {b} and {a}." in words(response)
    assert drafted(owner).channel(b).label == glider_setup.channel(a).label


def test_a_y_lead_and_its_warning(glider: Revision, glider_setup: Setup, owner: Member, sign_in: SignIn) -> None:
    """Both ailerons on one channel: the map says at the surface what that can never do."""
    browser = sign_in(owner)
    left, right = (glider_setup.surface(f"{side}_aileron").channel for side in ("left", "right"))
    response = do(browser, f"share:{left}", "right_aileron")
    assert f"Right aileron shares channel {left} with Left aileron by a Y-lead now." in words(response)
    assert "Y-lead with Left aileron" in block(response, "right_aileron")
    together = block(response, "left_aileron") + block(response, "right_aileron")
    assert f"share channel {left}" in together
    assert not any(one.number == right for one in drafted(owner).channels)
    response = do(browser, f"unshare:{right}", "right_aileron")
    assert "Y-lead" not in block(response, "right_aileron")
    assert drafted(owner).surface("right_aileron").channel == right


def test_against_the_receiver(glider: Revision, airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    assert "No receiver is fitted" in words(browser.get(MAP))
    receiver = ReceiverFactory.create(label="R6")
    fit(user=owner, airframe=airframe, receiver=receiver)
    receiver.channels = 6
    receiver.save()
    page = browser.get(MAP)
    assert "7 of 6 channels in use too few channels" in words(page)
    beyond = next(line for line in page.context["map"].lines if line.beyond)
    assert "does not exist on this receiver" in block(page, beyond.part["key"])


@pytest.mark.parametrize(
    ("deed", "key", "section", "told"),
    [
        ("exchange:", "left_flap", "surfaces", "Choose the channel"),
        ("exchange:99", "left_flap", "surfaces", "Choose the channel"),
        ("paint:3", "left_flap", "surfaces", "Choose the channel"),
        ("reverse", "wheel", "surfaces", "not in this draft any more"),
        ("reverse", "left_flap", "couplings", "not in this draft any more"),
        ("unshare:1", "left_flap", "surfaces", "is taken"),
    ],
)
def test_what_cannot_be(
    glider: Revision, owner: Member, sign_in: SignIn, deed: str, key: str, section: str, told: str
) -> None:
    assert told in words(do(sign_in(owner), deed, key, section=section))
    assert not Draft.objects.exists()


def test_from_a_page_that_is_out_of_date(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    do(browser, "reverse", "elevator")
    before = drafted(owner).text()
    assert "saved from another page meanwhile" in words(do(browser, "reverse", "left_flap", version="7"))
    assert drafted(owner).text() == before


def test_of_a_draft_that_is_not_complete(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    data = glider.setup.data()
    data["surfaces"][0]["chord_mm"] = "wide"
    data["surfaces"][1]["channel"] = None
    data["channels"][0]["number"] = "one"
    Draft.objects.create(airframe=glider.airframe, member=owner, base=glider, text=json.dumps(data))
    browser = sign_in(owner)
    page = words(browser.get(MAP))
    assert "The draft is not complete yet, so no throws can be told." in page
    assert "is not set in this draft" in page
    do(browser, "exchange:12", "elevator")
    stored = json.loads(Draft.objects.get().text)
    assert next(one for one in stored["surfaces"] if one["key"] == "elevator")["channel"] == 12
    assert stored["surfaces"][0]["chord_mm"] == "wide"


def test_who_may(glider: Revision, reader: Member, helper: Member, sign_in: SignIn) -> None:
    browser = sign_in(reader)
    assert browser.get(MAP).status_code == 403
    assert browser.post(REWIRE, {"do": "reverse"}).status_code == 403
    assert browser.post(REWIRE.replace("big-glider", "no-such"), {"do": "reverse"}).status_code == 404
    do(sign_in(helper), "reverse", "elevator")
    assert Draft.objects.get().member == helper
