"""Two pages of one member on one draft: what they changed apart is joined, and only where both changed one thing does
the page ask."""

import json
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from hangar.members.models import Member
from hangar.setups.models import Draft, Revision
from tests.hangar.pages.conftest import Answer, SignIn, error_at, values, words

RESPONSE = reverse("setups:coupling", args=["big-glider"])
RIGHT_FLAP = f"{RESPONSE}?control=lever&channel=6&phase="
LEFT_FLAP = f"{RESPONSE}?control=lever&channel=7&phase="
LIVE = {"HX-Request": "true"}


def surface(index: int, name: str = "setups:part") -> str:
    return reverse(name, args=["big-glider", "surfaces", index])


def part(browser: Client, address: str) -> dict[str, Any]:
    """What stands in the boxes of a part's page, chosen ones too."""
    form = browser.get(address).context["form"]
    shown = {name: form[name].value() for name in form.fields}
    hidden = values(browser.get(address))
    return {**{name: value for name, value in shown.items() if value not in (None, False)}, **hidden}


def drafted() -> dict[str, Any]:
    data: dict[str, Any] = json.loads(Draft.objects.get().text)
    return data


def coupled(channel: int, control: str = "lever") -> dict[str, Any]:
    found = [c for c in drafted()["couplings"] if (c["control"], c["channel"], c["phase"]) == (control, channel, None)]
    return dict(found[0])


def send(browser: Client, address: str, form: dict[str, Any], **changes: str) -> Answer:
    return browser.post(address, {**form, **changes}, follow=True)


@pytest.fixture
def begun(glider: Revision, owner: Member, sign_in: SignIn) -> Client:
    """The owner's browser, where pages are made from a draft in hand."""
    browser = sign_in(owner)
    address = reverse("setups:single", args=["big-glider", "remarks"])
    browser.post(address, {**values(browser.get(address)), "remarks": "windy"})
    return browser


@pytest.mark.parametrize("live", [False, True])
def test_two_responses(begun: Client, live: bool) -> None:
    right, left = values(begun.get(RIGHT_FLAP)), values(begun.get(LEFT_FLAP))
    for travel in ("60", "70"):
        send(begun, LEFT_FLAP, {**values(begun.get(LEFT_FLAP)), "travel_0": travel})
    changed = {**right, "travel_0": "80"}
    response = begun.post(RIGHT_FLAP, changed, headers=LIVE) if live else send(begun, RIGHT_FLAP, changed)
    page = words(response)
    assert "Saved from another page" not in page
    assert "Kept, together with what another page of yours changed meanwhile: Left flap, Left lever." in page
    assert (coupled(6)["stations"][0], coupled(7)["stations"][0]) == ([-100, 80], [-100, 70])
    # And the other page again, which shows what neither is any more.
    assert "Left flap" in words(send(begun, LEFT_FLAP, left, expo_pct="20"))
    assert (coupled(6)["stations"][0], coupled(7)["expo_pct"]) == ([-100, 80], 20)
    assert coupled(7)["stations"][0] == [-100, 70]


def test_two_pages_made_from_the_revision(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    right, left = values(browser.get(RIGHT_FLAP)), values(browser.get(LEFT_FLAP))
    send(browser, LEFT_FLAP, left, travel_0="70")
    send(browser, RIGHT_FLAP, right, travel_0="80")
    send(browser, LEFT_FLAP, left, expo_pct="20")
    assert (coupled(6)["stations"][0], coupled(7)["stations"][0], coupled(7)["expo_pct"]) == (
        [-100, 80],
        [-100, 70],
        20,
    )


@pytest.mark.parametrize("live", [False, True])
def test_one_response(begun: Client, live: bool) -> None:
    old = values(begun.get(RIGHT_FLAP))
    send(begun, RIGHT_FLAP, old, travel_0="70", expo_pct="10")
    late = {**old, "travel_0": "80"}
    response = begun.post(RIGHT_FLAP, late, headers=LIVE) if live else begun.post(RIGHT_FLAP, {**late, "do": "work"})
    assert "made this 70 meanwhile. Save again to put what you typed in its place." in error_at(response, "travel_0")
    now = values(response)
    assert (now["travel_0"], now["expo_pct"]) == ("80", "10"), "what was typed stays, the rest is what is stored"
    assert coupled(6)["stations"][0] == [-100, 70]
    send(begun, RIGHT_FLAP, now)
    assert (coupled(6)["stations"][0], coupled(6)["expo_pct"]) == ([-100, 80], 10)


def test_one_response_told_apart_by_its_fields(begun: Client) -> None:
    old = values(begun.get(RIGHT_FLAP))
    send(begun, RIGHT_FLAP, old, travel_0="70")
    send(begun, RIGHT_FLAP, old, expo_pct="25")
    assert (coupled(6)["stations"][0], coupled(6)["expo_pct"]) == ([-100, 70], 25)


def test_other_stations_count_as_one_thing(begun: Client) -> None:
    old = values(begun.get(RIGHT_FLAP))
    send(begun, RIGHT_FLAP, old, x_2="0", travel_2="20", x_1="100")
    response = begun.post(RIGHT_FLAP, {**old, "travel_0": "80", "do": "work"})
    assert "Saved from another page meanwhile." in words(response)
    assert (values(response)["travel_0"], values(response)["x_2"]) == ("80", ""), "no station of two pages mixed"


def test_a_coupling_that_the_other_page_took_out(begun: Client) -> None:
    send(begun, RIGHT_FLAP, values(begun.get(RIGHT_FLAP)), expo_pct="15")
    old = values(begun.get(RIGHT_FLAP))
    send(begun, RIGHT_FLAP, old, do="remove")
    response = begun.post(RIGHT_FLAP, {**old, "travel_0": "80", "do": "work"})
    assert (values(response)["travel_0"], values(response)["expo_pct"]) == ("80", "15")
    send(begun, RIGHT_FLAP, values(response))
    assert coupled(6)["stations"][0] == [-100, 80]


def test_nothing_changed_on_a_page_that_shows_what_is_gone(begun: Client) -> None:
    old = values(begun.get(RIGHT_FLAP))
    send(begun, RIGHT_FLAP, old, do="remove")
    assert send(begun, RIGHT_FLAP, old, do="work").status_code == 200
    assert 6 not in {one["channel"] for one in drafted()["couplings"] if one["control"] == "lever"}


def test_two_boxes_of_one_surface(begun: Client) -> None:
    old = part(begun, surface(2))
    send(begun, surface(2), old, chord_mm="51")
    response = send(begun, surface(2), old, stop_up_deg="33")
    assert "Kept, together with what another page of yours changed meanwhile" in words(response)
    assert (drafted()["surfaces"][2]["chord_mm"], drafted()["surfaces"][2]["stop_up_deg"]) == (51, 33)


def test_one_box_of_one_surface(begun: Client) -> None:
    old = part(begun, surface(2))
    send(begun, surface(2), old, chord_mm="51", stop_up_deg="33")
    response = send(begun, surface(2), old, chord_mm="60")
    assert "Another page of yours made this 51 meanwhile" in error_at(response, "chord_mm")
    now = part(begun, surface(2)) | values(response)
    assert (now["chord_mm"], now["stop_up_deg"]) == ("60", "33")
    send(begun, surface(2), now)
    assert (drafted()["surfaces"][2]["chord_mm"], drafted()["surfaces"][2]["stop_up_deg"]) == (60, 33)


def test_a_surface_that_moved_up_its_list(begun: Client, glider: Revision) -> None:
    """Pages name a part by its place in the list: what was typed is meant for the part that stood there."""
    key = glider.setup.surfaces[2].key
    old, gone = part(begun, surface(2)), values(begun.get(surface(0)))
    begun.post(surface(0, "setups:remove_part"), gone)
    response = send(begun, surface(2), old, chord_mm="61")
    assert response.status_code == 200
    found = {one["key"]: one["chord_mm"] for one in drafted()["surfaces"]}
    assert len(found) == len(glider.setup.surfaces) - 1
    assert found[key] == 61
    assert all(found[one.key] == one.chord_mm for one in glider.setup.surfaces[1:] if one.key != key)


def test_both_changed_a_surface_that_moved_up_its_list(begun: Client, glider: Revision) -> None:
    key = glider.setup.surfaces[2].key
    old, gone = part(begun, surface(2)), values(begun.get(surface(0)))
    begun.post(surface(0, "setups:remove_part"), gone)
    send(begun, surface(1), part(begun, surface(1)), chord_mm="62")
    response = begun.post(surface(2), {**old, "chord_mm": "63"})
    assert f'action="{surface(1)}"' in response.content.decode()
    send(begun, surface(1), part(begun, surface(1)) | values(response))
    assert {one["key"]: one["chord_mm"] for one in drafted()["surfaces"]}[key] == 63


def test_a_surface_that_the_other_page_took_out(begun: Client, glider: Revision) -> None:
    new = reverse("setups:new_part", args=["big-glider", "surfaces"])
    key = glider.setup.surfaces[0].key
    old = part(begun, surface(0))
    begun.post(surface(0, "setups:remove_part"), old)
    response = begun.post(surface(0), {**old, "chord_mm": "64"})
    assert f'action="{new}"' in response.content.decode()
    assert values(response)["chord_mm"] == "64"
    begun.post(new, {**old, **values(response)})
    assert {one["key"]: one["chord_mm"] for one in drafted()["surfaces"]}[key] == 64
    assert len(drafted()["surfaces"]) == len(glider.setup.surfaces)


def test_taking_out_the_part_that_the_page_showed(begun: Client, glider: Revision) -> None:
    keys = [one.key for one in glider.setup.surfaces]
    old = values(begun.get(surface(2)))
    begun.post(surface(0, "setups:remove_part"), old)
    begun.post(surface(2, "setups:remove_part"), old)
    assert {one["key"] for one in drafted()["surfaces"]} == {*keys} - {keys[0], keys[2]}


def test_what_was_taken_back_meanwhile(begun: Client) -> None:
    send(begun, RIGHT_FLAP, values(begun.get(RIGHT_FLAP)), travel_0="60")
    other = values(begun.get(LEFT_FLAP))
    begun.post(reverse("setups:take_back", args=["big-glider"]), other)
    send(begun, LEFT_FLAP, other, travel_0="70")
    assert (coupled(6)["stations"][0], coupled(7)["stations"][0]) == ([-100, 95], [-100, 70])


def test_a_page_of_which_nothing_is_known_any_more(begun: Client) -> None:
    old = values(begun.get(RIGHT_FLAP))
    send(begun, LEFT_FLAP, values(begun.get(LEFT_FLAP)), travel_0="70")
    response = begun.post(RIGHT_FLAP, {**old, "seen": "0" * 16, "travel_0": "80", "do": "work"})
    assert "Saved from another page meanwhile." in words(response)
    assert (coupled(6)["stations"][0], coupled(7)["stations"][0]) == ([-100, 95], [-100, 70])
    send(begun, RIGHT_FLAP, values(response))
    assert (coupled(6)["stations"][0], coupled(7)["stations"][0]) == ([-100, 80], [-100, 70])


class TestADraftThatIsNoSetupYet:
    @pytest.fixture(autouse=True)
    def unfinished(self, begun: Client) -> None:
        send(begun, surface(5), part(begun, surface(5)), chord_mm="wide")

    def test_two_parts(self, begun: Client) -> None:
        old = values(begun.get(RIGHT_FLAP))
        send(begun, LEFT_FLAP, values(begun.get(LEFT_FLAP)), travel_0="70")
        send(begun, surface(2), part(begun, surface(2)), chord_mm="51")
        send(begun, RIGHT_FLAP, old, travel_0="80")
        assert (coupled(6)["stations"][0], coupled(7)["stations"][0]) == ([-100, 80], [-100, 70])
        assert (drafted()["surfaces"][2]["chord_mm"], drafted()["surfaces"][5]["chord_mm"]) == (51, "wide")

    def test_two_boxes_of_one_part(self, begun: Client) -> None:
        old = part(begun, surface(2))
        send(begun, surface(2), old, chord_mm="51")
        send(begun, surface(2), old, stop_up_deg="33")
        assert (drafted()["surfaces"][2]["chord_mm"], drafted()["surfaces"][2]["stop_up_deg"]) == (51, 33)

    def test_one_box(self, begun: Client) -> None:
        old = part(begun, surface(2))
        send(begun, surface(2), old, chord_mm="51")
        assert "made this 51 meanwhile" in error_at(send(begun, surface(2), old, chord_mm="60"), "chord_mm")

    def test_a_load_and_the_range_of_balance(self, begun: Client) -> None:
        address = reverse("setups:single", args=["big-glider", "balance"])
        old = values(begun.get(address))
        send(begun, address, old, label_1="Large pack", mass_1="2400", cg_1="92")
        send(begun, address, old, cg_low_mm="80")
        assert [load["label"] for load in drafted()["balance"]["loads"]][1:] == ["Large pack"]
        assert drafted()["balance"]["cg_low_mm"] == 80

    def test_a_channel_that_serves_something_else_now(self, begun: Client, glider: Revision) -> None:
        """The stations were meant for what was on the channel: a person has to look."""
        place = next(n for n, one in enumerate(glider.setup.surfaces) if one.channel == 6)
        old = values(begun.get(RIGHT_FLAP))
        send(begun, surface(place), part(begun, surface(place)), channel="7")
        response = begun.post(RIGHT_FLAP, {**old, "travel_0": "80", "do": "work"})
        assert "Saved from another page meanwhile." in words(response)
