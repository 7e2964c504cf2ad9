"""Numbers in words: one text for one number, everywhere."""

import pytest

from hangar.pictures.words import (
    arrow,
    opposite,
    plain,
    position_words,
    short,
    signed,
    throw_figure,
    throw_words,
    together,
)
from mixing.document import Control


def control(plus: str) -> Control:
    return Control(key="c", label="C", kind="lever", plus=plus)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (12.44, "12.4"),
        (-12.44, "−12.4"),
        (0.0, "0"),
        (-0.0, "0"),
        (0.04, "0"),
        (-0.04, "0"),
        (100.0, "100.0"),
        (0.06, "0.1"),
    ],
)
def test_plain_has_a_real_minus_and_one_nought(value: float, text: str) -> None:
    assert plain(value) == text


@pytest.mark.parametrize(("value", "text"), [(95.0, "95"), (12.5, "12.5"), (-100.0, "−100"), (0.0, "0"), (150, "150")])
def test_short_drops_noughts_after_the_point_only(value: float, text: str) -> None:
    assert short(value) == text


@pytest.mark.parametrize(("value", "text"), [(50, "+50"), (-50, "−50"), (0, "0"), (100, "+100")])
def test_signed(value: float, text: str) -> None:
    assert signed(value) == text


@pytest.mark.parametrize(
    ("throw", "role", "words", "figure"),
    [
        (12.44, "aileron", "12.4 mm down", "12.4 ↓"),
        (-12.44, "flap", "12.4 mm up", "12.4 ↑"),
        (7.6, "rudder", "7.6 mm left", "7.6 ←"),
        (-7.6, "rudder", "7.6 mm right", "7.6 →"),
        (-7.6, "ruddervator", "7.6 mm up", "7.6 ↑"),
        (0.049, "aileron", "neutral", "0"),
        (-0.049, "rudder", "neutral", "0"),
    ],
)
def test_throws_say_where_the_trailing_edge_goes(throw: float, role: str, words: str, figure: str) -> None:
    assert throw_words(throw, role) == words
    assert throw_figure(throw, role) == figure
    assert arrow(throw, role) == (figure[-1] if figure != "0" else "")


def test_positions_are_named_by_the_ends_of_the_control() -> None:
    lever = control("forward")
    assert [position_words(lever, p) for p in (-100, -50, 0, 50, 100)] == [
        "back",
        "half back",
        "middle",
        "half forward",
        "forward",
    ]
    assert position_words(lever, 37.5) == "37.5 % forward"
    assert position_words(control("engine may run"), -100) == "engine stopped"
    assert position_words(control("somewhere else"), -100) == "the other way"
    assert position_words(control("towards you"), -100) == "away from you"
    assert opposite(" Up ") == "down"
    assert [opposite(word) for word in ("Rechts", "hinten", "Motor darf laufen")] == ["links", "vorn", "Motor aus"]


@pytest.mark.parametrize(
    ("labels", "name"),
    [
        (["Right flap", "Left flap"], "Flap left + right"),
        (["Flap left", "flap right"], "Flap left + right"),
        (["Left flap", "Right aileron"], "Left flap + Right aileron"),
        (["Left", "Right"], "Left + Right"),
        (["Left inner flap", "Left outer flap"], "Left inner flap + Left outer flap"),
        (["Elevator"], "Elevator"),
        (["A", "B", "C"], "A + B + C"),
        (["Querruder rechts", "Querruder links"], "Querruder left + right"),
        (["Linke Wölbklappe", "Rechte Wölbklappe"], "Wölbklappe left + right"),
    ],
)
def test_together_names_a_pair_once(labels: list[str], name: str) -> None:
    assert together(labels) == name
