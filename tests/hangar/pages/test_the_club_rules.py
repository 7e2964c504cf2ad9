"""The page of the club's rules, and where the rules are named."""

import html
import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from hangar.fleet.models import Airframe, MassBand
from hangar.fleet.rule_operations import add_mass_band, set_club_rules
from hangar.fleet.rules import club_rules
from hangar.members.models import Member
from hangar.setups.models import Revision
from tests.hangar.pages.conftest import SignIn, error_at, words

pytestmark = pytest.mark.database

RULES, SET, NEW = (reverse(f"fleet:{name}") for name in ("club_rules", "set_club_rules", "new_mass_band"))
OFF = {"mark": "off", "mark_seen": "off", "mass_weighed": "off"}


def test_everyone_reads_them(reader: Member, secretary: Member, sign_in: SignIn) -> None:
    page = words(sign_in(reader).get(RULES))
    assert "No release is asked for." in page
    assert "Set the rules" not in page
    assert "Set the rules" in words(sign_in(secretary).get(RULES))


def test_the_secretary_sets_them(secretary: Member, sign_in: SignIn) -> None:
    browser = sign_in(secretary)
    assert browser.get(SET).status_code == 200
    given = {**OFF, "first_flight": "on", "mark": "look_first"}
    assert browser.post(SET, given)["Location"] == RULES
    rules = club_rules()
    assert (rules.first_flight, rules.after_rebuild, rules.mark) == (True, False, "look_first")
    page = words(browser.get(RULES))
    assert "A second person releases the model" in page
    assert f"by {secretary}" in page


def test_a_choice_that_is_none(secretary: Member, sign_in: SignIn) -> None:
    assert "loudly" in error_at(sign_in(secretary).post(SET, {**OFF, "mark": "loudly"}), "mark")


def test_bands(secretary: Member, sign_in: SignIn) -> None:
    browser = sign_in(secretary)
    assert browser.get(NEW).status_code == 200
    band = {"label": "heavy", "from_g": "5000", "asks": "with a helper", "weight": "look_first"}
    assert browser.post(NEW, band)["Location"] == RULES
    assert "heavy 5000 g with a helper look first" in words(browser.get(RULES))
    found = MassBand.objects.get()
    address = reverse("fleet:mass_band", args=[found.pk])
    assert browser.post(address, {**band, "from_g": "6000"}).status_code == 302
    assert MassBand.objects.get().from_g == 6000
    assert "5 kg" in error_at(browser.post(address, {**band, "from_g": "5 kg"}), "from_g")
    assert error_at(browser.post(NEW, {**band, "label": "other", "from_g": "6000"}), "from_g")
    assert browser.post(reverse("fleet:remove_mass_band", args=[found.pk])).status_code == 302
    assert not MassBand.objects.exists()


def test_who_may(owner: Member, instructor: Member, secretary: Member, sign_in: SignIn) -> None:
    band = add_mass_band(user=secretary, label="heavy", from_g=5000)
    pages: list[Any] = [SET, NEW, reverse("fleet:mass_band", args=[band.pk])]
    remove = reverse("fleet:remove_mass_band", args=[band.pk])
    for member in (owner, instructor):
        for page in pages:
            assert sign_in(member).get(page).status_code == 403
            assert sign_in(member).post(page, OFF).status_code == 403
        assert sign_in(member).post(remove).status_code == 403
    for page in (RULES, *pages, remove):
        assert Client().get(page)["Location"].startswith(reverse("members:sign_in"))
    assert sign_in(secretary).get(remove).status_code == 405
    assert sign_in(secretary).post(RULES).status_code == 405
    assert sign_in(secretary).get(reverse("fleet:mass_band", args=[99])).status_code == 404
    assert MassBand.objects.exists()


@pytest.fixture
def marked(first: Revision) -> Airframe:
    first.airframe.mark = "TERN 4"
    first.airframe.save()
    return first.airframe


def test_the_line_up_and_the_airframes_page_name_the_rule(first: Revision, secretary: Member, sign_in: SignIn) -> None:
    set_club_rules(user=secretary, mark="look_first", mass_weighed="told", first_flight=True)
    page = words(sign_in(secretary).get(reverse("flights:airframe", args=["big-glider"])))
    assert "Club rule: a second person releases it before its first flight" in page
    assert "Club rule: its flying mass was not weighed" in page
    assert "club rule: a second person releases it before its first flight" in words(sign_in(secretary).get("/"))
    set_club_rules(user=secretary, first_flight=False)
    page = words(sign_in(secretary).get(reverse("flights:airframe", args=["big-glider"])))
    assert "Club rule: a mark is asked for, and none is recorded" in page


def test_the_mark_is_seen_at_a_press(marked: Airframe, owner: Member, reader: Member, sign_in: SignIn) -> None:
    page, press = reverse("flights:airframe", args=["big-glider"]), reverse("fleet:see_mark", args=["big-glider"])
    assert "I have seen it on the model" not in words(sign_in(reader).get(page))
    assert sign_in(reader).post(press).status_code == 403
    assert sign_in(owner).get(press).status_code == 405
    assert "I have seen it on the model" in words(sign_in(owner).get(page))
    assert sign_in(owner).post(press).status_code == 302
    assert "TERN 4 seen" in words(sign_in(owner).get(page))


def test_without_a_mark_there_is_nothing_to_see(airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    response = browser.post(reverse("fleet:see_mark", args=["big-glider"]), follow=True)
    assert "No mark of Big Glider is recorded" in words(response)


def test_a_band_that_was_removed_can_be_brought_back(secretary: Member, sign_in: SignIn) -> None:
    browser = sign_in(secretary)
    was = {"label": "heavy & fast", "from_g": 125000.5, "asks": "only from the north strip", "weight": "look_first"}
    band = MassBand.objects.create(**was)
    told = browser.post(reverse("fleet:remove_mass_band", args=[band.pk]), follow=True).content.decode()
    assert not MassBand.objects.exists()
    back = re.search(r'<a href="([^"]+)">Bring it back</a>', told)
    assert back is not None
    form = browser.get(html.unescape(back[1])).context["form"]
    browser.post(reverse("fleet:new_mass_band"), {name: form[name].value() for name in form.fields})
    assert MassBand.objects.filter(**was).exists()
