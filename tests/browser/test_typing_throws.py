"""The throw matrix under the hand: a throw is kept when its box is left, also where the network fails meanwhile."""

import re
from itertools import cycle

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, Route, ViewportSize, expect

from hangar.members.models import Member
from hangar.setups.models import Draft, Revision
from mixing import Rig
from tests.browser.conftest import PATIENCE_MS, fits

pytestmark = pytest.mark.django_db(transaction=True)

ELEVATOR_UP = "#t-pitch-1-elevator"
WIDE: ViewportSize = {"width": 1280, "height": 900}
PHONE: ViewportSize = {"width": 360, "height": 740}


@pytest.fixture
def throws(glider: Revision, signed_in: Page) -> Page:
    signed_in.goto(re.sub(r"(//[^/]+/).*", r"\1airframes/big-glider/draft/throws/", signed_in.url))
    signed_in.wait_for_function("window.htmx !== undefined")
    return signed_in


def throw(member: Member, surface: str, **positions: float) -> float:
    return float(Rig(Draft.objects.get(member=member).setup).at(dict(positions)).throw_mm[surface])


def test_leaving_a_box_keeps_it(throws: Page, nora: Member) -> None:
    troubles: list[str] = []
    throws.on("console", lambda message: troubles.append(message.text) if message.type == "error" else None)
    throws.set_viewport_size(WIDE)
    throws.locator("#t-roll-1-right_aileron").fill("9 up")
    throws.keyboard.press("Tab")
    expect(throws.locator("#t-roll-1-right_aileron")).to_have_value("9.0 mm up")
    expect(throws.locator("#t-roll-0-left_aileron")).to_have_value("9.0 mm up")
    expect(throws.locator("#kept")).to_contain_text("Kept in your draft")
    assert throw(nora, "left_aileron", roll=-100) == pytest.approx(-9, abs=0.02)
    assert fits(throws)
    assert troubles == []


def test_enter_goes_down_the_column(throws: Page) -> None:
    throws.set_viewport_size(WIDE)
    throws.locator("#t-pitch-0-elevator").fill("5")
    throws.keyboard.press("Enter")
    assert throws.evaluate("document.activeElement.id") == ELEVATOR_UP[1:]
    throws.keyboard.type("6 up")
    throws.keyboard.press("Enter")
    expect(throws.locator("#t-pitch-0-elevator")).to_have_value("5.0 mm down")
    expect(throws.locator(ELEVATOR_UP)).to_have_value("6.0 mm up")


def test_what_cannot_be_had_is_told_beside_it(throws: Page) -> None:
    box = throws.locator(ELEVATOR_UP)
    box.fill("30 up")
    box.press("Tab")
    expect(throws.locator(f"{ELEVATOR_UP}-error")).to_contain_text("past its stop")
    expect(box).to_have_value("30 up")
    expect(throws.locator("#kept")).to_contain_text("could not be had")
    assert fits(throws)


def test_typing_on_while_an_answer_comes(throws: Page, nora: Member) -> None:
    """An answer that is late does not overwrite what is being typed in another box."""
    throws.set_viewport_size(WIDE)

    def late(route: Route) -> None:
        throws.wait_for_timeout(400)
        route.continue_()

    throws.route("**/draft/throws/", late)
    throws.locator("#t-pitch-0-elevator").fill("5 down")
    throws.keyboard.press("Enter")
    throws.keyboard.type("7 u")
    expect(throws.locator("#t-pitch-0-elevator")).to_have_value("5.0 mm down")
    expect(throws.locator(ELEVATOR_UP)).to_have_value("7 u")
    throws.keyboard.type("p")
    throws.keyboard.press("Tab")
    expect(throws.locator(ELEVATOR_UP)).to_have_value("7.0 mm up")
    assert throw(nora, "elevator", pitch=100) == pytest.approx(-7, abs=0.01)


def test_who_comes_back_to_a_box_types_over_all_that_was_made_of_it(throws: Page, nora: Member) -> None:
    """What was typed is drawn anew in full, and is then longer than what was marked."""
    throws.set_viewport_size(WIDE)
    held: list[Route] = []

    def hold_the_first(route: Route) -> None:
        if held:
            route.continue_()
        else:
            held.append(route)

    throws.route("**/draft/throws/", hold_the_first)
    throws.locator(ELEVATOR_UP).fill("7")
    with throws.expect_request("**/draft/throws/"):
        throws.keyboard.press("Tab")
    assert throws.evaluate("document.activeElement.id") == f"{ELEVATOR_UP[1:]}-response"
    throws.keyboard.press("Shift+Tab")
    held[0].continue_()
    expect(throws.locator(ELEVATOR_UP)).to_have_value("7.0 mm up")
    throws.keyboard.type("8 down")
    throws.keyboard.press("Tab")
    expect(throws.locator(ELEVATOR_UP)).to_have_value("8.0 mm down")
    assert throws.evaluate("document.activeElement.id") == f"{ELEVATOR_UP[1:]}-response", "also when it is drawn anew"


def test_two_boxes_left_while_the_first_is_on_its_way(throws: Page, nora: Member) -> None:
    """The second request leaves as soon as the first is answered: it must not carry the boxes from before."""
    throws.set_viewport_size(WIDE)

    def late(route: Route) -> None:
        throws.wait_for_timeout(500)
        route.continue_()

    throws.route("**/draft/throws/", late)
    for box, typed in (("#t-pitch-0-elevator", "5 down"), (ELEVATOR_UP, "7 up"), ("#t-yaw-0-rudder", "20 left")):
        throws.locator(box).fill(typed)
    throws.keyboard.press("Tab")
    expect(throws.locator("#t-yaw-0-rudder")).to_have_value("20.0 mm left")
    expect(throws.locator("#t-pitch-0-elevator")).to_have_value("5.0 mm down")
    expect(throws.locator(ELEVATOR_UP)).to_have_value("7.0 mm up")
    assert throw(nora, "elevator", pitch=-100) == pytest.approx(5, abs=0.01)
    assert throw(nora, "elevator", pitch=100) == pytest.approx(-7, abs=0.01)
    assert throw(nora, "rudder", yaw=-100) == pytest.approx(20, abs=0.01)


def test_without_a_network_nothing_is_lost(throws: Page, nora: Member) -> None:
    throws.context.set_offline(True)
    throws.locator(ELEVATOR_UP).fill("7 up")
    throws.locator(ELEVATOR_UP).press("Tab")
    expect(throws.locator("#kept")).to_have_text("Not saved yet; trying again.")
    throws.locator("#t-yaw-1-rudder").fill("20 right")
    throws.locator("#t-yaw-1-rudder").press("Tab")
    expect(throws.locator(ELEVATOR_UP)).to_have_value("7 up")
    assert not Draft.objects.exists()
    throws.context.set_offline(False)
    expect(throws.locator("#kept")).to_contain_text("Kept in your draft")
    expect(throws.locator(ELEVATOR_UP)).to_have_value("7.0 mm up")
    assert throw(nora, "elevator", pitch=100) == pytest.approx(-7, abs=0.01)
    assert throw(nora, "rudder", yaw=100) == pytest.approx(-20, abs=0.01)


def test_a_server_that_fails_is_asked_again(throws: Page, nora: Member) -> None:
    answers = cycle((500, 503))
    throws.route("**/draft/throws/", lambda route: route.fulfill(status=next(answers)))
    throws.locator(ELEVATOR_UP).fill("7 up")
    throws.locator(ELEVATOR_UP).press("Tab")
    expect(throws.locator("#kept")).to_have_text("Not saved yet; trying again.")
    with throws.expect_response(lambda answer: answer.status == 503):
        expect(throws.locator(ELEVATOR_UP)).to_have_value("7 up")
    throws.unroute("**/draft/throws/")
    expect(throws.locator(ELEVATOR_UP)).to_have_value("7.0 mm up")
    expect(throws.locator("#kept")).to_contain_text("Kept in your draft")


def test_signed_out_meanwhile(throws: Page) -> None:
    throws.context.clear_cookies()
    throws.locator(ELEVATOR_UP).fill("7 up")
    throws.locator(ELEVATOR_UP).press("Tab")
    expect(throws.locator("#kept")).to_contain_text("not signed in any more")
    expect(throws.locator(ELEVATOR_UP)).to_have_value("7 up")


def test_leaving_the_page_at_once_loses_nothing(throws: Page, nora: Member) -> None:
    throws.locator(ELEVATOR_UP).fill("7 up")
    throws.get_by_role("link", name="Line-up").first.click()
    throws.get_by_role("heading", name="Line-up").wait_for()
    # What is sent on leaving is on its way while the next page comes; on a busy machine it takes its time.
    for _ in range(PATIENCE_MS // 100):
        if Draft.objects.filter(member=nora, version__gt=1).exists():
            break
        throws.wait_for_timeout(100)
    assert throw(nora, "elevator", pitch=100) == pytest.approx(-7, abs=0.01)


@pytest.mark.parametrize("size", [PHONE, WIDE])
@pytest.mark.parametrize("place", ["throws/", "throws/?phase=thermal", "throws/phases/"])
def test_everyone_can_read_it(throws: Page, size: ViewportSize, place: str) -> None:
    throws.set_viewport_size(size)
    throws.goto(re.sub(r"throws/.*", place, throws.url))
    if "phases" not in place:
        throws.locator(ELEVATOR_UP).fill("30 up")
        throws.locator(ELEVATOR_UP).press("Tab")
        throws.locator(f"{ELEVATOR_UP}-error").wait_for()
    assert fits(throws)
    report = Axe().run(throws)
    assert report.violations_count == 0, report.generate_report()


def test_a_button_waits_for_what_is_on_its_way(throws: Page, nora: Member) -> None:
    """The box is left by pressing the button: its own save comes first, and is not taken for another page's."""

    def late(route: Route) -> None:
        throws.wait_for_timeout(300)
        route.continue_()

    throws.route("**/draft/throws/coupling/**", late)
    throws.goto(re.sub(r"throws/.*", "throws/coupling/?control=lever&channel=6&phase=", throws.url))
    throws.wait_for_function("window.htmx !== undefined")
    throws.locator("[name=travel_0]").fill("60")
    throws.locator("[name=travel_1]").fill("3")
    throws.get_by_role("button", name="More stations").click()
    expect(throws.locator("[name=x_6]")).to_be_visible()
    expect(throws.locator(".error, .error-summary, .caution-message")).to_have_count(0)
    expect(throws.locator("[name=travel_1]")).to_have_value("3")
    found = [c for c in Draft.objects.get(member=nora).setup.couplings if (c.control, c.channel) == ("lever", 6)]
    assert found[0].stations == ((-100, 60), (100, 3))


def test_a_button_without_a_network_loses_nothing(throws: Page) -> None:
    throws.context.set_offline(True)
    throws.locator(ELEVATOR_UP).fill("7 up")
    throws.get_by_role("button", name="Save", exact=True).click()
    expect(throws.locator("#kept")).to_have_text("Not saved yet; trying again.")
    expect(throws.locator(ELEVATOR_UP)).to_have_value("7 up")
    throws.context.set_offline(False)
    expect(throws.locator(ELEVATOR_UP)).to_have_value("7.0 mm up")


def test_the_keys_go_back_through_the_edits_and_forth(throws: Page, nora: Member) -> None:
    """In a box they are the browser's own: there they take back letters."""
    start = throws.locator(ELEVATOR_UP).input_value()
    for typed, shown in (("9 up", "9.0 mm up"), ("7 up", "7.0 mm up")):
        throws.locator(ELEVATOR_UP).fill(typed)
        throws.keyboard.press("Tab")
        expect(throws.locator(ELEVATOR_UP)).to_have_value(shown)
        expect(throws.locator("#take-back")).to_contain_text("Take back: Elevator, Elevator stick")
    for key, shown in (("z", "9.0 mm up"), ("z", start), ("y", "9.0 mm up"), ("Shift+z", "7.0 mm up")):
        throws.get_by_role("button", name="Save", exact=True).focus()
        throws.keyboard.press(f"Control+{key}")
        expect(throws.locator(ELEVATOR_UP)).to_have_value(shown)
    throws.locator(ELEVATOR_UP).fill("5")
    throws.keyboard.press("Control+z")
    expect(throws.locator(ELEVATOR_UP)).to_have_value("7.0 mm up")
    expect(throws.locator("#take-back")).to_contain_text("Take back")
    assert throw(nora, "elevator", pitch=100) == pytest.approx(-7, abs=0.02)
    assert fits(throws)
