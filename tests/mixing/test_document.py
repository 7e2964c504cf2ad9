"""Reading, refusing and writing setup documents."""

import hashlib
import json
from collections.abc import Callable
from typing import Any

import pytest

from mixing import FourBar, Setup, SetupError
from mixing.reading import DEEPEST

from .example import example, example_data, example_text

Data = dict[str, Any]


def refused(data: Data | str | bytes) -> tuple[tuple[str, str], ...]:
    text = data if isinstance(data, str | bytes) else json.dumps(data)
    with pytest.raises(SetupError) as caught:
        Setup.from_text(text)
    return tuple((problem.path, problem.text) for problem in caught.value.problems)


def bent(change: Callable[[Data], object]) -> Data:
    data = example_data()
    change(data)
    return data


def test_canonical_text_reads_back_to_itself() -> None:
    setup = example()
    again = Setup.from_text(setup.text())
    assert again == setup
    assert again.text() == setup.text()


def test_canonical_text_is_independent_of_order_and_spacing() -> None:
    def turn(data: Data) -> None:
        data["channels"].reverse()
        data["couplings"].reverse()

    turned = bent(turn)
    assert Setup.from_text(json.dumps(dict(reversed(turned.items())), indent=3)).text() == example().text()


def test_digest_is_the_sha_256_of_the_text() -> None:
    setup = example()
    assert setup.digest() == hashlib.sha256(setup.text().encode()).hexdigest()
    assert json.loads(setup.text()) == json.loads(Setup.from_text(example_text()).text())


def test_whole_numbers_and_decimals_are_the_same_document() -> None:
    def write_as_decimal(data: Data) -> None:
        data["surfaces"][0]["chord_mm"] = 42.0

    assert Setup.from_text(json.dumps(bent(write_as_decimal))).digest() == example().digest()


def test_lists_that_mean_an_order_keep_it() -> None:
    def turn(data: Data) -> None:
        data["controls"].reverse()

    turned = Setup.from_text(json.dumps(bent(turn)))
    assert [control.key for control in turned.controls] == [control.key for control in example().controls][::-1]
    assert turned.digest() != example().digest()


@pytest.mark.parametrize(
    ("change", "path", "words"),
    [
        (lambda d: d.update(colour=1), "colour", "not a key"),
        (lambda d: d["channels"][0].update(gain=2), "channels[0].gain", "not a key"),
        (lambda d: d.update(schema=2), "schema", "give 1"),
        (lambda d: d.pop("balance"), "balance", "missing"),
        (lambda d: d["channels"][1].update(number=1), "channels[1].number", "there already"),
        (lambda d: d["channels"][0].update(number=True), "channels[0].number", "is true; give a whole number"),
        (lambda d: d["channels"][0].update(number=10), "channels[0].number", "has 9 channels"),
        (lambda d: d["channels"][0].update(low_us=800), "channels[0].low_us", "900 … 2100"),
        (lambda d: d["channels"][0].update(low_us=2050, high_us=2000), "channels[0].low_us", "than the high limit"),
        (lambda d: d["channels"][0].update(failsafe="hold"), "channels[0].failsafe", "or a number"),
        (lambda d: d["channels"][0].update(failsafe=130), "channels[0].failsafe", "at most 120 %"),
        (lambda d: d["surfaces"][0].update(chord_mm=-3), "surfaces[0].chord_mm", "is −3; give above 0"),
        (lambda d: d["surfaces"][0].update(channel=8), "surfaces[0].channel", "no such channel"),
        (lambda d: d["surfaces"][1].update(side="right"), "surfaces[1].pair", "one left, one right"),
        (lambda d: d["surfaces"][2].update(pair="tail"), "surfaces[2].pair", "centre surface"),
        (lambda d: d["surfaces"][2]["linkage"].update(points=[[1500, 0]]), "surfaces[2].linkage.points", "at least 2"),
        (
            lambda d: d["surfaces"][2]["linkage"].update(points=[[1000, -9], [1e308, 9]]),
            "surfaces[2].linkage.points[1][0]",
            "give at most 3000",
        ),
        (
            lambda d: d["surfaces"][2]["linkage"].update(points=[[1000, -1e308], [2000, 9]]),
            "surfaces[2].linkage.points[0][1]",
            "give at least −10000",
        ),
        (
            lambda d: d["surfaces"][2]["linkage"].update(points=[[1000, -5], [1500, 3], [2000, 1]]),
            "surfaces[2].linkage",
            "throws must rise or fall",
        ),
        (
            lambda d: d["surfaces"][2]["linkage"].update(points=[[1000, -100], [2000, 14]]),
            "surfaces[2].linkage.points[0]",
            "allows 96 mm",
        ),
        (lambda d: d["surfaces"][0]["linkage"].update(kind="belt"), "surfaces[0].linkage", "'four_bar'"),
        (
            lambda d: d["surfaces"][0]["linkage"].update(horn_neutral_deg=95),
            "surfaces[0].linkage.horn_neutral_deg",
            "90",
        ),
        (lambda d: d["surfaces"][0]["linkage"].update(pivot_mm=[0, 0]), "surfaces[0].linkage", "same pivot"),
        (lambda d: d["devices"][0].update(channel=4), "devices[0].channel", "moves a surface"),
        (lambda d: d["devices"][0].update(full_pct=-100), "devices[0].full_pct", "the same as its travel at off"),
        (lambda d: d["phases"][1].update(position=0), "phases[1].position", "there already"),
        (lambda d: d["phases"][1].update(position=50), "phases[1].position", "−100, 0, 100"),
        (lambda d: d["phases"][1].update(control="lever"), "phases[1].control", "share one control"),
        (lambda d: d["phases"][1]["stance"].update({"01": 3}), "phases[1].stance", '"01"'),
        (lambda d: d["phases"][1]["stance"].update({"9": 3}), "phases[1].stance.9", "no such channel"),
        (lambda d: d["couplings"][4].update(channel=9), "couplings[4].channel", "no such channel"),
        (lambda d: d["couplings"][4].update(control="knob"), "couplings[4].control", 'is "knob"'),
        (lambda d: d["couplings"][4].update(phase="speed"), "couplings[4].phase", 'is "speed"'),
        (lambda d: d["couplings"].append(d["couplings"][0]), "couplings[13]", "a second time"),
        (lambda d: d["couplings"][3].update(stations=[[0, 1], [-100, 2]]), "couplings[3].stations", "out of order"),
        (
            lambda d: d["couplings"][3].update(stations=[[-100, 7], [50, 8], [20, 9]]),
            "couplings[3].stations",
            "out of order: 20 comes after 50;",
        ),
        (lambda d: d["couplings"][3].update(stations=[[0, 1], [0, 2]]), "couplings[3].stations", "out of order"),
        (lambda d: d["couplings"][3].update(stations=[[0, 1], [1e-23, 2]]), "couplings[3].stations", "move them apart"),
        (lambda d: d["couplings"][3].update(stations=[[-101, 1], [0, 2]]), "couplings[3].stations[0][0]", "−100"),
        (lambda d: d["couplings"][3].update(expo_pct=101), "couplings[3].expo_pct", "at most 100"),
        (
            lambda d: d["couplings"][0]["fades"][0].update(control="roll"),
            "couplings[0].fades[0].control",
            "own control",
        ),
        (
            lambda d: d["couplings"][0]["fades"].append(d["couplings"][0]["fades"][0]),
            "couplings[0].fades[1].control",
            "there already",
        ),
        (lambda d: d["controls"][0].update(positions=[0, 100]), "controls[0].positions", "only a switch"),
        (lambda d: d["controls"][5].update(positions=None), "controls[5].positions", "needs its positions"),
        (lambda d: d["controls"][5].update(rest=50), "controls[5].rest", "one of the positions"),
        (lambda d: d["controls"][0].update(key="Roll!"), "controls[0].key", "small letters"),
        (lambda d: d["controls"][0].update(label=" "), "controls[0].label", "is empty"),
        (lambda d: d["controls"][0].update(label="a\u0007b"), "controls[0].label", "control character"),
        (lambda d: d["controls"][0].update(label="x" * 81), "controls[0].label", "at most 80"),
        (lambda d: d["controls"][0]["uses"][0].update(full=30), "controls[0].uses[0].full", "an end of the control"),
        (lambda d: d["balance"].update(cg_low_mm=120), "balance.cg_low_mm", "the rear limit"),
        (lambda d: d["balance"].update(loads=[]), "balance.loads", "at least 1"),
        (lambda d: d["signal"].update(per_100_us=1e400), "signal.per_100_us", "finite"),
        (lambda d: d.update(remarks="half \ud800"), "remarks", "lone surrogate"),
        (lambda d: d.update(couplings=[d["couplings"][0]] * 501), "couplings", "at most 500"),
    ],
)
def test_a_fault_is_told_with_its_path(change: Callable[[Data], object], path: str, words: str) -> None:
    problems = refused(bent(change))
    assert [text for where, text in problems if where == path and words in text], problems


def test_nan_and_duplicate_keys_are_told_with_their_path() -> None:
    spoilt = example_text().replace('"chord_mm": 42,', '"chord_mm": NaN,', 1)
    assert refused(spoilt)[0][0] == "surfaces[0].chord_mm"
    twice = example_text().replace('"chord_mm": 42,', '"chord_mm": 42, "chord_mm": 43,', 1)
    assert refused(twice) == (("surfaces[0].chord_mm", "is given twice; give it once"),)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "not JSON"),
        ("{", "line 1, column 2"),
        ("[1]", "is a list"),
        ("null", "is empty"),
        ("[" * 5000, "nested too deep"),
        ("[" * 200_000, "nested too deep"),
        ('{"a":' * 60 + "1" + "}" * 60, "nested too deep"),
        ('{"schema": ' + "9" * 5000 + "}", "too long to read"),
        (b"\xff\xfe", "not UTF-8"),
    ],
)
def test_what_is_no_document_is_refused_in_one_sentence(text: str | bytes, words: str) -> None:
    assert any(words in told for _, told in refused(text))


def test_a_mark_of_the_byte_order_in_front_is_no_fault() -> None:
    """Editors of some systems put it there when they save as UTF-8."""
    marked = "\ufeff" + example_text()
    assert Setup.from_text(marked) == Setup.from_text(marked.encode()) == example()


@pytest.mark.parametrize("size", [1024 * 1024 + 1, 5 * 1024 * 1024])
def test_more_than_a_mebibyte_is_refused(size: int) -> None:
    text = example_text() + " " * (size - len(example_text()))
    assert "at most 1 MiB" in refused(text)[0][1]
    assert Setup.from_text(example_text() + " " * 1000) == example()


def test_all_faults_are_told_at_once() -> None:
    def spoil(data: Data) -> None:
        data["surfaces"][0]["channel"] = 8
        data["couplings"][4]["control"] = "knob"

    assert {path for path, _ in refused(bent(spoil))} == {"surfaces[0].channel", "couplings[4].control"}


def test_a_change_makes_a_new_document_and_is_checked() -> None:
    setup = example()
    other = setup.changed(remarks="Flown twice")
    assert (setup.remarks == other.remarks) is False
    assert other.changed(remarks=setup.remarks).digest() == setup.digest()
    with pytest.raises(SetupError, match="no such channel"):
        setup.changed(channels=setup.channels[1:])
    with pytest.raises(ValueError, match="frozen"):
        setup.remarks = "no"  # type: ignore[misc]


def test_an_empty_list_is_told_as_one_of_none() -> None:
    ((_, words),) = [
        found for found in refused(bent(lambda d: d.update(controls=[], couplings=[]))) if "holds" in found[1]
    ]
    assert words == "holds 0; give at least 1"


def test_an_object_where_a_number_belongs_is_called_one() -> None:
    assert refused(bent(lambda d: d["surfaces"][0].update(chord_mm={})))[0][1] == "is an object; give a number"


def test_limits_that_leave_no_pulse_are_refused() -> None:
    found = refused(bent(lambda d: d["channels"][5].update(low_us=1500, high_us=1500)))
    assert ("channels[5].low_us", "is 1500; give less than the high limit, 1500") in found


def test_a_pair_is_looked_at_behind_surfaces_without_one() -> None:
    def spoil(data: Data) -> None:
        data["surfaces"][0]["pair"] = None
        data["surfaces"] += [{**data["surfaces"][1], "key": f"again_{index}", "pair": "twins"} for index in (1, 2)]

    assert any('"twins" has a left surface already' in words for _, words in refused(bent(spoil)))


def nested(depth: int) -> str:
    return '{"remarks":' + "[" * depth + "]" * depth + "}"


def test_forty_levels_are_looked_at_and_one_more_is_too_deep() -> None:
    assert not any("too deep" in words for _, words in refused(nested(DEEPEST)))
    assert any("too deep" in words for _, words in refused(nested(DEEPEST + 1)))


def test_a_pulse_may_be_as_short_as_300_and_no_shorter() -> None:
    def short(low_us: float) -> Data:
        data = bent(lambda data: data["signal"].update(per_100_us=1000, limit_pct=125))
        data["channels"][0].update(low_us=low_us)
        return data

    assert Setup.from_text(json.dumps(short(300))).channels[0].low_us == 300
    assert any(path == "channels[0].low_us" for path, _ in refused(short(299.9)))


def test_a_linkage_leans_nowhere_unless_it_is_told_to() -> None:
    def plain(data: Data) -> None:
        for name in ("arm_neutral_deg", "horn_neutral_deg"):
            data["surfaces"][0]["linkage"].pop(name, None)

    linkage = Setup.from_text(json.dumps(bent(plain))).surfaces[0].linkage
    assert isinstance(linkage, FourBar)
    assert (linkage.arm_neutral_deg, linkage.horn_neutral_deg) == (0, 0)
