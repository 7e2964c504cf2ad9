"""Throw and deflection against circle geometry; sources in cases/throws.json."""

import numpy as np
import pytest

from mixing import ThrowError, deflection_deg, throw_mm

from .reference import assert_close, cases

CASES = cases("throws")


def test_straight_line_between_the_two_places() -> None:
    case = CASES["B01"]
    chord = np.array(case["inputs"]["chord_mm"])[:, None]
    angle = np.array(case["inputs"]["theta_deg"])
    assert_close(throw_mm(deflection_deg=angle, chord_mm=chord), case["expected"], case)
    assert_close(deflection_deg(throw_mm=case["expected"], chord_mm=chord), np.broadcast_to(angle, (6, 11)), case, 1e-9)


@pytest.mark.parametrize("number", ["B02", "B03"])
def test_is_neither_the_rise_nor_the_arc(number: str) -> None:
    """The other two measures in use; a tool that mixes them up is a millimetre out at 30 degrees and 60 mm."""
    case = CASES[number]
    chord, angle = np.array(case["inputs"]["chord_mm"])[:, None], np.array(case["inputs"]["theta_deg"])
    straight, other = throw_mm(deflection_deg=angle, chord_mm=chord), np.array(case["expected"])
    assert np.all(straight > other if number == "B02" else straight < other)


def test_stands_between_rise_and_arc() -> None:
    case = CASES["B04"]
    straight = throw_mm(deflection_deg=case["inputs"]["theta_deg"], chord_mm=case["inputs"]["chord_mm"])
    assert_close(straight, np.array(case["expected"])[:, 0], case)


def test_small_angles_differ_from_the_arc_by_a_24th_of_the_cube() -> None:
    case = CASES["B05"]
    angle = np.array(case["inputs"]["theta_rad"])
    straight = throw_mm(deflection_deg=np.degrees(angle), chord_mm=1.0)
    got = (angle - straight) / angle**3
    # Six figures of 1/24 are lost to the difference of nearly equal numbers at a thousandth of a radian.
    assert_close(got, case["expected"]["straight"], case, 1e-6)


def test_impossible_throws_are_errors() -> None:
    case = CASES["B07"]
    with pytest.raises(ThrowError, match=r"100\.001"):
        deflection_deg(throw_mm=case["inputs"]["straight_mm"], chord_mm=case["inputs"]["chord_mm"])
    assert float(deflection_deg(throw_mm=100, chord_mm=50)) == pytest.approx(180.0)


def test_unequal_throws_are_almost_the_same_ratio_in_degrees() -> None:
    case = CASES["B08"]
    inputs, expected = case["inputs"], case["expected"]
    up, down = deflection_deg(throw_mm=[inputs["up_mm"], inputs["down_mm"]], chord_mm=inputs["chord_mm"])
    assert_close([up, down, up / down], [expected["up_deg"], expected["down_deg"], expected["ratio_deg"]], case)
