"""Language and unit of length: of the computation's texts, of pages, of what is typed."""

from typing import Any

import pytest
from django import forms
from django.test import Client
from django.utils import translation

from hangar.inputs import LengthField, NumberField, read_throw
from hangar.languages.speaking import speaking, spoken, way
from hangar.members.models import Member
from hangar.members.operations import set_preferences
from hangar.pictures import words
from hangar.setups.throw_units import written_mm
from mixing import wording


def test_a_throw_in_each_language_and_unit() -> None:
    assert words.throw_words(-12, "aileron") == "12.0 mm up"
    with speaking("de"):
        assert words.throw_words(-12.4, "aileron") == "12,4 mm hoch"
        assert wording.throw_words(0.01, "aileron") == "neutral"
        assert words.signed(-7.5, 1) == "−7,5"
    with speaking("en", "inch"):
        # 12.7 mm are half an inch: the international inch is 25.4 mm exactly (ISO 80000-3).
        assert words.throw_words(12.7, "rudder") == "0.50 in left"
        assert wording.length(25.4) == "1 in"
    assert words.throw_words(12.7, "rudder") == "12.7 mm left"


def test_what_is_something_in_mm_is_something_in_inches() -> None:
    """A tenth of a millimetre is 0.004 in: two decimals would say that nothing moves."""
    with speaking("en", "inch"):
        assert words.throw_words(0.1, "elevator") == "0.004 in down"
        assert wording.throw_words(-0.1, "elevator") == "0.004 in up"
        assert wording.signed_length(-0.1) == "−0.004 in"
        assert wording.length_size(0.1) == "0.004 in"
        assert written_mm(0.1) == pytest.approx(0.004 * 25.4)
        # From 0.005 in on two decimals say it, and what is nothing in mm is nothing here.
        assert words.throw_words(0.13, "elevator") == "0.01 in down"
        assert words.throw_words(0.04, "elevator") == wording.throw_words(0.04, "elevator") == "neutral"
        assert written_mm(0.04) == 0
        assert [words.is_nothing(at / 100) for at in range(1, 60)] == [at < 5 for at in range(1, 60)]


def test_what_is_kept_of_an_answer_is_kept_for_its_language_and_unit() -> None:
    seen = {way()}
    for code, unit in (("de", "mm"), ("de", "inch"), ("en", "inch")):
        with speaking(code, unit):
            seen.add(way())
    assert len(seen) == 4


def test_labels_keep_their_capitals_in_german() -> None:
    assert wording.lowered("Left flap") == "left flap"
    with translation.override("de"):
        assert wording.lowered("Landeklappe") == "Landeklappe"
        assert not spoken().lowers


@pytest.mark.parametrize(
    ("typed", "unit", "mm"),
    [
        ("12", "mm", 12), ("12 mm", "inch", 12), ("0.5", "inch", 12.7), ("0,5 in", "mm", 12.7), ("1.2 cm", "mm", 12),
        ('0.5"', "mm", 12.7), ("12mm", "inch", 12), ("1.5 Zoll", "mm", 38.1),
    ],
)  # fmt: skip
def test_lengths_as_they_are_typed(typed: str, unit: str, mm: float) -> None:
    with speaking("en", unit):
        assert LengthField().clean(typed) == pytest.approx(mm)


def test_throws_as_they_are_typed() -> None:
    assert read_throw("12 up") == -12
    with speaking("de"):
        assert read_throw("12,5 hoch") == -12.5
        assert read_throw("12 up") == -12
        assert read_throw("3 links", sideways=True) == 3
    with speaking("en", "inch"):
        assert read_throw("0.5 in down") == pytest.approx(12.7)
        assert read_throw("1 up") == pytest.approx(-25.4)
        assert read_throw("10 mm up") == -10
        with pytest.raises(ValueError, match="does not say which way"):
            read_throw("1 in")


class Arm(forms.Form):
    arm = LengthField(label="Arm", least=2, most=100)
    angle = NumberField(label="Angle")


def test_a_length_field_in_inches() -> None:
    with speaking("en", "inch"):
        shown = Arm(initial={"arm": 12.0, "angle": 3.5})
        assert shown["arm"].label == "Arm, in"
        assert shown["arm"].value() == "0.472"
        form = Arm({"arm": "0.472", "angle": "3.5"}, initial={"arm": 12.0})
        assert form.is_valid()
        assert form.cleaned_data["arm"] == 12.0
        changed = Arm({"arm": "0.5", "angle": "3.5"}, initial={"arm": 12.0})
        assert changed.is_valid()
        assert changed.cleaned_data["arm"] == pytest.approx(12.7)
        refused = Arm({"arm": "12", "angle": "3.5"})
        assert refused.errors["arm"] == ["12 is too large; give at most 3.937."]


def test_a_number_is_shown_and_read_with_a_comma_in_german() -> None:
    with speaking("de"):
        assert Arm(initial={"angle": -3.5})["angle"].value() == "−3,5"
        form = Arm({"arm": "12,5", "angle": "−3,5"})
        assert form.is_valid()
        assert form.cleaned_data == {"arm": 12.5, "angle": -3.5}
        assert form["arm"].label == "Arm, mm"


@pytest.mark.django_db
def test_the_page_speaks_as_the_member_chose(client: Client) -> None:
    member = Member.objects.create_user("olive", "four wet boots", full_name="Olive Owner")
    client.force_login(member)
    page: Any = client.get("/you/preferences/")
    assert b'<html lang="en">' in page.content
    assert page["Content-Language"] == "en"
    page = client.get("/you/preferences/", headers={"Accept-Language": "de-CH, en;q=0.5"})
    assert b'<html lang="de">' in page.content
    set_preferences(user=member, language="en")
    page = client.get("/you/preferences/", headers={"Accept-Language": "de"})
    assert b'<html lang="en">' in page.content


@pytest.mark.django_db
def test_the_sign_in_page_speaks_as_the_browser_asks(client: Client) -> None:
    assert b'<html lang="de">' in client.get("/sign-in/", headers={"Accept-Language": "de"}).content
    assert translation.get_language() == "en"


def test_speaking_inside_speaking_comes_back() -> None:
    with speaking("de"):
        with speaking("en", "inch"):
            assert words.throw_words(12.7, "flap") == "0.50 in down"
        assert words.throw_words(12.7, "flap") == "12,7 mm tief"
        with pytest.raises(ZeroDivisionError), speaking("en"):
            _ = 1 / 0
        assert words.throw_words(12.7, "flap") == "12,7 mm tief"
    with translation.override("de"):
        assert words.throw_words(12.7, "flap") == "12,7 mm tief", "also where only the language was set"
    assert words.throw_words(12.7, "flap") == "12.7 mm down"
