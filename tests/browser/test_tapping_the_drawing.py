"""The plan view under a finger: a tap puts a surface on the model, and the drawing answers."""

import re
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from hangar.members.models import Member
from hangar.setups.models import Draft
from tests.browser.conftest import fits, new_page, next_page, sign_in

pytestmark = pytest.mark.django_db(transaction=True)


def test_taps_go_from_one_choice_to_the_next(signed_in: Page) -> None:
    page = signed_in
    page.get_by_role("link", name="Add the first airframe").tap()
    page.locator(".tap.inner.right").wait_for()
    page.wait_for_load_state("load")
    channels = page.get_by_role("list", name="Channels")
    page.locator(".tap.inner.right").tap()
    expect(page.get_by_label("Inner flaps")).to_be_checked()
    expect(channels).to_contain_text("Right flap")
    page.locator(".tap.tail").tap()
    expect(page.get_by_label("T-tail")).to_be_checked()
    # The drawing came anew, and the next tap goes on from there.
    expect(page.locator(".tap.tail")).to_have_attribute("for", "id_tail_2")
    page.locator(".tap.tail").tap()
    expect(page.get_by_label("V-tail", exact=True)).to_be_checked()
    expect(channels).to_contain_text("Left V-tail panel")
    page.locator(".tap.nose").tap()
    expect(channels).to_contain_text("Motor")
    page.locator(".tap.inner.left").tap()
    expect(channels).not_to_contain_text("flap")
    assert fits(page)


def test_the_drawing_stays_in_sight_and_covers_no_choice(signed_in: Page) -> None:
    """On a phone it is pinned to the top; what gets the focus, going up too, comes out from under it."""
    page = signed_in
    page.get_by_role("link", name="Add the first airframe").tap()
    page.get_by_label("Engine").wait_for()
    # Before its style sheet is there, nothing is pinned.
    page.wait_for_load_state("load")
    page.get_by_label("Engine").focus()
    below = page.locator(".plan-picture").bounding_box()
    assert below is not None
    assert below["y"] == pytest.approx(0, abs=1)
    for _ in range(8):
        page.keyboard.press("Shift+Tab")
        at = page.evaluate("document.activeElement.getBoundingClientRect().top")
        inside = page.evaluate("document.querySelector('.plan-choices').contains(document.activeElement)")
        assert not inside or at >= below["height"] - 1


def test_without_script(nora: Member, browser: Browser, live_server: Any) -> None:
    page = new_page(browser, java_script_enabled=False, viewport={"width": 360, "height": 740})
    sign_in(page, live_server.url)
    page.get_by_role("link", name="Add the first airframe").click()
    page.get_by_label("Name", exact=True).fill("Stint")
    page.get_by_label("Elevons: roll and pitch").check()
    page.get_by_role("group", name="Tail").get_by_label("None").first.check()
    with next_page(page):
        page.get_by_role("button", name="Draw it").click()
    channels = page.get_by_role("list", name="Channels")
    expect(channels).to_have_text(re.compile(r"1\s*Right elevon\s*2\s*Left elevon\s*3\s*Rudder"))
    expect(page.get_by_label("Name", exact=True)).to_have_value("Stint")
    page.get_by_role("button", name="Add it and see its throws").click()
    expect(page.get_by_role("heading", name="Throws", exact=True)).to_be_visible()
    assert Draft.objects.get(member=nora).setup.surfaces[0].role == "elevon"
    page.context.close()
