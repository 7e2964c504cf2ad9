"""What the computation says, in German and in inches: no word of English, and the same figures."""

import json
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from hangar.languages.speaking import speaking
from mixing import Change, Finding, Problem, Setup, SetupError, audit, compare, solve
from mixing.audit import CODES
from mixing.opposites import opposite
from tests.mixing.example import example, example_data

from .faulty import FAULTY

EACH = [(code, index) for code, ways in FAULTY.items() for index in range(len(ways))]

BOTH_LANGUAGES = {"in", "motor", "signal", "so", "servo", "failsafe", "neutral", "expo", "normal", "start"}
"""Words that English and German write alike."""


def told(made: Setup, code: str) -> list[Finding]:
    return [finding for finding in audit(made, 5) if finding.code == code]


def words(text: str) -> set[str]:
    return {word.lower() for word in re.findall(r"[^\W\d_]{2,}", text)}


def figures(text: str) -> list[float]:
    """Every figure of a text, the smallest first."""
    return sorted(float(one.replace("−", "-")) for one in re.findall(r"−?\d+(?:\.\d+)?", text))


def lengths(text: str, unit: str) -> list[float]:
    return [float(one.replace("−", "-")) for one in re.findall(rf"(−?\d+(?:\.\d+)?) {unit}\b", text)]


def own_words(made: Setup) -> set[str]:
    """What the member typed, labels and the ends of controls, and their opposites in the same language."""
    parts: tuple[Any, ...] = (*made.controls, *made.surfaces, *made.devices, *made.phases, *made.balance.loads)
    ends = [end for one in made.controls for end in (one.plus, opposite(one.plus) or "")]
    return words(" ".join([*(one.label for one in parts), *ends, made.balance.cg_datum]))


def assert_same(german: str, english: str, typed: set[str]) -> None:
    """German through and through, with the figures of the English text."""
    assert not (words(german) & words(english)) - BOTH_LANGUAGES - typed - {"mm", "µs"}, german
    assert figures(german.replace(",", ".")) == figures(english), german


def test_every_finding_has_its_setup() -> None:
    assert set(FAULTY) == set(CODES)
    for code, ways in FAULTY.items():
        for made in ways:
            assert told(made(), code), code


@pytest.mark.parametrize(("code", "index"), EACH)
def test_a_finding_in_german_and_in_inches(code: str, index: int) -> None:
    made = FAULTY[code][index]()
    english = told(made, code)
    with speaking("de"):
        german = told(made, code)
    with speaking("de", "inch"):
        in_inches = told(made, code)
    with speaking("en", "inch"):
        english_inches = told(made, code)
    for one, other, third, fourth in zip(english, german, in_inches, english_inches, strict=True):
        assert (one.code, one.where, one.at, one.severity) == (other.code, other.where, other.at, other.severity)
        assert_same(other.text, one.text, own_words(made))
        assert_same(third.text, fourth.text, own_words(made))
        assert " mm" not in third.text
        mm, inches = lengths(one.text, "mm"), lengths(fourth.text, "in")
        assert [abs(a / 25.4 - b) < 0.01 for a, b in zip(mm, inches, strict=True)] == [True] * len(mm), fourth.text


def changed_everywhere() -> list[tuple[Setup, Setup]]:
    """The example against itself with other figures in every part, and against less and more."""
    before, data = example(), example_data()
    for control in data["controls"]:
        control["plus"] = "links"
    for channel in data["channels"]:
        channel.update(reversed=not channel.get("reversed", False), failsafe="signal_off", centre_us=1490)
    for surface in data["surfaces"]:
        surface.update(stop_up_deg=11.5, chord_mm=surface["chord_mm"] + 3.5, pair=None, side="centre", role="other")
        surface["linkage"] = {"kind": "measured", "points": [[1000, -9.5], [2000, 10]]}
    for coupling in data["couplings"]:
        coupling["stations"] = [[x, y / 2] for x, y in coupling["stations"]]
        coupling["expo_pct"] = 15
    data["signal"].update(step_pct=0.5, curve_free_x=True, curve_points=9)
    data["balance"].update(cg_low_mm=77.5)
    after = Setup.model_validate(data)
    bare = before.changed(couplings=before.couplings[:1], devices=(), phases=before.phases[:1])
    return [(before, after), (after, before), (before, bare), (bare, before)]


def in_german_labels(made: Setup) -> Setup:
    """The same with labels that are words of neither language."""

    def called(parts: tuple[Any, ...], stem: str) -> list[Any]:
        return [one.model_copy(update={"label": f"{stem} {n}"}) for n, one in enumerate(parts)]

    return made.changed(
        controls=[one.model_copy(update={"label": f"Ga {n}", "plus": "Plu"}) for n, one in enumerate(made.controls)],
        channels=called(made.channels, "Ka"),
        surfaces=[
            one.model_copy(update={"label": f"Ru {n}", "measure_at": "Me", "neutral_ref": "Ne", "pair": None})
            for n, one in enumerate(made.surfaces)
        ],
        devices=called(made.devices, "Ge"),
        phases=called(made.phases, "Pha"),
        balance=made.balance.model_copy(update={"cg_datum": "Da", "loads": tuple(called(made.balance.loads, "La"))}),
        remarks="",
    )  # fmt: skip


def changes_told(sides: tuple[Setup, Setup], code: str, unit: str) -> list[tuple[Change, tuple[str, ...]]]:
    """What differs, each change with all its texts."""
    with speaking(code, unit):
        return [(one, (one.label, one.before, one.after, one.told, one.effect)) for one in compare(*sides)]


@pytest.mark.parametrize("unit", ["mm", "inch"])
def test_changes_in_german(unit: str) -> None:
    for before, after in changed_everywhere():
        sides = in_german_labels(before), in_german_labels(after)
        typed = own_words(sides[0]) | own_words(sides[1]) | {"ka"}
        english, german = (changes_told(sides, code, unit) for code in ("en", "de"))
        for (one, plain), (other, translated) in zip(english, german, strict=True):
            assert (one.path, one.on, one.added, one.removed) == (other.path, other.on, other.added, other.removed)
            keys = {control.key for control in before.controls} if one.path.startswith("phases/") else set()
            for said, text in zip(translated, plain, strict=True):
                assert_same(said, text, typed | keys)


@pytest.mark.parametrize("unit", ["mm", "inch"])
def test_the_dial_in_list_in_german(unit: str) -> None:
    for made in (in_german_labels(side) for side in changed_everywhere()[0]):
        with speaking("en", unit):
            english = solve.dial_in(made)
        with speaking("de", unit):
            german = solve.dial_in(made)
        for one, other in zip(english, german, strict=True):
            assert (one.kind, one.channel, one.figures, one.moved) == (
                other.kind,
                other.channel,
                other.figures,
                other.moved,
            )
            for name in ("label", "enter", "gives", "explanation", "mark"):
                assert_same(getattr(other, name), getattr(one, name), own_words(made))


@pytest.mark.parametrize(
    ("ask", "german"),
    [
        (lambda made: solve.travel_for(made, "elevator", -600), "Rudertiefe"),
        (lambda made: solve.travel_for(made, "elevator", -25), "Anschlag"),
        (lambda made: solve.travel_for(made, "kite", -6), "es gibt kein Ruder „kite“"),
        (lambda made: solve.with_rate(made, "roll", "elevator", 100, 5, switch="mode", at=100), "blendet nicht aus"),
        (lambda made: solve.best_curve(lambda x: x, 1, False), "1 Stützpunkten"),
    ],
)
def test_what_cannot_be_had_is_said_in_german(ask: Callable[[Setup], object], german: str) -> None:
    with pytest.raises(ValueError, match=r"\w") as english:
        ask(example())
    with speaking("de"), pytest.raises(ValueError, match=german) as refused:
        ask(example())
    typed = own_words(example()) | {"kite"}
    assert_same(str(refused.value).replace("1,00", "1.00"), str(english.value), typed | words("elevator rudder mode"))


def faults_of(data: Any, code: str) -> tuple[Problem, ...]:
    with speaking(code):
        try:
            Setup.from_text(json.dumps(data))
        except SetupError as refused:
            return refused.problems
    return ()


def places_in(data: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every place of a document, of a list its first entry."""
    for key in data if isinstance(data, dict) else range(min(len(data), 1)) if isinstance(data, list) else ():
        yield (*at, key)
        yield from places_in(data[key], (*at, key))


MACHINE_WORDS = {
    "measured",
    "four",
    "bar",
    "unmeasured",
    "null",
    "cg",
    "us",
    "mm",
    "high",
    "off",
    "pct",
    "true",
    "false",
}


@pytest.mark.parametrize("junk", [0, -300.5, "a\tb", None, [[5, 5], [1, 2]], {}, "nothing"])
def test_the_faults_of_a_document_in_german(junk: Any) -> None:
    own_keys = {"nothing", *(one.key for one in example().controls), *(one.key for one in example().phases)}
    for *at, last in places_in(example_data()):
        broken = part = example_data()
        for key in at:
            part = part[key]
        part[last] = junk
        english, german = (faults_of(broken, code) for code in ("en", "de"))
        for one, other in zip(english, german, strict=True):
            assert one.path == other.path
            # What stands in quotation marks is the document's.
            translated, plain = (re.sub(r"'\w+'|\"[^\"]*\"|„[^“]*“", "", problem.text) for problem in (other, one))
            assert_same(translated, plain, MACHINE_WORDS | own_keys | {"an", "text"})
