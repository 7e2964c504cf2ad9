"""The page that explains: every link from a form leads somewhere, and its test of a transmitter is that of the form."""

import re
from importlib import import_module
from typing import Any

import pytest
from django import forms
from django.conf import settings
from django.urls import reverse

from hangar.fleet.forms import SignsForm
from hangar.fleet.models import SIGNS
from hangar.help import drawings
from hangar.help.topics import FIELDS, TOPICS, topic_of
from hangar.members.models import Member
from hangar.setups.models import Revision
from tests.factories import TransmitterFactory
from tests.hangar.pages.conftest import SignIn, words
from tests.hangar.pictures.reading import SVG, parsed, texts, title

HELP = reverse("help:help")
FORMS = (
    "hangar.fleet.forms", "hangar.setups.part_forms", "hangar.setups.surface_forms", "hangar.setups.coupling_forms",
    "hangar.setups.single_forms", "hangar.setups.shape_forms", "hangar.flights.measure_forms",
)  # fmt: skip


def test_every_topic_has_its_place_on_the_page(reader: Member, sign_in: SignIn) -> None:
    page = sign_in(reader).get(HELP).content.decode()
    sections = re.findall(r'<section class="section[^"]*" id="([^"]+)"', page)
    assert sections == list(TOPICS)
    assert [link for link in re.findall(r'href="#([^"]+)"', page) if link not in {*sections, "main"}] == []
    assert "rules of the national authority" in page


def test_every_field_that_leads_there_is_one_of_a_form() -> None:
    there = set()
    for module in FORMS:
        for form in vars(import_module(module)).values():
            if isinstance(form, type) and issubclass(form, forms.Form):
                there |= {f"{form.__name__}.{name}" for name in form.base_fields} | set(form.base_fields)
    # Numbered fields are made when a form is.
    made = {"want_0", "fade_0", "stance_1", "chord_aileron"}
    assert {name for name in FIELDS if name not in there} <= made
    assert set(FIELDS.values()) <= set(TOPICS)


def test_a_form_may_use_a_name_otherwise() -> None:
    assert topic_of("ChannelForm", "centre_us") == "channel"
    assert topic_of("TransmitterForm", "centre_us") == ""


@pytest.mark.parametrize(
    ("address", "topics"),
    [
        ("draft/surfaces/0/", {"throw", "unmeasured", "y-lead"}),
        ("draft/channels/0/", {"channel", "failsafe"}),
        ("draft/one/balance/", {"balance"}),
    ],
)
def test_a_field_leads_to_its_topic(
    glider: Revision, owner: Member, sign_in: SignIn, address: str, topics: set[str]
) -> None:
    page = sign_in(owner).get(reverse("flights:airframe", args=["big-glider"]) + address).content.decode()
    assert set(re.findall(rf'class="what" href="{HELP}#([^"]+)"', page)) == topics


def test_the_test_of_a_transmitter_is_the_one_that_is_kept(owner: Member, sign_in: SignIn) -> None:
    """What to do and what can be answered stand there in the words of the form."""
    browser = sign_in(owner)
    form = words(browser.get(reverse("fleet:prove_signs", args=[TransmitterFactory.create(owner=owner).pk])))
    page = words(browser.get(HELP))
    for name in SIGNS:
        field = SignsForm.base_fields[name]
        answers = [str(label) for value, label in field.choices if value != "unproven"]  # type: ignore[attr-defined]
        assert len(answers) == 2
        for told in (str(field.label), *([] if name == "reversal" else answers)):
            assert told in page, told
            assert told in form, told
    assert str(SignsForm.base_fields["reversal"].help_text) in page


def test_which_end_stays_short_tells_where_reversal_comes() -> None:
    """Worked out from what the two orders are: limits that hold the pulse, or the travel before it is turned round."""
    upper = 50.0

    def end_that_is_short(*, turned: bool, order: str) -> str:
        ends = {}
        for travel in (-100.0, 100.0):
            if order == "before":
                pulse = min(-travel if turned else travel, upper)
            else:
                pulse = min(travel, upper) * (-1 if turned else 1)
            ends["one end" if pulse > 0 else "the other"] = abs(pulse)
        return min(ends, key=lambda end: ends[end])

    told = str(SignsForm.base_fields["reversal"].help_text)
    for order in ("before", "after"):
        same = end_that_is_short(turned=False, order=order) == end_that_is_short(turned=True, order=order)
        assert f"{'The same end of the surface stays short' if same else 'The other end'}: {order} the limits." in told


@pytest.mark.parametrize("drawing", drawings.ALL, ids=lambda drawing: drawing.__name__)
def test_drawings_keep_within_their_edges(drawing: "object") -> None:
    markup = drawing()  # type: ignore[operator]
    assert title(markup)
    picture = parsed(markup)
    width, height = (float(picture.attrib[name]) for name in ("width", "height"))
    for text in picture.iter(f"{SVG}text"):
        assert 0 <= float(text.attrib["x"]) <= width
        assert 0 < float(text.attrib["y"]) <= height


def test_the_drawn_throw_is_what_the_chord_gives() -> None:
    """2 · 40 mm · sin(25° / 2) = 17.3 mm."""
    assert {"chord 40 mm", "25°", "17.3 mm down"} <= set(texts(drawings.throw()))


def test_the_drawn_model_moves_as_it_is_told() -> None:
    rolled, braked = title(drawings.differential()), title(drawings.crow())
    up, down = (float(re.search(rf"{side} aileron ([\d.]+) mm {way}", rolled)[1])  # type: ignore[index]
                for side, way in (("Right", "up"), ("Left", "down")))  # fmt: skip
    assert up > down > 2
    for told in (r"Right flap [\d.]+ mm down", r"Left aileron [\d.]+ mm up", r"Elevator [\d.]+ mm down"):
        assert re.search(told, braked), braked


@pytest.mark.parametrize(
    ("name", "args", "topics"),
    [
        ("setups:throws", ("big-glider",), {"throw", "differential", "rates", "unmeasured"}),
        ("setups:bench", ("big-glider",), {"crow", "compensation", "unmeasured"}),
        ("setups:parts", ("big-glider", "channels"), {"y-lead", "channel", "failsafe"}),
        ("setups:phase_changes", ("big-glider",), {"phases"}),
        ("setups:new_airframe", (), {"crow", "y-lead", "unmeasured", "balance"}),
        ("setups:dial_in", ("big-glider", 1), {"transmitter"}),
    ],
)
def test_a_page_leads_to_what_it_is_about(
    glider: Revision, owner: Member, sign_in: SignIn, name: str, args: tuple[Any, ...], topics: set[str]
) -> None:
    page = sign_in(owner).get(reverse(name, args=args)).content.decode()
    (line,) = re.findall(r'<p class="explained">.*?</p>', page, flags=re.DOTALL)
    assert set(re.findall(rf'href="{HELP}#([^"]+)"', line)) == topics


@pytest.mark.django_db
def test_in_german_and_in_inches(sign_in: SignIn) -> None:
    """Texts, lengths and the labels of the model that is drawn; and the next reader sees their own again."""
    german = Member.objects.create_user("gerda", full_name="Gerda", language="de", length_unit="inch")
    page = sign_in(german).get(HELP).content.decode()
    # The chord of 40 mm and the throw of 2 · 40 mm · sin 12.5°, in international inches of 25.4 mm.
    assert "Rudertiefe 1,6 in" in page
    assert "0,68 in tief" in page
    assert "Der <b>Ausschlag</b> ist" in page
    assert 'class="nowrap">0,47 in hoch<' in page
    english = Member.objects.create_user("eve", full_name="Eve")
    page = sign_in(english).get(HELP).content.decode()
    assert "chord 40 mm" in page
    assert 'class="nowrap">12.0 mm up<' in page


def test_it_tells_a_new_member_how_it_goes(glider: Revision, reader: Member, sign_in: SignIn) -> None:
    browser = sign_in(reader)
    page = browser.get(HELP)
    told = words(page)
    for state in ("Ready to fly:", "Look first:", "Grounded:"):
        assert told.count(state) == 1
    start = page.content.decode().partition('id="start"')[2].partition("</section>")[0]
    ways = re.findall(r'href="([^"]+)"', start)
    assert ways == [reverse("flights:line_up"), reverse("setups:new_airframe"), reverse("members:you")]
    assert [browser.get(way).status_code for way in ways] == [200, 200, 200]


def test_the_keys_of_the_bench_are_those_of_its_own_page(glider: Revision, reader: Member, sign_in: SignIn) -> None:
    browser = sign_in(reader)
    bench = browser.get(reverse("setups:bench", args=["big-glider"])).content.decode()
    explained = browser.get(HELP).content.decode().partition('id="keys"')[2]
    keys = [set(re.findall(r"<kbd>([^<]+)</kbd>", page)) for page in (bench, explained)]
    assert {"M", "N", "R", "?", "Home", "End"} <= keys[0] & keys[1]
    assert keys[1] - keys[0] == {"9"}, "phases are told by their numbers where no model is at hand"
    script = (settings.BASE_DIR / "hangar" / "static" / "bench.js").read_text(encoding="utf-8")
    acts = set(
        re.findall(r'(?:"([^"]+)"|\b(\w+)): (?:\(\)|rest|list)', script.partition("const ACTS")[2].partition("};")[0])
    )
    assert {(one or other).upper() for one, other in acts} - {"=", "-"} == {key.upper() for key in keys[1]} - {
        "1",
        "9",
        "SHIFT",
    }
