"""The pages on which a model gets its setup, in German and with lengths in inches: nothing English is left on them."""

import json
import re
from html import unescape

import pytest
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.languages.collecting import translated
from hangar.languages.speaking import speaking
from hangar.members.models import Member
from hangar.pictures.words import throw_words
from hangar.setups.models import Draft, Revision
from hangar.setups.part_views import SECTIONS
from hangar.setups.reaches import reach_of
from mixing import Setup
from tests.hangar.pages.conftest import Answer, SignIn, error_at, speak, values, words
from tests.hangar.pages.test_a_linkage import asked, place, send
from tests.hangar.test_setups_in_german import read_by_people

_TYPED = {"layout_texts.py", "composing.py", "shapes.py"}
"""Their texts are labels of setups, which stay as they were typed."""


def site_texts() -> list[tuple[str, str]]:
    """What the site itself says on pages of setups, with its translation: whole texts that are no short word."""
    found = []
    for message in translated("setups", "de"):
        files = {name.rsplit("/", 1)[-1] for name, _line in message.locations}
        if not isinstance(message.id, str) or len(message.id) < 5 or files <= _TYPED:
            continue
        if "%" not in message.id and "{" not in message.id and message.id != message.string:
            found.append((message.id, str(message.string)))
    return found


def new(name: str, *more: object) -> str:
    return reverse(f"setups:{name}", args=["big-glider", *more])


PAGES = {
    "linkages": new("linkages"), "linkage": new("linkage", 0), "four-bar": new("linkage", 3),
    "phases": new("phase_changes"),
    **{f"list of {key}": new("parts", key) for key in ("channels", "surfaces", "controls", "devices", "phases")},
    **{f"one of {key}": new("part", key, 0) for key in ("channels", "surfaces", "controls", "devices", "phases")},
    **{f"new {key}": new("new_part", key) for key in ("channels", "surfaces", "controls", "devices", "phases")},
    **{key: new("single", key) for key in ("balance", "signal", "remarks")},
    "new airframe": reverse("setups:new_airframe"), "import": new("import"),
}  # fmt: skip


def own_words(response: Answer) -> str:
    """What stands between the crumbs and the foot, without what every page has and what leads to the help."""
    main = response.content.decode().split("<main", 1)[1].split("</main>", 1)[0]
    for shared in (r'<p class="explained">.*?</p>', r"<aside.*?</aside>", r'<a class="what".*?</a>', r"<svg.*?</svg>"):
        main = re.sub(shared, " ", main, flags=re.DOTALL)
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", main)))


def has(page: str, text: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(text)}(?!\w)", page) is not None


@pytest.mark.parametrize("name", PAGES)
def test_nothing_english_is_left(glider: Revision, owner: Member, sign_in: SignIn, name: str) -> None:
    browser = sign_in(owner)
    english = own_words(browser.get(PAGES[name]))
    speak(owner, "de", "inch")
    response = browser.get(PAGES[name])
    german = own_words(response)
    assert response["Content-Language"] == "de"
    both = [(text, said) for text, said in site_texts() if has(english, text) and has(german, text)]
    typed = set(read_by_people(glider.setup.data()))
    left = [text for text, said in both if not has(said, text) and not any(has(label, text) for label in typed)]
    assert not left
    attributes = re.findall(r'(?:aria-label|title|placeholder|data-label)="([^"]*)"', response.content.decode())
    known = {text for text, _said in site_texts()}
    assert not [one for one in attributes if one in known]
    assert not re.search(r"\d mm\b", german), "lengths are in inches"
    assert " in in" not in german, "the unit would read as the word"


def test_starting_in_german(airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    speak(owner, "de", "mm")
    browser = sign_in(owner)
    page = words(browser.get(new("start")))
    assert "Einstellung für Big Glider anfangen" in page
    assert "Vier Flügelservos mit Butterfly" in page
    browser.post(new("start"), {"layout": "four_flap"})
    setup = Draft.objects.get().setup
    assert setup.surface("right_aileron").label == "Querruder rechts"
    assert setup.phases == () or setup.phases[0].label == "Strecke"


def test_a_new_airframe_in_german_and_inches(owner: Member, sign_in: SignIn) -> None:
    speak(owner, "de", "inch")
    given = {
        "name": "Uferschwalbe", "span_mm": "102,4", "mark": "D 1", "wing": "two", "tail": "conventional",
        "rudder": "on",
        "nose": "electric", "chord_aileron": "1,5", "chord_rudder": "60 mm", "cg_low_mm": "3", "cg_high_mm": "3,5",
        "do": "begin",
    }  # fmt: skip
    browser = sign_in(owner)
    response = browser.post(reverse("setups:new_airframe"), {**given, "cg_high_mm": "2"})
    assert error_at(response, "cg_high_mm") == "2 in liegt vor 3 in: Die hinterste Lage ist die größere Zahl."
    assert values(response)["span_mm"] == "102,4"
    browser.post(reverse("setups:new_airframe"), given)
    added, setup = Airframe.objects.get(), Draft.objects.get().setup
    assert added.span_mm == 2601
    assert setup.surface("right_aileron").chord_mm == pytest.approx(38.1)
    assert setup.surface("rudder").chord_mm == 60
    assert (setup.balance.cg_low_mm, setup.balance.cg_high_mm) == pytest.approx((76.2, 88.9))
    assert setup.surface("right_aileron").label == "Querruder rechts"
    assert setup.control("power").label == "Motorhebel"


def test_one_reading_changed_in_inches_leaves_the_others(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    """An inch with three decimals would else move every reading a little."""
    speak(owner, "en", "inch")
    browser, data = sign_in(owner), glider.setup.data()
    index = place(glider.setup, "measured")
    before = data["surfaces"][index]["linkage"]["points"]
    response = browser.get(new("part", "surfaces", index))
    lines = values(response)["points"].splitlines()
    assert len(lines) == len(before)
    lines[-1] = f"{before[-1][0]:g} 0.5 down"
    form = response.context["form"]
    with speaking("en", "inch"):
        sent = {name: form[name].value() for name in form.fields}
    sent = {name: value for name, value in sent.items() if value not in (None, False)}
    answer = browser.post(
        new("part", "surfaces", index), {**sent, "points": "\n".join(lines), "version": "0", "base": "1"}
    )
    assert answer.status_code == 302
    after = json.loads(Draft.objects.get(member=owner).text)["surfaces"][index]["linkage"]["points"]
    assert after[:-1] == before[:-1]
    assert after[-1] == [before[-1][0], pytest.approx(12.7)]


def test_the_readings_of_a_linkage_taken_untouched_in_inches(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    speak(owner, "de", "inch")
    index = place(glider.setup, "measured")
    browser = sign_in(owner)
    shown = values(browser.get(new("linkage", index)))["readings"]
    assert re.search(r"^\d+ 0,\d+ (hoch|tief|links|rechts)$", shown, re.MULTILINE)
    send(browser, index, {"readings": shown, "do": "take"})
    draft = Draft.objects.filter(member=owner).first()
    taken = Setup.from_text(draft.text) if draft is not None else glider.setup
    points = glider.setup.surfaces[index].linkage.model_dump()["points"]
    for found, wanted in zip(taken.surfaces[index].linkage.model_dump()["points"], points, strict=True):
        assert found == pytest.approx(wanted, abs=1e-9)


def test_holes_in_inches_are_the_holes_that_were_shown(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    speak(owner, "en", "inch")
    browser, index = sign_in(owner), place(glider.setup, "four_bar")
    given = asked(
        glider.setup, index, up_mm="0.4", down_mm="0.3", pivot_d_mm="2.75", pivot_e_mm="0.15", arm_holes="0.3 to 0.8",
        horn_holes="8, 10.5, 13 mm",
    )  # fmt: skip
    response = browser.get(new("linkage", index), given)
    pair, taking = response.context["offers"][0]
    assert pair.linkage.horn_mm in (8, 10.5, 13)
    assert (pair.linkage.arm_mm / 25.4 - 0.3) / 0.05 == pytest.approx(round((pair.linkage.arm_mm / 25.4 - 0.3) / 0.05))
    assert f"{pair.linkage.arm_mm / 25.4:.2f}".rstrip("0") in words(response)
    send(browser, index, {**dict(taking), "do": "holes"})
    taken, found = Draft.objects.get(member=owner).setup.surfaces[index].linkage.model_dump(), pair.linkage.model_dump()
    assert taken.pop("pivot_mm") == pytest.approx(found.pop("pivot_mm"), abs=1e-6)
    assert taken == pytest.approx(found, abs=1e-6)


def test_errors_name_lengths_in_inches(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    speak(owner, "de", "inch")
    browser, index = sign_in(owner), place(glider.setup, "four_bar")
    response = browser.get(new("linkage", index), asked(glider.setup, index, arm_holes="keine", up_mm="400"))
    assert "39,37" in error_at(response, "up_mm")
    assert "keine" in error_at(response, "arm_holes")


def test_the_channel_map_is_reversed_in_german(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    speak(owner, "de", "mm")
    browser = sign_in(owner)
    page = words(browser.get(new("parts", "channels")))
    assert "Weg +100 %" in page
    answer = browser.post(
        new("rewire"), {"section": "surfaces", "key": "right_flap", "do": "reverse", "version": "0", "base": "1"},
        follow=True,
    )  # fmt: skip
    number = glider.setup.surface("right_flap").channel
    assert f"Kanal {number} ist im Entwurf umgekehrt." in words(answer)


def test_every_section_says_what_to_do_where_it_is_empty(airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    browser.post(new("start"), {})
    for key in ("surfaces", "devices", "phases"):
        page = words(browser.get(new("parts", key)))
        assert str(SECTIONS[key].empty) in page
        assert str(SECTIONS[key].new) in page


def test_removing_a_part_can_be_taken_back_where_it_was_done(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    index = next(n for n, one in enumerate(glider.setup.surfaces) if one.key == "right_flap")
    address = new("remove_part", "surfaces", index)
    answer = browser.post(address, {"version": "0", "base": "1"}, follow=True)
    assert "Right flap is out of the draft." in words(answer)
    assert "Take back:" in words(answer)
    desk = answer.context["desk"]
    back = browser.post(new("take_back"), {"version": desk.version, "back": new("parts", "surfaces")})
    assert back["Location"] == new("parts", "surfaces")
    assert "right_flap" in {one.key for one in Draft.objects.get().setup.surfaces}


def test_a_throw_on_the_page_is_in_inches(glider: Revision, reader: Member, sign_in: SignIn) -> None:
    speak(reader, "de", "inch")
    page = words(sign_in(reader).get(new("linkages")))
    for surface in glider.setup.surfaces:
        low, _high = reach_of(glider.setup, surface)
        with speaking("de", "inch"):
            told = throw_words(low.throw_mm, surface.role)
        assert told in page or told == "neutral"
