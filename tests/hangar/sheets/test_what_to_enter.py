"""The dial-in list on the sheet: the transmitter's figures, rounded, with the throws that they give."""

import re

import numpy as np
import pytest

from hangar.languages.speaking import speaking
from hangar.sheets.content import content_of, plotted_controls
from hangar.sheets.enter import brief, dial_in_of, figures
from hangar.sheets.spacings import SPACINGS
from mixing import Conventions, Rig, Setup, solve
from mixing.solve.entry import Moved
from tests.mixing.example import example

from . import layouts
from .rendering import LAYOUTS, rendered, words_of

UNKNOWN = Conventions()
PROVEN = Conventions(lever_forward="minus", expo_positive="sharpens", centre_unit="pct", reversal="after")
NUMBER = r"[+−]?\d+(?:\.\d+)?"


def told(setup: Setup, number: int, conventions: Conventions = UNKNOWN) -> dict[str, str]:
    """{what: the figures} of one channel."""
    return {one.what: one.figures for one in dial_in_of(setup, conventions, 40).rows[number]}


def plain(text: str) -> list[float]:
    return [float(figure.replace("−", "-")) for figure in re.findall(NUMBER, text)]


def test_every_response_and_stance_of_every_channel_is_there() -> None:
    setup = layouts.eight_surfaces()
    rows = dial_in_of(setup, UNKNOWN, 40).rows
    responses = sum(not one.what.startswith(("Stance", "Centre", "Limits")) for row in rows.values() for one in row)
    stances = sum(one.what.startswith("Stance") for row in rows.values() for one in row)
    assert responses == len(setup.couplings)
    assert stances == sum(len(phase.stance) for phase in setup.phases)


def test_figures_are_those_of_the_transmitters_conventions() -> None:
    setup = example()
    lever = next(
        c for c in setup.couplings if setup.control(c.control).kind == "lever" and setup.surfaces_on(c.channel)
    )
    label = setup.control(lever.control).label
    for known in (UNKNOWN, PROVEN):
        entry = next(
            e for e in solve.dial_in(setup, known)
            if e.channel == lever.channel and e.kind in ("ends", "curve") and label.lower() in e.label.lower()
        )  # fmt: skip
        assert plain(told(setup, lever.channel, known)[label]) == pytest.approx([y for _, y in entry.figures])


def test_the_throws_in_brackets_are_those_of_the_rounded_figures() -> None:
    setup = layouts.conventional()
    data = setup.data()
    for coupling in data["couplings"]:
        if coupling["control"] == "pitch":
            coupling["stations"] = [[-100, 61.43], [100, -48.77]]
    odd = Setup.model_validate(data)
    number = odd.surface("centre_elevator_0").channel
    (one,) = (one for one in dial_in_of(odd, UNKNOWN, 40).rows[number] if one.what == "Elevator stick")
    assert one.figures == "+61 −49\u00a0%"
    for coupling in data["couplings"]:
        if coupling["control"] == "pitch":
            coupling["stations"] = [[-100, 61], [100, -49]]
    frame = Rig(Setup.model_validate(data)).at({"pitch": np.array([-100.0, 100.0])})
    throws = frame.throw_mm["centre_elevator_0"].tolist()
    assert plain(one.gives) == pytest.approx([abs(throw) for throw in throws], abs=0.051)
    assert [sign for sign in one.gives if sign in "↑↓"] == ["↓", "↑"]
    assert "mm off" in one.off


def test_it_stands_on_the_page_of_every_layout() -> None:
    for name in ("example", "two servos"):
        setup = LAYOUTS[name]()
        shown = words_of(rendered(name).content).replace("\u00a0", " ")
        for number, row in dial_in_of(setup, UNKNOWN, SPACINGS[rendered(name).setting].label).rows.items():
            for one in row:
                # A line may end anywhere between two words.
                told = f"{one.what} {one.figures}".replace("\u00a0", " ")
                assert told.replace(" ", "") in shown.replace(" ", ""), (name, number)


def test_throws_are_left_out_only_where_they_are_those_of_the_table() -> None:
    setup = layouts.eight_surfaces()
    shown = words_of(rendered("eight surfaces, three phases").content)
    assert not SPACINGS[rendered("eight surfaces, three phases").setting].gives
    off = [one for row in dial_in_of(setup, UNKNOWN, 19).rows.values() for one in row if one.off]
    assert off
    for one in off:
        assert f"({one.gives}, {one.off})".replace(" ", "") in shown.replace(" ", "")


def test_what_most_channels_share_is_told_once() -> None:
    setup = layouts.conventional()
    data = setup.data()
    data["channels"][2]["high_us"] = 1900.0
    listed = dial_in_of(Setup.model_validate(data), PROVEN, 40)
    assert [each.replace("\u00a0", " ") for each in listed.every] == ["centre 0 %", "limits −120 % and +120 %"]
    assert {number for number, row in listed.rows.items() if any(one.what == "Limits" for one in row)} == {3}


def test_unproven_signs_are_marked_on_paper() -> None:
    shown = words_of(rendered("conventional").content)
    assert "§ Signs unproven: check each at the model." in shown
    assert not dial_in_of(layouts.conventional(), UNKNOWN, 40).proven
    assert dial_in_of(layouts.conventional(), PROVEN, 40).proven
    assert not any(one.unproven for row in dial_in_of(layouts.conventional(), PROVEN, 40).rows.values() for one in row)


@pytest.mark.parametrize(
    ("stations", "words"),
    [
        ([[-100, -30], [100, 30]], "−30 +30\u00a0%"),
        ([[-100, 0], [0, 0], [100, 40]], "0 0 +40\u00a0%"),
        ([[-100, 0], [-40, 10], [100, 40]], "0 at −100, +10 at −40, +40 at +100\u00a0%"),
    ],
)
def test_positions_are_told_where_they_are_not_at_equal_steps(stations: list[list[float]], words: str) -> None:
    data = layouts.two_servos().data()
    data["signal"]["curve_free_x"] = True
    data["couplings"][0]["stations"] = stations
    setup = Setup.model_validate(data)
    number = data["couplings"][0]["channel"]
    entry = next(e for e in solve.dial_in(setup) if e.channel == number and e.kind in ("ends", "curve"))
    assert figures(entry) == words


@pytest.mark.parametrize(
    ("moved", "alone", "words"),
    [
        ([Moved("Elevator", "elevator", (7.0, 0.02, -8.54))], True, "7 ↓ 0 8.5 ↑"),
        ([Moved("Motor", "", (0.0, 50.2, 100.0))], True, "0 % 50 % 100 %"),
        ([Moved("Left spoiler", "spoiler", (-4.0,)), Moved("Right spoiler", "spoiler", (-4.0,))], False,
         "Left spoiler 4 ↑; Right spoiler 4 ↑"),
        ([Moved("Rudder 2", "rudder", (0.0, 3.0))], True, "0 3 ←"),
        ([], True, ""),
    ],
)  # fmt: skip
def test_throws_in_brief(moved: list[Moved], alone: bool, words: str) -> None:
    assert brief(moved, approx=False, alone=alone) == words
    assert brief(moved, approx=True, alone=alone).replace("≈", "") == words


def test_the_same_in_german_and_in_inches() -> None:
    moved = [Moved("Elevator", "elevator", (7.62, -8.54))]
    with speaking("de"):
        assert brief(moved, approx=False, alone=True) == "7,6 ↓ 8,5 ↑"
    with speaking("en", "inch"):
        assert brief(moved, approx=False, alone=True) == "0.3 ↓ 0.34 ↑"


def test_an_estimated_throw_says_so() -> None:
    row = dial_in_of(layouts.vee_tail(linkages="unmeasured"), UNKNOWN, 40).rows[1]
    assert all(one.gives.startswith("≈") for one in row if one.gives and one.gives != "0")


def test_every_control_with_a_bent_response_is_plotted() -> None:
    setup = layouts.conventional()
    data = setup.data()
    for coupling in data["couplings"]:
        if coupling["control"] == "pitch":
            coupling["stations"] = [[-100, 70], [-30, 5], [100, -70]]
    bent = Setup.model_validate(data)
    assert [control.key for control in plotted_controls(bent)] == ["lever", "pitch"]
    assert [name for name, _ in content_of(bent, SPACINGS[0]).plots] == [
        "Left lever in Cruise", "Elevator stick in Cruise",
    ]  # fmt: skip
