"""Responses as drawn: the numbers of the rig, at the right place, told apart without colour."""

from xml.etree import ElementTree

import numpy as np
import pytest

from hangar.pictures.plot import Axes, Curve, nice_step, plot
from hangar.pictures.response import throw_plot
from hangar.pictures.words import throw_words
from mixing import Rig
from tests.mixing.example import example

from .reading import SVG, lines, parsed, texts, title


def test_the_ends_carry_the_throws_of_the_rig() -> None:
    setup = example()
    back = Rig(setup).at({"lever": -100.0})
    markup = throw_plot(setup, "lever")
    for surface in ("right_aileron", "elevator", "right_flap"):
        told = throw_words(float(back.throw_mm[surface]), setup.surface(surface).role)
        assert told in texts(markup)
        assert told in title(markup)


def test_surfaces_that_do_the_same_share_one_line() -> None:
    markup = throw_plot(example(), "lever")
    assert "Flap left + right" in texts(markup)
    assert len(lines(markup)) == 3


def test_up_is_drawn_up() -> None:
    setup = example()
    markup = throw_plot(setup, "roll")
    labels = [text for text in texts(markup) if text in ("Right aileron", "Left aileron")]
    assert sorted(labels) == ["Left aileron", "Right aileron"]
    right = lines(markup)[0]
    # Right stick: the right aileron goes up, and y grows downwards on a picture.
    assert right[-1][1] < right[0][1]


def test_every_point_of_a_line_is_the_rigs() -> None:
    setup = example()
    markup = throw_plot(setup, "lever", width=640, height=300)
    flap = lines(markup)[2]
    x = np.linspace(-100, 100, 9)
    expected = Rig(setup).at({"lever": x}).throw_mm["right_flap"]
    px = np.interp(x, [-100, 100], [flap[0][0], flap[-1][0]])
    py = np.interp(px, [p[0] for p in flap], [p[1] for p in flap])
    scale = (flap[-1][1] - flap[0][1]) / (expected[-1] - expected[0])
    assert py == pytest.approx(flap[0][1] + (expected - expected[0]) * scale, abs=0.3)


def test_a_phase_draws_its_own_couplings() -> None:
    assert "Right flap" not in texts(throw_plot(example(), "roll"))
    assert "Right flap" in texts(throw_plot(example(), "roll", phase="thermal"))


def test_other_controls_can_stand_elsewhere() -> None:
    assert title(throw_plot(example(), "roll", others={"lever": -100})) != title(throw_plot(example(), "roll"))


def test_stations_are_dots() -> None:
    dots = list(parsed(throw_plot(example(), "lever")).iter(f"{SVG}circle"))
    # Ailerons bend at 0 and so have three stations; elevator and flaps have two.
    assert len(dots) == 3 + 2 + 2


def test_lines_differ_without_colour() -> None:
    drawn = list(parsed(throw_plot(example(), "lever")).iter(f"{SVG}polyline"))
    assert len({line.attrib.get("stroke-dasharray") for line in drawn}) == len(drawn)
    assert len({line.attrib["stroke"] for line in drawn}) == 1


def test_a_switch_is_drawn_over_its_positions() -> None:
    markup = throw_plot(example(), "flightphase")
    assert all(len(line) == 3 for line in lines(markup))


def test_a_control_that_moves_nothing_gives_an_empty_plot() -> None:
    markup = throw_plot(example(), "power")
    assert lines(markup) == []


def test_an_unknown_control_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match=r"no control 'gear'.*roll, pitch"):
        throw_plot(example(), "gear")


@pytest.mark.parametrize(
    ("span", "step"), [(1.0, 0.2), (5.0, 1.0), (9.9, 2.0), (58.2, 20.0), (100.0, 20.0), (110.0, 50.0), (0.003, 0.001)]
)
def test_grid_steps_are_round(span: float, step: float) -> None:
    assert nice_step(span) == pytest.approx(step)


def test_names_that_meet_are_moved_apart() -> None:
    curves = [Curve(f"curve {i}", [(-100, 0), (100, 10 + i * 0.01)], ends=("0", f"{10 + i}")) for i in range(6)]
    markup = plot(curves, Axes("back", "forward", "mm"), title="t", width=320, height=240, type_px=11)
    lettering: list[ElementTree.Element] = list(parsed(markup).iter(f"{SVG}text"))
    heights = sorted(float(e.attrib["y"]) for e in lettering if (e.text or "").startswith("curve"))
    assert len(heights) == 6
    assert min(np.diff(heights)) >= 20
