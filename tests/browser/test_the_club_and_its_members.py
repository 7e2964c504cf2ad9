"""Pages about members in a browser: read by axe by day and by night; an invitation from its making to the line-up."""

from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Page

from hangar.members.models import Member, PersonalName
from hangar.members.operations import invite
from hangar.setups.models import Revision
from tests.browser.conftest import new_page, sign_in
from tests.browser.test_reading_for_everyone import complaints
from tests.factories import ReceiverFactory

pytestmark = pytest.mark.django_db(transaction=True)

PAGES = [
    "/you/", "/you/details/", "/you/preferences/", "/you/password/", "/you/leave/", "/members/", "/members/?search=x",
    "/members/invite/", "/airframes/big-glider/photo/",
]  # fmt: skip
OF_A_MEMBER = ["", "details/", "role/", "let-go/", "erase/"]


def signed_in(browser: Browser, address: str, **screen: Any) -> Page:
    page = new_page(browser, **screen)
    sign_in(page, address)
    return page


@pytest.fixture
def secretary(nora: Member) -> Member:
    Member.objects.update(role="secretary")
    PersonalName.objects.update(operator_number="OP-17", licence_expires_on=timezone.localdate())
    nora.refresh_from_db()
    return nora


@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (1280, "dark")])
def test_pages(
    secretary: Member, glider: Revision, browser: Browser, live_server: Any, width: int, scheme: Any
) -> None:
    other = Member.objects.create_user("olive", full_name="Olive Owner")
    gone = Member.objects.create_user("gone", full_name="Gone Glider", is_active=False)
    _, token = invite(user=secretary, full_name="Paul Pending")
    page = signed_in(browser, live_server.url, viewport={"width": width, "height": 800}, color_scheme=scheme)
    found = complaints(page)
    of_members = [f"/members/{one.pk}/{part}" for one in (other, gone) for part in OF_A_MEMBER]
    for address in [*PAGES, *of_members, f"/link/{token}/", "/link/made-up/", "/new-password/"]:
        page.goto(live_server.url + address)
        found += complaints(page)
    page.context.close()
    assert found == [], "\n".join(found)


# The clipboard belongs to the whole machine and to the window in front: a stand-in shows what the page gives it.
CLIPBOARDS = {
    "allowed": "async text => { window.copied = text }",
    "refused": "async () => { throw new DOMException('Document is not focused.', 'NotAllowedError') }",
}


def with_a_new_link(browser: Browser, address: str, clipboard: str) -> Page:
    office = signed_in(browser, address)
    stand_in = f"{{writeText: {CLIPBOARDS[clipboard]}}}"
    office.add_init_script(f"Object.defineProperty(navigator, 'clipboard', {{value: {stand_in}}})")
    link_made(office)
    office.get_by_role("button", name="Copy it").click()
    return office


def link_made(office: Page) -> None:
    office.get_by_role("link", name="Members").click()
    office.get_by_role("link", name="Invite someone").click()
    office.get_by_label("Full name").fill("Paul Pending")
    office.get_by_role("button", name="Make the link").click()


def test_a_link_that_may_not_be_copied_is_selected(secretary: Member, browser: Browser, live_server: Any) -> None:
    office = with_a_new_link(browser, live_server.url, "refused")
    office.get_by_text("Not copied").wait_for()
    assert office.evaluate("document.getSelection().toString()") == office.get_by_label("The link").input_value()
    office.context.close()


def test_without_script_a_link_is_copied_by_hand(secretary: Member, browser: Browser, live_server: Any) -> None:
    """A button that only the script answers is not to be seen before the script is there."""
    office = signed_in(browser, live_server.url, java_script_enabled=False)
    link_made(office)
    office.get_by_label("The link").wait_for()
    assert not office.get_by_text("Copy it").is_visible()
    office.context.close()


def test_an_invitation_is_copied_and_used(secretary: Member, browser: Browser, live_server: Any) -> None:
    office = with_a_new_link(browser, live_server.url, "allowed")
    office.get_by_text("Copied", exact=True).wait_for()
    link = office.evaluate("window.copied")
    assert link == office.get_by_label("The link").input_value()
    assert complaints(office) == []

    phone = new_page(browser, viewport={"width": 360, "height": 740})
    phone.goto(link)
    phone.get_by_label("Login").fill("paul")
    phone.get_by_label("New password").fill("four wet boots")
    phone.get_by_label("The same once more").fill("four wet boots")
    phone.get_by_role("button", name="Set the password and sign in").click()
    phone.get_by_text("Welcome, Paul Pending.").wait_for()
    phone.get_by_role("link", name="You", exact=True).click()
    phone.get_by_role("heading", name="Paul Pending").wait_for()
    for page in (office, phone):
        page.context.close()


def test_a_phone_shows_a_secretary_every_way_on_one_line(secretary: Member, browser: Browser, live_server: Any) -> None:
    page = signed_in(browser, live_server.url, viewport={"width": 360, "height": 740})
    for path in ("/", "/transmitters/", "/members/"):
        page.goto(live_server.url + path)
        ways = [way.bounding_box() for way in page.get_by_role("navigation", name="Main").get_by_role("link").all()]
        assert len(ways) == 5
        assert len({way["y"] for way in ways if way}) == 1
        assert all(way["height"] >= 44 and way["x"] + way["width"] <= 360 for way in ways if way)


def test_a_form_keeps_clear_of_the_cautions_above_it(
    nora: Member, glider: Revision, browser: Browser, live_server: Any
) -> None:
    page = signed_in(browser, live_server.url, viewport={"width": 360, "height": 740})
    page.goto(live_server.url + "/airframes/big-glider/entered/")
    cautions, form = page.locator(".cautions").bounding_box(), page.locator("main form").bounding_box()
    assert cautions
    assert form
    assert form["y"] - (cautions["y"] + cautions["height"]) >= 16


def test_a_long_note_leaves_its_label_whole(nora: Member, browser: Browser, live_server: Any) -> None:
    ReceiverFactory.create(note="Antenna chafed through in the nose, not to be fitted again. " * 3)
    page = signed_in(browser, live_server.url, viewport={"width": 360, "height": 740})
    page.goto(live_server.url + "/receivers/")
    label = "cell => parseFloat(getComputedStyle(cell, '::before').width)"
    assert page.locator("td[data-label='Note']").evaluate(label) > 25
