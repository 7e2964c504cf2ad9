"""First setups in the language of whoever makes them: composed from a shape, or taken from a layout."""

import json
from dataclasses import replace
from typing import Any

import pytest
from django.conf import settings

from hangar.languages.speaking import speaking
from hangar.setups.composing import compose
from hangar.setups.editing import blank
from hangar.setups.layout_texts import SHARED_REMARK, TEXTS
from hangar.setups.layouts import layout_setup, layouts
from hangar.setups.shapes import Shape, fitted
from mixing import Setup, audit
from tests.hangar.shapes import EQUIPMENT, PLACES, bodies

FOLDER = settings.BASE_DIR / "fixtures" / "layouts"
KEYS = sorted(path.stem for path in FOLDER.glob("*.json") if path.stem != "index")
READ = {"label", "plus", "pair", "measure_at", "neutral_ref", "cg_datum", "remarks"}
SAME = {"Motor", "Flaperon", "Elevon", "Name"}


def read_by_people(data: Any) -> list[str]:
    """Every text of a document that is no key and no choice of the schema."""
    if isinstance(data, list):
        return [text for one in data for text in read_by_people(one)]
    if not isinstance(data, dict):
        return []
    own = [value for name, value in data.items() if name in READ and isinstance(value, str) and value]
    return [*own, *(text for value in data.values() for text in read_by_people(value))]


def without_texts(data: Any) -> Any:
    if isinstance(data, list):
        return [without_texts(one) for one in data]
    if isinstance(data, dict):
        return {name: without_texts(value) for name, value in data.items() if name not in READ}
    return data


def english(text: str) -> bool:
    """Whether a text holds a word that no German text has."""
    told = {word.strip(".,:;()'").lower() for word in text.split()}
    return bool(told & {"right", "left", "back", "forward", "stick", "lever", "switch", "aileron", "rudder", "elevator",
                        "flap", "the", "with", "assumed", "measure", "wing", "chord", "both"})  # fmt: skip


@pytest.mark.parametrize("key", KEYS)
def test_a_layout_is_taken_in_german(key: str) -> None:
    original = Setup.from_text((FOLDER / f"{key}.json").read_bytes())
    assert layout_setup(key).text() == original.text(), "an English member gets the document as it is"
    with speaking("de", "inch"):
        taken = layout_setup(key)
    assert Setup.from_text(taken.text()).text() == taken.text(), "canonical"
    assert without_texts(taken.data()) == without_texts(original.data())
    before, after = read_by_people(original.data()), read_by_people(taken.data())
    assert len(before) == len(after)
    assert not [text for text in after if english(text)]
    assert not [text for text, same in zip(before, after, strict=True) if text == same and text not in SAME]
    codes = [(one.code, one.where, one.severity) for one in audit(original)]
    assert [(one.code, one.where, one.severity) for one in audit(taken)] == codes


def test_every_text_of_the_layouts_is_collected() -> None:
    told = {
        text
        for layout in json.loads((FOLDER / "index.json").read_text())
        for text in (layout["title"], layout["description"])
    }
    for key in KEYS:
        for text in read_by_people(Setup.from_text((FOLDER / f"{key}.json").read_bytes()).data()):
            own = text.removesuffix(SHARED_REMARK).strip()
            told |= {own} if own == text else {own, SHARED_REMARK} - {""}
    assert told == set(TEXTS)


def test_the_layouts_are_offered_in_german() -> None:
    with speaking("de"):
        offered = {one.key: one for one in layouts()}
    assert list(offered) == [one["key"] for one in json.loads((FOLDER / "index.json").read_text())]
    assert offered["four_flap"].title == "Vier Flügelservos mit Butterfly"
    assert not [one for one in offered.values() if english(one.description)]


@pytest.mark.parametrize(("wing", "tail"), PLACES)
def test_what_is_composed_in_german_is_the_same_setup(wing: str, tail: str) -> None:
    for n, body in enumerate(bodies(wing, tail)):
        shape = replace(body, **EQUIPMENT[(n * 5 + len(wing)) % len(EQUIPMENT)])  # type: ignore[arg-type]
        plain = compose(shape)
        with speaking("de"):
            german = compose(shape)
        assert without_texts(german.data()) == without_texts(plain.data()), shape
        assert not [text for text in read_by_people(german.data()) if english(text)]


def test_labels_sides_and_assumptions_in_german() -> None:
    with speaking("de"):
        parts = fitted(Shape(outer_flaps=True, flap_lead=True, nose="engine"))
        setup = compose(Shape(outer_flaps=True, flap_lead=True, nose="engine", span_mm=2000))
    assert [part.label for part in parts][:2] == ["Querruder rechts", "Höhenruder"]
    assert {part.key for part in parts} >= {"right_aileron", "left_flap", "throttle"}
    assert setup.channel(setup.surface("left_flap").channel).label == "Beide Wölbklappen"
    assert setup.surface("right_aileron").measure_at == "größte Rudertiefe (Rudertiefe 40 mm angenommen)"
    assert (setup.control("pitch").plus, setup.control("arm").plus) == ("hinten", "Motor darf laufen")
    assert setup.balance.loads[0].label == "Flugfertig (Masse und Schwerpunkt angenommen: messen)"
    assert setup.remarks.startswith("Anfangswerte für ein neues Modell")


def test_an_assumed_chord_is_told_in_the_unit_of_whoever_composes() -> None:
    with speaking("en", "inch"):
        setup = compose(Shape(span_mm=2000))
    assert setup.surface("right_aileron").chord_mm == 40
    assert setup.surface("right_aileron").measure_at == "widest chord (chord of 1.57 in assumed)"


def test_an_empty_setup_begins_with_sticks_in_german() -> None:
    with speaking("de"):
        sticks = blank()["controls"]
    assert [(one["key"], one["label"], one["plus"]) for one in sticks] == [
        ("roll", "Querruderknüppel", "rechts"), ("pitch", "Höhenruderknüppel", "hinten"),
        ("yaw", "Seitenruderknüppel", "rechts"),
    ]  # fmt: skip
