"""The bench under fingers and keys: the picture follows the sliders, and a link keeps where they stand."""

import re

import pytest
from playwright.sync_api import Page, expect

from hangar.setups.models import Revision
from tests.browser.conftest import fits

pytestmark = pytest.mark.django_db(transaction=True)


def test_sliders_keys_and_switch(glider: Revision, signed_in: Page) -> None:
    page = signed_in
    troubles: list[str] = []
    page.on("console", lambda message: troubles.append(message.text) if message.type == "error" else None)
    page.goto(re.sub(r"(//[^/]+/).*", r"\1airframes/big-glider/bench/", page.url))
    assert fits(page)
    flap = page.get_by_role("row", name=re.compile("Left flap"))
    expect(flap).to_contain_text("0 mm")
    page.get_by_role("slider", name="Left lever").press("Home")
    expect(flap).to_contain_text("down")
    expect(page.locator("#told_lever")).to_have_text("back")
    assert page.evaluate("document.activeElement.name") == "at_lever"
    page.locator("[for^=id_at_flightphase]", has_text="Thermal").click()
    expect(page.locator("#bench-picture figcaption")).to_contain_text("Thermal")
    expect(page).to_have_url(re.compile(r"at_lever=-100.*at_flightphase=-100"))
    told = flap.inner_text()
    page.reload()
    assert flap.inner_text() == told
    page.get_by_role("link", name="All controls to rest").click()
    expect(page.locator("#told_lever")).to_have_text("forward (rest)")
    expect(flap).to_contain_text("0 mm")
    assert troubles == []
