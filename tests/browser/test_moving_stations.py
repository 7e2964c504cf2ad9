"""A response under the hand: a station is dragged, moved by keys or typed; the figures and the picture follow."""

import re
from urllib.parse import parse_qsl

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator, Page, Request, Route, ViewportSize, expect

from hangar.members.models import Member
from hangar.pictures.words import plain
from hangar.setups.models import Draft, Revision
from mixing import Rig, Setup
from tests.browser.conftest import fits

pytestmark = pytest.mark.django_db(transaction=True)

WIDE: ViewportSize = {"width": 1280, "height": 1000}
PHONE: ViewportSize = {"width": 360, "height": 740}
FLAP = "airframes/big-glider/draft/throws/coupling/?control=lever&channel=6&phase="


COUNTING = """() => {
  let open = 0;
  window.mostAtOnce = 0;
  const send = XMLHttpRequest.prototype.send;
  XMLHttpRequest.prototype.send = function (...given) {
    open += 1;
    window.mostAtOnce = Math.max(window.mostAtOnce, open);
    this.addEventListener("readystatechange", () => { if (this.readyState === 4) open -= 1; });
    return send.apply(this, given);
  };
}"""


@pytest.fixture
def response(glider: Revision, signed_in: Page) -> Page:
    """The lever's response on the right flap: 95 % at −100, 0 % at +100."""
    signed_in.set_viewport_size(WIDE)
    signed_in.goto(re.sub(r"(//[^/]+/).*", rf"\1{FLAP}", signed_in.url))
    signed_in.wait_for_function("window.htmx !== undefined")
    return signed_in


def boxes(request: Request) -> dict[str, str]:
    """What stood in the boxes that were sent."""
    return dict(parse_qsl(request.post_data or "", keep_blank_values=True))


def saves(request: Request, **figures: str) -> bool:
    sent = boxes(request)
    return bool(sent) and sent.get("do") != "look" and figures.items() <= sent.items()


def handle(page: Page, row: int = 0, name: str = "wide") -> Locator:
    return page.locator(f"#handle-{name}-{row}")


def middle(one: Locator) -> tuple[float, float]:
    box = one.locator(".knob").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def px_for(page: Page, travel: float) -> float:
    """How many pixels of the screen a travel [%] is high."""
    found = page.evaluate(
        "() => { const svg = document.querySelector('#handles-wide svg'); const d = svg.dataset;"
        " return (d.bottom - d.top) / (2 * d.span) * svg.getScreenCTM().d }"
    )
    return float(found) * travel


def stations(member: Member) -> tuple[tuple[float, float], ...]:
    setup = Draft.objects.get(member=member).setup
    return next(c.stations for c in setup.couplings if (c.control, c.channel) == ("lever", 6))


def down(setup: Setup) -> str:
    return f"{plain(float(Rig(setup).at({'lever': -100}).throw_mm['right_flap']))} mm down"


def drag(page: Page, one: Locator, dx: float, dy: float, *, steps: int = 12) -> None:
    x, y = middle(one)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + dx, y + dy, steps=steps)
    page.mouse.up()


def test_dragging_with_the_pointer(response: Page, nora: Member) -> None:
    troubles: list[str] = []
    response.on("console", lambda message: troubles.append(message.text) if message.type == "error" else None)
    drag(response, handle(response), 0, px_for(response, 35))
    expect(response.locator("[name=travel_0]")).to_have_value("60")
    expect(response.locator("[name=x_0]")).to_have_value("−100")
    expect(response.locator("#kept")).to_contain_text("Kept in your draft")
    assert stations(nora) == ((-100, 60), (100, 0))
    told = down(Draft.objects.get(member=nora).setup)
    expect(response.locator("#gives-0")).to_contain_text(told)
    expect(response.locator("#response-ends")).to_contain_text("travel 60 %")
    expect(handle(response)).to_have_attribute(
        "aria-valuetext", re.compile(rf"Left lever back: travel 60 %; Right flap {re.escape(told)}")
    )
    assert troubles == []


def test_it_looks_while_it_moves_and_saves_when_it_stops(response: Page) -> None:
    """One request at a time, the latest position wins, and the draft is saved once."""
    asked: list[str] = []
    held: list[Route] = []

    def hold_the_first(route: Route) -> None:
        asked.append(boxes(route.request).get("travel_0", ""))
        if len(asked) == 1:
            held.append(route)
        else:
            route.continue_()

    response.evaluate(COUNTING)
    response.route("**/coupling/**", hold_the_first)
    x, y = middle(handle(response))
    lower = px_for(response, 40) / 2
    response.mouse.move(x, y)
    response.mouse.down()
    with response.expect_request(lambda one: one.method == "POST"):
        response.mouse.move(x, y + lower, steps=20)
    passed_by = response.locator("[name=travel_0]").input_value()
    with response.expect_response(lambda answer: boxes(answer.request).get("travel_0") == passed_by):
        held[0].continue_()
    response.mouse.move(x, y + 2 * lower, steps=20)
    response.mouse.up()
    expect(response.locator("#kept")).to_contain_text("Kept in your draft")
    assert response.evaluate("window.mostAtOnce") == 1
    assert asked[1] == passed_by, "positions between are left out while an answer is awaited"
    assert asked[-1] == response.locator("[name=travel_0]").input_value() == "55"
    assert Draft.objects.get().version == 2


def test_dragging_along_the_control(response: Page, nora: Member) -> None:
    x, _ = middle(handle(response, 1))
    left, _ = middle(handle(response, 0))
    drag(response, handle(response, 1), (left - x) / 4, 0)
    expect(response.locator("#kept")).to_contain_text("Kept in your draft")
    assert stations(nora) == ((-100, 95), (50, 0))


def test_a_station_stays_between_its_neighbours(response: Page, nora: Member) -> None:
    x, _ = middle(handle(response, 1))
    left, _ = middle(handle(response, 0))
    drag(response, handle(response, 1), 2 * (left - x), 0)
    expect(response.locator("#kept")).to_contain_text("Kept in your draft")
    assert stations(nora) == ((-100, 95), (-99, 0))


def test_arrow_keys(response: Page, nora: Member) -> None:
    one = handle(response)
    one.focus()
    # Who is slow saves between two keys too: the last save counts.
    with response.expect_response(lambda answer: saves(answer.request, x_0="−98", travel_0="81")):
        for key in ("ArrowUp", "ArrowUp", "ArrowDown", "Shift+ArrowDown", "PageDown", "ArrowRight", "ArrowRight"):
            one.press(key)
    expect(response.locator("[name=travel_0]")).to_have_value("81")
    expect(response.locator("[name=x_0]")).to_have_value("−98")
    expect(response.locator("#kept")).to_contain_text("Kept in your draft")
    assert stations(nora) == ((-98, 81), (100, 0))
    assert response.evaluate("document.activeElement.id") == "handle-wide-0", "the handle is still under the keys"
    expect(one).to_have_attribute("aria-valuenow", "81")
    expect(one).to_have_attribute("aria-valuetext", re.compile("98 % back: travel 81 %; Right flap .* mm down"))
    expect(one).to_have_role("slider")


def test_typing_a_throw(response: Page, nora: Member) -> None:
    response.locator("[name=want_0]").fill("20 down")
    response.keyboard.press("Tab")
    expect(response.locator("[name=want_0]")).to_have_value("")
    expect(response.locator("#kept")).to_contain_text("Kept in your draft")
    travel = stations(nora)[0][1]
    expect(response.locator("[name=travel_0]")).to_have_value(f"{travel:g}")
    expect(handle(response)).to_have_attribute("aria-valuenow", f"{travel:g}")
    expect(response.locator("#gives-0")).to_contain_text(down(Draft.objects.get(member=nora).setup))


def test_a_throw_that_cannot_be_had(response: Page) -> None:
    response.locator("[name=want_0]").fill("90 down")
    response.keyboard.press("Tab")
    expect(response.locator("#id_want_0_error")).to_contain_text("past its stop")
    expect(response.locator("[name=want_0]")).to_have_value("90 down")
    expect(response.locator("#kept")).to_contain_text("could not be had")


def test_another_station_gets_a_handle(response: Page, nora: Member) -> None:
    response.locator("[name=x_0]").fill("−100")
    for name, text in (("x_1", "0"), ("travel_1", "20"), ("x_2", "100"), ("travel_2", "0")):
        response.locator(f"[name={name}]").fill(text)
        response.keyboard.press("Tab")
    expect(handle(response, 2)).to_be_visible()
    assert stations(nora) == ((-100, 95), (0, 20), (100, 0))
    drag(response, handle(response, 1), 0, px_for(response, -30))
    expect(response.locator("[name=travel_1]")).to_have_value("50")


def test_where_there_was_none(response: Page, nora: Member) -> None:
    """A new coupling gets its picture and its handles as it is typed."""
    response.goto(response.url.replace("control=lever&channel=6", "control=power&channel=4"))
    response.wait_for_function("window.htmx !== undefined")
    for row, travel in enumerate(("0", "2", "5")):
        response.locator(f"[name=travel_{row}]").fill(travel)
        response.keyboard.press("Tab")
    expect(handle(response, 2)).to_be_visible()
    expect(response.locator("form.htmx-request")).to_have_count(0)
    version = int(response.locator("[name=version]").input_value())
    handle(response, 2).press("ArrowUp")
    expect(response.locator("[name=version]")).to_have_value(str(version + 1))
    expect(response.locator("#gives-2")).to_contain_text("down")
    found = [c for c in Draft.objects.get(member=nora).setup.couplings if (c.control, c.channel) == ("power", 4)]
    assert found[0].stations == ((-100, 0), (0, 2), (100, 6))


def test_a_press_counts_where_it_went_down(response: Page) -> None:
    """Pressing the button leaves the box, and the answer to that moves the button from under the pointer."""
    more = response.get_by_role("button", name="More stations")
    response.locator("[name=travel_0]").fill("20")
    more.scroll_into_view_if_needed()
    box = more.bounding_box()
    assert box is not None
    response.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    response.mouse.down()
    expect(response.locator("#kept")).to_contain_text("Kept in your draft")
    moved = more.bounding_box()
    assert moved is not None
    assert moved["y"] > box["y"] + box["height"] / 2, "else this shows nothing"
    response.mouse.up()
    expect(response.locator("[name=x_6]")).to_be_visible()
    expect(response.locator("[name=travel_0]")).to_have_value("20")


def test_new_findings_are_told_beside_it(response: Page) -> None:
    expect(response.locator("#open-findings")).not_to_contain_text("New in this draft")
    drag(response, handle(response), 0, px_for(response, 60))
    expect(response.locator("#open-findings")).to_contain_text("New in this draft")


def test_without_a_network(response: Page, nora: Member) -> None:
    response.context.set_offline(True)
    drag(response, handle(response), 0, px_for(response, 35))
    expect(response.locator("#kept")).to_have_text("Not saved yet; trying again.")
    expect(response.locator("[name=travel_0]")).to_have_value("60")
    response.context.set_offline(False)
    expect(response.locator("#kept")).to_contain_text("Kept in your draft")
    assert stations(nora) == ((-100, 60), (100, 0))


def test_a_finger_on_a_handle_does_not_scroll(response: Page) -> None:
    response.set_viewport_size(PHONE)
    one = handle(response, 0, "narrow")
    expect(one).to_be_visible()
    assert one.evaluate("e => getComputedStyle(e).touchAction") == "none"
    hold = one.locator(".hold").bounding_box()
    assert hold is not None
    assert hold["width"] >= 36, "as wide as a finger"


@pytest.mark.parametrize("size", [PHONE, WIDE])
def test_everyone_can_read_it(response: Page, size: ViewportSize) -> None:
    response.set_viewport_size(size)
    assert fits(response)
    report = Axe().run(response)
    assert report.violations_count == 0, report.generate_report()
