"""One walk through the site on a phone: sign in, edit a throw, record it, go back, open the new sheet."""

import re
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from hangar.flights.models import Flight
from hangar.members.models import Member
from hangar.setups.models import Revision
from tests.browser.conftest import fits, new_page, next_page, sign_in

pytestmark = pytest.mark.django_db(transaction=True)


def test_the_walk(glider: Revision, nora: Member, signed_in: Page) -> None:
    page = signed_in
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.get_by_role("link", name="Big Glider", exact=True).first.click()
    expect(page.get_by_role("heading", name="Big Glider")).to_be_visible()
    assert fits(page)

    page.get_by_role("link", name="Edit", exact=True).click()
    assert fits(page)
    row = page.get_by_role("row", name=re.compile("Left lever back"))
    expect(row).to_contain_text("↓")
    row.locator("a[href*='channel=6']").click()
    expect(page.get_by_role("heading", name="Left lever → Right flap")).to_be_visible()
    assert fits(page)

    page.locator("[name=want_0]").fill("20 down")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator(".gives").first).to_contain_text(re.compile(r"↓\s*(19\.[89]|20\.[0-2]) mm\s+down"))
    page.locator("[name=reason]").fill("Less brake: it stopped short")
    page.get_by_role("button", name="Record a revision").click()
    expect(page.get_by_role("status")).to_contain_text("Revision 2 is recorded.")

    page.get_by_role("link", name="Roll back").click()
    expect(page.get_by_role("heading", name="Throws that will change")).to_be_visible()
    expect(page.locator(".throw-changes")).to_contain_text("Left lever back")
    assert fits(page)
    page.get_by_role("button", name="Roll back to revision 1").click()
    expect(page.locator(".error").first).to_contain_text("Give a reason")
    page.locator("[name=reason]").fill("It floated past")
    page.get_by_role("button", name="Roll back to revision 1").click()
    expect(page.get_by_role("status")).to_contain_text("Revision 3 carries the setup of revision 1.")
    assert Revision.objects.get(number=3).document_id == glider.document_id

    page.get_by_role("link", name="Big Glider", exact=True).click()
    sheet = page.request.get(
        page.url.split("/airframes")[0] + str(page.get_by_role("link", name="Look at the sheet").get_attribute("href"))
    )
    assert sheet.status == 200
    assert sheet.headers["content-type"] == "application/pdf"
    assert sheet.body().startswith(b"%PDF")
    assert complaints == []


def test_a_flight_is_logged_with_two_taps(glider: Revision, nora: Member, signed_in: Page) -> None:
    page = signed_in
    page.get_by_role("link", name="Big Glider", exact=True).first.click()
    page.get_by_role("link", name="Log a flight").click()
    assert fits(page)
    page.get_by_text("Small battery").click()
    page.get_by_text("keep", exact=True).click()
    page.get_by_role("button", name="Log it").click()
    expect(page.get_by_role("status")).to_contain_text("The flight of revision 1 is logged.")
    assert Flight.objects.get().verdict == "keep"


def test_the_list_is_searched_while_typing(glider: Revision, nora: Member, signed_in: Page) -> None:
    page = signed_in
    page.get_by_label("Search").fill("no such model")
    expect(page.locator("#line-up")).to_contain_text("No airframe fits this search.")
    expect(page).to_have_url(re.compile("search=no"))
    page.get_by_label("Search").fill("big")
    expect(page.locator("#line-up")).to_contain_text("Big Glider")
    # Sorted by a key, the heads come anew, and the key can be pressed again.
    page.set_viewport_size({"width": 1280, "height": 800})
    page.locator("#line-up-by-owner").press("Enter")
    expect(page).to_have_url(re.compile("sort=owner"))
    expect(page.locator("#line-up-by-owner")).to_be_focused()


def test_without_script(glider: Revision, nora: Member, browser: Browser, live_server: Any) -> None:
    """A phone that blocks scripts loses nothing but speed."""
    page = new_page(browser, java_script_enabled=False, viewport={"width": 360, "height": 740})
    sign_in(page, live_server.url)
    page.get_by_label("Search").fill("big")
    with next_page(page):
        page.get_by_role("button", name="Show").click()
    page.get_by_role("link", name="Big Glider", exact=True).first.click()
    page.get_by_role("link", name="Edit", exact=True).click()
    page.locator("a[href*='control=lever&channel=6']").first.click()
    page.locator("[name=travel_0]").fill("60")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator(".ends")).to_contain_text("travel 60 %")
    page.context.close()
