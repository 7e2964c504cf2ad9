"""From the line-up to a new sheet after a bad flight, on a phone: how many taps it takes, and that none has to be
looked for below the screen."""

import re
from dataclasses import dataclass, field
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from hangar.flights.models import Flight
from hangar.flights.operations import log_flight
from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.setups.operations import record
from hangar.sheets.models import Print
from tests.browser.conftest import PASSWORD, fits, sign_in

pytestmark = pytest.mark.django_db(transaction=True)

MOST_TAPS = 9
MOST_SCROLLED = 1


@dataclass
class Taps:
    """What a hand does, and how often it had to look further down first."""

    page: Page
    told: list[str] = field(default_factory=list)
    scrolled: int = 0

    def tap(self, what: Locator, name: str) -> None:
        what.wait_for()
        self.page.wait_for_load_state("load")
        assert fits(self.page)
        box = what.bounding_box()
        assert box is not None
        height = self.page.viewport_size["height"] if self.page.viewport_size else 0
        self.scrolled += not 0 <= box["y"] + box["height"] / 2 <= height
        what.tap()
        self.told.append(name)

    def link(self, name: str) -> None:
        self.tap(self.page.get_by_role("link", name=re.compile(f"^{name}")).first, name)

    def button(self, name: str) -> None:
        self.tap(self.page.get_by_role("button", name=re.compile(f"^{name}")).first, name)


@pytest.fixture
def second(glider: Revision, nora: Member) -> Revision:
    """The current revision, after one that flew well."""
    log_flight(user=nora, revision=glider, flown_on=glider.recorded_at.date(), pilot=nora, load="small", verdict="keep")
    setup = glider.setup.changed(remarks="Softer.")
    return record(user=nora, airframe=glider.airframe, setup=setup, base=glider, reason="softer").revision


def test_a_bad_flight_is_rolled_back_and_printed_in_few_taps(second: Revision, signed_in: Page) -> None:
    page = signed_in
    page.reload()
    taps = Taps(page)
    expect(page.locator(".yours")).to_contain_text("look first")
    expect(page.locator(".yours")).to_contain_text("revision 2 was not flown yet")
    taps.link("Big Glider")
    expect(page.locator(".state.big")).to_have_text("Look first")
    taps.link("Bench")
    expect(page.get_by_role("heading", name="Big Glider on the bench")).to_be_visible()
    taps.link("Log a flight")
    expect(page.get_by_role("heading", name="A flight of Big Glider")).to_be_visible()
    taps.tap(page.get_by_text("reject", exact=True), "reject")
    taps.tap(page.locator("[name=reason]"), "why")
    page.locator("[name=reason]").fill("The nose drops with the brake")
    taps.button("Log it")
    taps.link("Roll back to revision 1, the last that flew well")
    expect(page.locator("[name=reason]")).to_have_value("Revision 2 was rejected: The nose drops with the brake")
    taps.button("Roll back to revision 1")
    expect(page.get_by_role("status")).to_contain_text("Revision 3 carries the setup of revision 1.")
    with page.expect_response(lambda answer: "/sheet/" in answer.url) as sheet:
        taps.button("Print the sheet")
    assert sheet.value.status in (200, 302)
    assert (Flight.objects.latest("pk").verdict, Print.objects.get().revision.number) == ("reject", 3)
    assert len(taps.told) <= MOST_TAPS, taps.told
    assert taps.scrolled <= MOST_SCROLLED


def test_a_new_member_is_told_what_to_do_first(second: Revision, live_server: Any, page: Page) -> None:
    Member.objects.create_user("newt", PASSWORD, full_name="Newt Newcomer")
    sign_in(page, live_server.url, "newt")
    expect(page.locator(".yours")).to_contain_text("You have no model here yet.")
    assert fits(page)
    page.get_by_label("Search").fill("big")
    # The list is drawn anew below the finger.
    expect(page).to_have_url(re.compile("search=big"))
    page.get_by_role("link", name="Big Glider").click()
    expect(page.locator(".state.big")).to_have_text("Look first")
    expect(page.get_by_role("link", name="Bench", exact=True)).to_be_visible()
    expect(page.get_by_role("link", name="Log a flight")).to_have_count(0)
