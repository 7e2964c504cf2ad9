"""The bench under fingers and keys: the picture follows the sliders, and a link keeps where they stand."""

import json
import re
import time
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from hangar.members.models import Member
from hangar.setups.bench import bench_at
from hangar.setups.models import Draft, Revision
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


def test_the_response_follows_the_lever_that_is_moved(glider: Revision, signed_in: Page) -> None:
    page = signed_in
    page.goto(re.sub(r"(//[^/]+/).*", r"\1airframes/big-glider/bench/", page.url))
    expect(page.get_by_role("heading", name="Aileron stick over its whole way")).to_be_visible()
    slider = page.get_by_role("slider", name="Elevator stick")
    for key in ("ArrowRight", "PageUp", "ArrowRight"):
        slider.press(key)
    expect(page.get_by_role("heading", name="Elevator stick over its whole way")).to_be_visible()
    # The last position wins, whatever was asked before it.
    expect(page.locator("#told_pitch")).to_have_text(f"{slider.input_value()} % back")
    expect(page).to_have_url(re.compile(rf"at_pitch={slider.input_value()}&"))


def test_dragging_asks_once_at_a_time(glider: Revision, signed_in: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    """A slow server is asked as often as it can answer; positions that were passed meanwhile are left out."""
    takes_s = 0.15

    def slow(*args: Any, **options: Any) -> Any:
        time.sleep(takes_s)
        return bench_at(*args, **options)

    monkeypatch.setattr("hangar.setups.bench_views.bench_at", slow)
    page = signed_in
    page.goto(re.sub(r"(//[^/]+/).*", r"\1airframes/big-glider/bench/", page.url))
    # Counted in the page, where the requests begin and end.
    page.evaluate("""() => {
      window.asked = {now: 0, most: 0, all: 0};
      document.addEventListener("htmx:beforeSend", () => {
        asked.now += 1; asked.all += 1; asked.most = Math.max(asked.most, asked.now);
      });
      document.addEventListener("htmx:beforeOnLoad", () => { asked.now -= 1; });
      document.addEventListener("htmx:xhr:abort", () => { asked.now -= 1; });
    }""")
    slider = page.get_by_role("slider", name="Aileron stick")
    box = slider.bounding_box()
    assert box is not None
    middle = box["y"] + box["height"] / 2
    page.mouse.move(box["x"] + box["width"] / 2, middle)
    began = time.monotonic()
    page.mouse.down()
    for step in range(1, 21):
        page.mouse.move(box["x"] + box["width"] * (0.5 + step / 40) - 1, middle)
        page.wait_for_timeout(40)
    page.mouse.up()
    expect(page.locator("#told_roll")).to_have_text("right")
    expect(page).to_have_url(re.compile(r"at_roll=100&"))
    asked = page.evaluate("asked")
    assert asked["most"] == 1
    assert 2 <= asked["all"] <= (time.monotonic() - began) / takes_s + 1


def test_a_draft_beside_it(glider: Revision, nora: Member, signed_in: Page) -> None:
    data = glider.setup.data()
    for one in data["couplings"]:
        if one["control"] == "roll":
            one["stations"] = [[x, y * 0.6] for x, y in one["stations"]]
    Draft.objects.create(airframe=glider.airframe, member=nora, base=glider, text=json.dumps(data))
    page = signed_in
    page.goto(re.sub(r"(//[^/]+/).*", r"\1airframes/big-glider/bench/", page.url))
    page.get_by_role("link", name="Your draft beside it").click()
    row = page.get_by_role("row", name=re.compile("^Right aileron"))
    expect(row).to_contain_text("the same")
    page.get_by_role("slider", name="Aileron stick").press("End")
    expect(row).to_contain_text(re.compile(r"revision 1.*mm further down", re.DOTALL))
    expect(page).to_have_url(re.compile("of=draft"))
    assert fits(page)
    found = Axe().run(page).response["violations"]
    assert found == [], [one["help"] for one in found]


def test_without_script(glider: Revision, nora: Member, browser: Any, live_server: Any) -> None:
    """As a form: positions and the response are chosen, and Show shows them."""
    page = browser.new_context(java_script_enabled=False, viewport={"width": 360, "height": 740}).new_page()
    page.goto(live_server.url)
    page.get_by_label("Login").fill("nora")
    page.get_by_label("Password").fill("three dry socks")
    page.get_by_role("button", name="Sign in").click()
    page.goto(live_server.url + "/airframes/big-glider/bench/")
    page.get_by_role("slider", name="Left lever").press("Home")
    page.get_by_label("Draw the response of").select_option(label="Left lever")
    page.get_by_role("button", name="Show").click()
    expect(page.get_by_role("row", name=re.compile("^Left flap"))).to_contain_text("down")
    expect(page.get_by_role("heading", name="Left lever over its whole way")).to_be_visible()
    page.context.close()
