"""A pilot who has never seen the site, by keyboard alone: new airframe, throws, bench, record, sheet.

At each page axe reads what is there, on a phone by day and on a desk by night. When this was written it took 14 deeds
(a box, a choice, a button) and 224 keys, Tab and letters too: at a key a second, which is slow, under four minutes.
"""

import re
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from hangar.members.models import Member
from hangar.setups.models import Revision
from mixing import Rig
from tests.browser.by_keyboard import Hands
from tests.browser.conftest import fits, new_page, sign_in

pytestmark = pytest.mark.django_db(transaction=True)

MOST_DEEDS = 15
MOST_KEYS = 300
"""At a key a second five minutes, which leaves as many for finding out."""


@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (1280, "dark")])
def test_in_fifteen_deeds_and_three_hundred_keys(
    nora: Member, browser: Browser, live_server: Any, width: int, scheme: Any
) -> None:
    page = new_page(browser, viewport={"width": width, "height": 800}, color_scheme=scheme)
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    sign_in(page, live_server.url)
    hands = Hands(page)

    expect(page.get_by_text("The hangar is empty.")).to_be_visible()
    reads_well(page)
    hands.follow(page.get_by_role("link", name="Add the first airframe"))
    put_together(hands)
    type_throws(hands)
    look_at_the_bench(hands)
    record(hands)
    open_the_sheet(hands)

    setup = Revision.objects.get(airframe__owner=nora).setup
    assert setup.channel(3).label == "Motor"
    frame = Rig(setup).at({"pitch": [100, -100], "brake": -100})
    assert float(Rig(setup).at({"pitch": 100}).throw_mm["right_panel"]) == pytest.approx(-9, abs=0.1)
    assert frame.throw_mm["left_flap"][0] > 20
    assert complaints == []
    assert hands.deeds <= MOST_DEEDS, hands.deeds
    assert hands.keys <= MOST_KEYS, hands.keys
    page.context.close()


def reads_well(page: Page) -> None:
    """No fault that axe knows, and nothing over the edge."""
    page.wait_for_load_state("load")
    found = Axe().run(page).response["violations"]
    assert not [f"{page.url}: {one['id']} at {one['nodes'][0]['target']}: {one['help']}" for one in found]
    assert fits(page), page.url


def put_together(hands: Hands) -> None:
    page = hands.page
    channels = page.get_by_role("list", name="Channels")
    hands.type(page.get_by_label("Name", exact=True), "Shore Lark")
    hands.type(page.get_by_label("Wing span, mm"), "2450")
    hands.tick(page.get_by_label("Inner flaps"))
    expect(channels).to_contain_text("Left flap")
    hands.tick(page.get_by_label("Ailerons go up with the brake"))
    hands.choose(page.get_by_label("Tailplane and fin"), page.get_by_label("V-tail", exact=True))
    expect(channels).to_contain_text("Right V-tail panel")
    expect(page.get_by_label("Rudder on the fin")).to_be_hidden()
    hands.choose(page.locator("[name=nose]:checked"), page.get_by_label("Electric motor"))
    expect(channels).to_contain_text("3 Motor")
    reads_well(page)
    hands.follow(page.get_by_role("button", name="Add it and see its throws"))


def type_throws(hands: Hands) -> None:
    page = hands.page
    expect(page.get_by_role("heading", name="Throws", exact=True)).to_be_visible()
    expect(page.get_by_role("status").first).to_contain_text("Your draft has 7 channels")
    reads_well(page)
    left, right = (
        page.get_by_role("textbox", name=re.compile(rf"(?=.*Elevator stick back)(?=.*{side} V-tail panel)"))
        for side in ("Left", "Right")
    )
    hands.type(left, "9 up")
    hands.press("Tab")
    for box in (left, right):
        expect(box).to_have_value(re.compile(r"^9\.0 mm up"))
    reads_well(page)
    hands.follow(page.get_by_role("link", name="See it move on the bench"))


def look_at_the_bench(hands: Hands) -> None:
    page = hands.page
    lever = page.get_by_role("slider", name="Brake lever")
    lever.wait_for()
    reads_well(page)
    hands.go_to(lever)
    hands.deeds += 1
    hands.press("Home")
    expect(page.get_by_role("row", name=re.compile("Right flap"))).to_contain_text("down")
    expect(page.get_by_role("row", name=re.compile("Right aileron"))).to_contain_text("up")
    reads_well(page)
    hands.follow(page.get_by_role("link", name="Record it"), "Shift+Tab")


def record(hands: Hands) -> None:
    page = hands.page
    expect(page.get_by_role("heading", name="Draft of Shore Lark")).to_be_visible()
    reads_well(page)
    expect(page.locator("[name=reason]")).to_have_value("First setup")
    hands.follow(page.get_by_role("button", name="Record a revision"))
    expect(page.get_by_role("status")).to_contain_text("Revision 1 is recorded.")
    reads_well(page)


def open_the_sheet(hands: Hands) -> None:
    page = hands.page
    sheet = page.get_by_role("link", name="Look at the sheet")
    with page.expect_response(re.compile("sheet")) as answered:
        hands.follow(sheet)
    assert answered.value.status == 200
    assert answered.value.headers["content-type"] == "application/pdf"
