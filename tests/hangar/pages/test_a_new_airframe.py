"""A new airframe from one page: what it is called and what sits where on it, then a draft on the page of throws."""

import re
from typing import Any

import pytest
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.drafts import record_draft
from hangar.setups.models import Draft
from tests.hangar.pages.conftest import Answer, SignIn, error_at, values, words
from tests.hangar.pages.test_junk import JUNK

NEW = reverse("setups:new_airframe")
START = reverse("setups:start", args=["big-glider"])
CHOSEN = {"wing": "two", "tail": "conventional", "nose": "none", "rudder": "on"}
GIVEN = {"name": "Sand Martin", "span_mm": "2 600", "mark": "DEMO 01", **CHOSEN}


def channels(response: Answer) -> str:
    """The channels under the drawing, as "1 Right aileron, 2 …"."""
    listed = re.search(r'<ol class="plan-channels".*?</ol>', response.content.decode(), flags=re.DOTALL)
    assert listed is not None
    return ", ".join(" ".join(one) for one in re.findall(r"<b>(\d+)</b> ([^<]*)", listed[0]))


def test_from_nothing_to_the_throws(owner: Member, sign_in: SignIn) -> None:
    response = sign_in(owner).post(NEW, {**GIVEN, "inner_flaps": "on", "crow": "on", "mass_g": "1 850"}, follow=True)
    added = Airframe.objects.get(slug="sand-martin")
    assert (added.owner, added.span_mm, added.mark, added.status) == (owner, 2600, "DEMO 01", "building")
    assert response.redirect_chain == [(reverse("setups:throws", args=["sand-martin"]), 302)]
    page = words(response)
    assert "Your draft has 6 channels" in page
    assert "estimated" in page
    setup = Draft.objects.get(airframe=added, member=owner).setup
    assert [surface.label for surface in setup.surfaces][-1] == "Left flap"
    assert setup.balance.loads[0].mass_g == 1850
    # Assumed for two metres, and this model has 2.6.
    assert setup.surface("right_aileron").chord_mm == 52


def test_drawn_as_it_is_chosen(owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    assert channels(browser.get(NEW)) == "1 Right aileron, 2 Left aileron, 3 Elevator, 4 Rudder"
    chosen = {"do": "draw", "wing": "elevons", "tail": "none", "nose": "electric", "name": ""}
    part = browser.post(NEW, chosen, headers={"HX-Request": "true"})
    assert channels(part) == "1 Right elevon, 2 Motor, 3 Left elevon"
    assert "<form" not in part.content.decode()
    assert not Airframe.objects.exists()


def test_drawn_without_script(owner: Member, sign_in: SignIn) -> None:
    """The whole page again, everything as it was, and no word yet of what is missing."""
    typed = {"do": "draw", "wing": "one", "tail": "v", "nose": "none", "name": "", "mark": "D 7", "chord_flap": "abc"}
    response = sign_in(owner).post(NEW, typed)
    assert channels(response) == "1 Both ailerons, 2 Left V-tail panel, 3 Right V-tail panel"
    assert (values(response)["mark"], values(response)["chord_flap"]) == ("D 7", "abc")
    page = response.content.decode()
    assert re.search(r'value="one"[^>]*checked', page)
    assert not re.search(r'id="id_rudder"[^>]*checked', page)
    assert 'class="error"' not in page


@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [
        ("name", "", "Give the name by which the club knows the model."),
        ("span_mm", "wide", "“wide” is not a number; give one such as 12 or −7.5."),
        ("span_mm", "0", "0 is too small; give at least 1."),
        ("wing", "wide", "Select a valid choice."),
        ("tail", "", "Nothing is chosen here; choose one."),
        ("tail", "none", "Nothing raises or lowers the nose"),
        ("receiver_channels", "3", "This takes 4 channels, and the receiver has 3."),
        ("chord_rudder", "0", "0 is too small; give at least 1."),
        ("cg_high_mm", "30", "30 mm is ahead of 40 mm"),
        ("cg_datum", "nose\x07", "This holds a control character"),
        ("mass_g", "light", "“light” is not a number"),
    ],
)
def test_what_is_wrong(owner: Member, sign_in: SignIn, field: str, typed: str, told: str) -> None:
    given = {**GIVEN, "cg_low_mm": "40", "cg_high_mm": "50", field: typed}
    response = sign_in(owner).post(NEW, given)
    assert told in error_at(response, field)
    assert values(response)["mark"] == "DEMO 01"
    assert not Airframe.objects.exists()


def test_what_is_wrong_in_the_kit_part_is_not_folded_away(owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    assert '<details class="kit">' in browser.get(NEW).content.decode()
    assert '<details class="kit" open>' in browser.post(NEW, {**GIVEN, "cg_low_mm": "4"}).content.decode()


def test_nothing_that_turns_it_is_told_at_the_wing_and_beside_the_drawing(owner: Member, sign_in: SignIn) -> None:
    given = {**GIVEN, "wing": "none", "rudder": ""}
    response = sign_in(owner).post(NEW, given)
    assert "Nothing turns this model" in error_at(response, "wing")
    assert "Nothing turns this model" in words(sign_in(owner).post(NEW, {**given, "do": "draw"}))


def test_added_to_be_started_another_way(owner: Member, sign_in: SignIn) -> None:
    response = sign_in(owner).post(NEW, {"name": "Tern", "do": "later"}, follow=True)
    assert response.redirect_chain[-1][0] == reverse("setups:start", args=["tern"])
    assert "Four wing servos with crow" in words(response)
    assert not Draft.objects.exists()
    refused = sign_in(owner).post(NEW, {"do": "later", "mark": "D 8"})
    assert error_at(refused, "name")
    assert values(refused)["mark"] == "D 8"


def test_a_model_called_new_has_a_page_of_its_own(owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    browser.post(NEW, {**GIVEN, "name": "New"})
    page = reverse("flights:airframe", args=[Airframe.objects.get().slug])
    assert page != NEW
    assert browser.get(page).status_code == 200


def test_every_tap_makes_a_choice_that_is_there(owner: Member, sign_in: SignIn) -> None:
    """Whatever is chosen, a tap on the drawing is a label of a field of the page, and of the next choice."""
    browser = sign_in(owner)
    page = browser.get(NEW).content.decode()
    there = set(re.findall(r'<input[^>]* id="([^"]+)"', page))
    for tail in ("conventional", "v", "canard", "none"):
        drawn = browser.post(NEW, {"do": "draw", **CHOSEN, "tail": tail}, headers={"HX-Request": "true"})
        taps = dict(re.findall(r'<label class="tap ([^"]+)" for="([^"]+)"', drawn.content.decode()))
        assert set(taps.values()) <= there
        assert taps["inner left"] == "id_inner_flaps"
        assert taps["outer left"] == "id_wing_1"
        assert ("id_rudder" in taps.values()) == (tail != "v")


def test_for_an_airframe_that_is_there(airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    drawn = browser.post(START, {"do": "draw", **CHOSEN, "wing": "one"})
    assert channels(drawn) == "1 Both ailerons, 2 Elevator, 3 Rudder"
    assert "Nothing turns" in error_at(
        browser.post(START, {"do": "shape", **CHOSEN, "wing": "none", "rudder": ""}), "wing"
    )
    response = browser.post(START, {"do": "shape", **CHOSEN}, follow=True)
    assert response.redirect_chain[-1][0] == reverse("setups:throws", args=["big-glider"])
    # Its span is 3.6 m.
    assert Draft.objects.get().setup.surface("rudder").chord_mm == 108


def test_junk_in_every_box(owner: Member, airframe: Airframe, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    context: Any = browser.get(NEW).context
    boxes = [*context["facts"].fields, *context["form"].fields, "do"]
    for turn in range(8):
        junk = {name: JUNK[(place * 4 + turn * 7) % len(JUNK)] for place, name in enumerate(boxes)}
        for known in ({}, {"do": "draw"}, {"do": "later"}, {"do": "draw", **CHOSEN}, {**CHOSEN, "do": "begin"}):
            for page in (NEW, START):
                for headers in ({}, {"HX-Request": "true"}):
                    assert browser.post(page, {**junk, **known}, headers=headers).status_code in (200, 302)


def test_an_empty_hangar_says_what_to_do(owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    line_up = reverse("flights:line_up")
    page = browser.get(line_up)
    assert "The hangar is empty." in words(page)
    assert f'href="{NEW}"' in page.content.decode()
    browser.post(NEW, GIVEN)
    assert "The hangar is empty." not in words(browser.get(line_up))
    assert "No airframe fits this search." in words(browser.get(line_up, {"search": "zzz"}))


def test_an_airframe_without_a_setup_says_what_comes_first(
    airframe: Airframe, owner: Member, reader: Member, sign_in: SignIn
) -> None:
    page, bench = (reverse(name, args=["big-glider"]) for name in ("flights:airframe", "setups:bench"))
    begun = sign_in(owner)
    assert f'href="{START}"' in begun.get(page).content.decode()
    assert begun.get(bench).status_code == 404
    begun.post(START, {"do": "shape", **CHOSEN})
    told = begun.get(page).content.decode()
    for name in ("setups:throws", "setups:bench", "setups:draft"):
        assert f'href="{reverse(name, args=["big-glider"])}' in told
    assert "Your draft" in words(begun.get(bench))
    for_others = words(sign_in(reader).get(page))
    assert "Nobody has recorded a setup yet. Olive Owner and helpers can." in for_others
    assert sign_in(reader).get(bench).status_code == 404


def test_what_is_not_measured_is_marked_in_the_channel_map_too(owner: Member, sign_in: SignIn) -> None:
    """A direction that nobody looked at, and where a surface goes without a signal."""
    browser = sign_in(owner)
    browser.post(NEW, {**GIVEN, "inner_flaps": "on"})
    airframe = Airframe.objects.get()
    record_draft(user=owner, draft=Draft.objects.get(), reason="first")
    page = words(browser.get(reverse("flights:airframe", args=[airframe.slug])))
    assert "Right flap plus moves it down, as assumed" in re.sub(r" 5 Right flap", "", page)
    assert re.search(r"goes to 100 % ?: ≈[\d.]+ mm down", page)
    assert re.search(r"Ready to fly \(mass and balance assumed: measure\)", page)


def test_a_first_draft_says_that_the_audit_found_nothing(owner: Member, sign_in: SignIn) -> None:
    """No empty heading where the draft stands on no revision."""
    browser = sign_in(owner)
    throws = words(browser.post(NEW, GIVEN, follow=True))
    assert "Findings The audit found nothing." in throws
    assert "Findings The audit found nothing." in words(browser.get(reverse("setups:draft", args=["sand-martin"])))
