"""A throw check on a phone: also a prediction of nothing stands beside what was read."""

import re

import pytest
from playwright.sync_api import Page, expect

from hangar.flights.operations import Read, record_throw_check
from hangar.members.models import Member
from hangar.setups.models import Revision
from tests.browser.conftest import fits

pytestmark = pytest.mark.django_db(transaction=True)


def test_nothing_is_left_out(glider: Revision, nora: Member, signed_in: Page) -> None:
    readings = [Read("elevator", {}, 0.0, 0.4, play_mm=0.3), Read("elevator", {"pitch": 100.0}, -9.0, -7.4)]
    check = record_throw_check(user=nora, revision=glider, readings=readings)
    page = signed_in
    page.goto(re.sub(r"(//[^/]+/).*", rf"\1airframes/big-glider/measured/{check.pk}/", page.url))
    rest = page.get_by_role("row", name=re.compile("All controls at rest"))
    expect(rest.get_by_text("0 mm", exact=True)).to_be_visible()
    expect(rest.get_by_text("0.4 mm", exact=True)).to_be_visible()
    expect(page.get_by_text("1.6 mm short")).to_be_visible()
    assert fits(page)
    page.get_by_role("link", name=re.compile("Make these readings its linkage")).click()
    page.get_by_role("button", name="Look what they make").click()
    expect(page.get_by_role("row", name=re.compile("^1500 µs"))).to_contain_text("0.4 mm down")
    page.get_by_role("button", name="Take them as the linkage").click()
    expect(page.get_by_role("status")).to_contain_text("The readings are the linkage in the draft now.")
    expect(page.locator(".linkage-kind")).to_have_text("Measured with a ruler.")
    assert fits(page)
