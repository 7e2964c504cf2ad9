"""A response under the hand: a station is dragged, moved by keys or typed; the figures and the picture follow."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator, Page, ViewportSize, expect

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
    response.on("request", lambda one: asked.append(one.post_data or "") if one.method == "POST" else None)
    response.evaluate(COUNTING)
    drag(response, handle(response), 0, px_for(response, 40), steps=40)
    expect(response.locator("#kept")).to_contain_text("Kept in your draft")
    looks = sum("do=look" in one for one in asked)
    assert response.evaluate("window.mostAtOnce") == 1
    assert 1 <= looks < 40, "positions between are left out while an answer is awaited"
    assert len(asked) - looks == 1
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
    version = int(response.locator("[name=version]").input_value())
    handle(response, 2).press("ArrowUp")
    expect(response.locator("[name=version]")).to_have_value(str(version + 1))
    expect(response.locator("#gives-2")).to_contain_text("down")
    found = [c for c in Draft.objects.get(member=nora).setup.couplings if (c.control, c.channel) == ("power", 4)]
    assert found[0].stations == ((-100, 0), (0, 2), (100, 6))


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
