"""Editing, the bench and the dial-in list for someone who reads German and measures in inches."""

import re
from urllib.parse import urlencode

import pytest
from django.test import Client
from django.urls import reverse

from hangar.languages.collecting import translated
from hangar.languages.speaking import speaking
from hangar.members.models import Member
from hangar.setups.bench import bench_at
from hangar.setups.coupling_forms import read_pairs
from hangar.setups.dial_in import dial_in_list
from hangar.setups.models import Draft, Revision
from hangar.setups.operations import record
from hangar.setups.throw_units import figure, read_figure
from hangar.setups.what_changed import what_changed
from mixing import Conventions, Rig, Setup
from tests.hangar.pages.conftest import SignIn, values, words

SLUG = "big-glider"
THROWS = reverse("setups:throws", args=[SLUG])
LEVER = f"{reverse('setups:coupling', args=[SLUG])}?{urlencode({'control': 'lever', 'channel': 6, 'phase': ''})}"
PAGES = [
    THROWS, LEVER, reverse("setups:bench", args=[SLUG]), reverse("setups:bench", args=[SLUG]) + "?of=draft",
    reverse("setups:draft", args=[SLUG]), reverse("setups:dial_in", args=[SLUG, 1]),
    reverse("setups:enter", args=[SLUG]), reverse("setups:check", args=[SLUG]),
]  # fmt: skip
ELEVATOR_UP = "t-pitch-1-elevator"


@pytest.fixture
def reads(owner: Member, sign_in: SignIn) -> Client:
    """A browser of the owner, who reads German and measures in inches."""
    owner.language, owner.length_unit = "de", "inch"
    owner.save()
    return sign_in(owner)


def up(setup: Setup) -> float:
    return -float(Rig(setup).at({"pitch": 100}).throw_mm["elevator"])


def own_texts(setup: Setup) -> list[str]:
    """Sentences and headings of this area that German puts otherwise, and that no label of the setup holds."""
    texts = [one.id for one in translated("setups", "de") if isinstance(one.id, str) and one.id != one.string]
    whole = [text for text in texts if text[:1].isupper() and len(text) > 4 and not re.search(r"[%{<|]", text)]
    return [text for text in whole if text.lower() not in setup.text().lower()]


@pytest.mark.parametrize("page", PAGES)
def test_no_text_of_a_page_is_left_in_english(glider: Revision, owner: Member, sign_in: SignIn, page: str) -> None:
    browser = sign_in(owner)
    browser.post(THROWS, {**values(browser.get(THROWS)), ELEVATOR_UP: "9 up"})
    english = words(browser.get(page))
    owner.language = "de"
    owner.save()
    german = words(browser.get(page))
    there = [text for text in own_texts(glider.setup) if re.search(rf"(?<!\w){re.escape(text)}(?!\w)", english)]
    assert len(there) > 2, "the page says something of its own"
    assert [text for text in there if re.search(rf"(?<!\w){re.escape(text)}(?!\w)", german)] == []


@pytest.mark.parametrize(
    ("typed", "mm"), [("0,5 hoch", 12.7), ("9 mm hoch", 9), ("0.4 in hoch", 10.16), ("½", None), ("0,4", 10.16)]
)
def test_a_throw_typed_into_the_matrix(glider: Revision, reads: Client, typed: str, mm: float | None) -> None:
    """An inch is 25.4 mm; a unit that was typed counts before the reader's own."""
    answer = reads.post(THROWS, {**values(reads.get(THROWS)), ELEVATOR_UP: typed}, follow=True)
    if mm is None:
        assert f"„{typed}“ ist kein Ausschlag; gib einen ein, etwa 12 hoch oder 8 tief." in words(answer)
        return
    assert up(Draft.objects.get().setup) == pytest.approx(mm, abs=0.01)
    inches = f"{mm / 25.4:.2f}".replace(".", ",")
    assert values(reads.get(THROWS))[ELEVATOR_UP] == f"{inches} in hoch"


@pytest.mark.parametrize(
    ("typed", "unit", "told"),
    [("10°", "mm", "ist ein Winkel"), ("10 mm hoch", "deg", "ist eine Länge"), ("50%", "mm", "ist kein Ausschlag"),
     ("8", "mm", "gib 8 hoch oder 8 tief ein"), ("8,5", "mm", "gib 8,5 hoch oder 8,5 tief ein")],
)  # fmt: skip
def test_what_a_cell_refuses(typed: str, unit: str, told: str) -> None:
    with speaking("de"), pytest.raises(ValueError, match=told):
        read_figure(typed, "elevator", unit, now=0.0)


def test_what_a_cell_reads() -> None:
    with speaking("de", "inch"):
        assert read_figure("1,5 tief", "flap", "mm", now=0.0) == pytest.approx(38.1)
        assert read_figure("1 rechts", "rudder", "mm", now=0.0) == pytest.approx(-25.4)
        assert read_figure("12 Grad hoch", "flap", "deg", now=0.0) == -12
        assert figure(-12.7, "flap", "mm") == "0,50 in hoch"
        assert figure(0.1, "flap", "mm") == "0,004 in tief"
        assert figure(0.04, "flap", "mm") == "0 in"
    with speaking("de"):
        assert figure(-12.34, "flap", "deg") == "12,3° hoch"
        assert read_figure("0,5 in tief", "flap", "mm", now=0.0) == pytest.approx(12.7)


def test_the_unit_is_not_read_as_the_word(glider: Revision, reads: Client) -> None:
    page = words(reads.get(reverse("setups:bench", args=[SLUG])))
    assert "von hinten gesehen, in Zoll." in page
    assert " in in" not in page


def test_the_bench_beside_another_setup(glider: Revision) -> None:
    """The difference is that of what is written, in the reader's unit."""
    half = [{**one.model_dump(), "stations": [(x, y / 2) for x, y in one.stations]} for one in glider.setup.couplings]
    with speaking("de", "inch"):
        bench = bench_at(glider.setup, {"roll": 100.0}, beside=glider.setup.changed(couplings=half))
    aileron = next(one for one in bench.surfaces if one.label == "Right aileron")
    assert aileron.other is not None
    now, was = (float(cell.figure.removesuffix(" in").replace(",", ".")) for cell in (aileron.cell, aileron.other))
    assert aileron.difference == f"{now - was:.2f} in weiter hoch".replace(".", ",")
    assert bench.told.startswith("Right aileron ")
    assert " in hoch" in bench.told


def test_what_is_kept_is_told_to_each_in_their_own_way(glider: Revision, helper: Member) -> None:
    """The same document, asked for by one reader after the other."""
    lower = [{**one.model_dump(), "expo_pct": 30} for one in glider.setup.couplings]
    changed = glider.setup.changed(couplings=lower)
    recorded = record(user=helper, airframe=glider.airframe, setup=changed, base=glider, reason="x").revision
    told = {}
    for code, unit in (("en", "mm"), ("de", "inch"), ("en", "mm")):
        with speaking(code, unit):
            lines = [line for channel in dial_in_list(glider.setup, Conventions()) for line in channel.lines]
            told[code, unit] = [line.entry.gives for line in lines], what_changed([recorded])[recorded.pk][-1]
    assert all(" mm" not in gives for gives in told["de", "inch"][0])
    assert any(" in hoch" in gives for gives in told["de", "inch"][0])
    assert all(" in hoch" not in gives for gives in told["en", "mm"][0])
    assert told["en", "mm"][1].startswith("and ")
    assert told["de", "inch"][1].startswith("und ")


def test_the_response_page_keeps_a_throw_typed_in_inches(glider: Revision, reads: Client) -> None:
    reads.post(LEVER, {**values(reads.get(LEVER)), "want_0": "0,4 tief", "do": "work"})
    setup = Draft.objects.get().setup
    (flap,) = setup.surfaces_on(6)
    throw = float(Rig(setup).at({"lever": -100}).throw_mm[flap.key])
    assert throw == pytest.approx(0.4 * 25.4, abs=0.2)
    page = words(reads.get(LEVER)).split("Befunde")[0]
    assert "oder Ausschlag, in" in page
    assert " in tief" in page
    assert " mm" not in page


@pytest.mark.parametrize(
    ("typed", "pairs"),
    [
        ("−100: 60, 0: 100, 100: 100", [[-100, 60], [0, 100], [100, 100]]),
        ("−100: 62,5; 0: 100", [[-100, 62.5], [0, 100]]), ("−100: 62,5, 0: 100", [[-100, 62.5], [0, 100]]),
        ("-12,5: 60; 0,5:7,25", [[-12.5, 60], [0.5, 7.25]]),
    ],
)  # fmt: skip
def test_pairs_with_either_decimal_sign(typed: str, pairs: list[list[float]]) -> None:
    assert read_pairs(typed) == pairs


def test_no_attribute_of_a_picture_has_a_comma_for_a_decimal(glider: Revision, reads: Client) -> None:
    """A browser reads "1,5" as two numbers."""
    for page in PAGES:
        body = reads.get(page).content.decode()
        for name, value in re.findall(
            r'\s(x[12]?|y[12]?|r|cx|cy|width|height|data-[a-z]+|aria-value[a-z]+)="([^"]*)"', body
        ):
            assert name == "aria-valuetext" or not re.fullmatch(r"-?\d+,\d+", value), (page, name, value)
        for slider in re.findall(r'<input type="range"[^>]*>', body):
            assert re.search(r'value="-?[\d.]+"', slider), slider
