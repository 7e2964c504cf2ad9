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
from tests.browser.conftest import fits, new_page, sign_in

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
    page.wait_for_load_state("load")
    page.get_by_role("slider", name="Aileron stick").press("End")
    expect(row).to_contain_text(re.compile(r"revision 1.*mm further down", re.DOTALL))
    expect(page).to_have_url(re.compile("of=draft"))
    assert fits(page)
    found = Axe().run(page).response["violations"]
    assert found == [], [one["help"] for one in found]


def test_without_script(glider: Revision, nora: Member, browser: Any, live_server: Any) -> None:
    """As a form: positions and the response are chosen, and Show shows them."""
    page = new_page(browser, java_script_enabled=False, viewport={"width": 360, "height": 740})
    sign_in(page, live_server.url)
    page.goto(live_server.url + "/airframes/big-glider/bench/")
    page.get_by_role("slider", name="Left lever").press("Home")
    page.get_by_label("Draw the response of").select_option(label="Left lever")
    page.get_by_role("button", name="Show").click()
    expect(page.get_by_role("row", name=re.compile("^Left flap"))).to_contain_text("down")
    expect(page.get_by_role("heading", name="Left lever over its whole way")).to_be_visible()
    page.context.close()


def test_the_keys_of_the_bench(glider: Revision, signed_in: Page) -> None:
    page = signed_in
    page.set_viewport_size({"width": 1280, "height": 900})
    page.goto(re.sub(r"(//[^/]+/).*", r"\1airframes/big-glider/bench/", page.url))
    roll, lever = page.get_by_role("slider", name="Aileron stick"), page.get_by_role("slider", name="Left lever")
    roll.focus()
    pressed = [
        ("+", "10"), ("+", "20"), ("-", "10"), ("End", "100"), ("+", "100"), ("-", "90"), ("m", "0"),
        ("ArrowRight", "1"), ("+", "10"), ("ArrowRight", "11"), ("-", "10"), ("Home", "-100"),
    ]  # fmt: skip
    for key, value in pressed:
        page.keyboard.press(key)
        assert roll.input_value() == value, key
    expect(page.locator("#told_roll")).to_have_text("left")
    expect(page.get_by_role("row", name=re.compile("Left aileron"))).to_contain_text("up")
    lever.focus()
    page.keyboard.press("m")
    expect(page.locator("#told_lever")).to_have_text("middle")
    page.keyboard.press("1")
    expect(page.locator("#bench-picture figcaption")).to_contain_text("Cruise")
    page.keyboard.press("2")
    expect(page.locator("#bench-picture figcaption")).to_contain_text("Thermal")
    page.keyboard.press("9")
    assert page.locator("[name=at_flightphase]:checked").input_value() == "-100"
    assert page.evaluate("document.activeElement.name") == "at_lever"
    page.keyboard.press("r")
    expect(page.locator("#told_roll")).to_have_text("middle (rest)")
    expect(page.locator("#told_lever")).to_have_text("forward (rest)")
    expect(page.locator("#bench-picture figcaption")).to_contain_text("Cruise")


def test_the_keys_lead_round_the_controls_and_show_themselves(glider: Revision, signed_in: Page) -> None:
    page = signed_in
    page.goto(re.sub(r"(//[^/]+/).*", r"\1airframes/big-glider/bench/", page.url))
    page.get_by_role("slider", name="Aileron stick").focus()
    names = []
    for _ in range(6):
        page.keyboard.press("n")
        names.append(page.evaluate("document.activeElement.name"))
    assert len(set(names)) == page.locator(".bench-control").count()
    page.keyboard.press("Shift+N")
    assert page.evaluate("document.activeElement.name") == names[-2]
    keys = page.locator("#bench-keys")
    page.keyboard.press("?")
    expect(keys.get_by_text("all controls to rest")).to_be_visible()
    assert fits(page)
    assert [one["id"] for one in Axe().run(page).response["violations"]] == []
    page.keyboard.press("?")
    expect(keys.get_by_text("all controls to rest")).to_be_hidden()
    assert page.evaluate("document.activeElement.name") == names[-2]


def test_the_keys_are_left_alone_elsewhere(glider: Revision, signed_in: Page) -> None:
    """With another key held, in a list to choose from, and where nothing of the bench has the focus."""
    page = signed_in
    page.goto(re.sub(r"(//[^/]+/).*", r"\1airframes/big-glider/bench/", page.url))
    roll = page.get_by_role("slider", name="Aileron stick")
    for place in ("#id_response", "a[href='/']"):
        page.locator(place).first.focus()
        for key in ("End", "m", "+", "n", "?", "2"):
            page.keyboard.press(key)
        assert page.evaluate("document.activeElement.name || ''") != "at_roll"
    roll.focus()
    page.evaluate("""document.querySelector(".bench-controls").dispatchEvent(
        new KeyboardEvent("keydown", {key: "+", ctrlKey: true, bubbles: true}))""")
    assert roll.input_value() == "0"
    assert not page.locator("#bench-keys").evaluate("one => one.open")
