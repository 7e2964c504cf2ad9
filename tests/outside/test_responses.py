"""Polylines, expo and differential against general libraries; sources in cases/responses.json and cases/expo.json."""

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator, interp1d

from mixing import Response, ResponseError
from mixing.response import EXPO_TOLERANCE_PCT

from .reference import assert_close, cases

CASES = cases("responses")
EXPO = cases("expo")


@pytest.mark.parametrize("number", ["C01", "C02", "C03", "C04", "C05", "C06", "C08", "C09"])
def test_straight_between_stations(number: str) -> None:
    case = CASES[number]
    inputs = case["inputs"]
    xs, ys = inputs["knots_x_percent"], inputs["knots_y_percent"]
    expected = case["expected"]["y"] if isinstance(case["expected"], dict) else case["expected"]
    response = Response(list(zip(xs, ys, strict=True)))
    assert_close(response(inputs["x"]), expected, case)
    # A second route: scipy, its fill values set to the ends.
    second = interp1d(xs, ys, bounds_error=False, fill_value=(ys[0], ys[-1]))
    assert_close(response(inputs["x"]), second(inputs["x"]), case)


def test_is_not_smoothed() -> None:
    """What a smoothed curve would give, so that nobody mends this into one: the motor would run at half lever."""
    case = CASES["C10"]
    xs, ys = case["inputs"]["knots"], case["inputs"]["values"]
    response = Response(list(zip(xs, ys, strict=True)))
    assert_close(response([25, 75]), [case["expected"]["linear_at_25"], case["expected"]["linear_at_75"]], case)
    assert float(PchipInterpolator(xs, ys)(75)) == pytest.approx(case["expected"]["pchip_at_75_is_not_0"])
    assert float(response(75)) != pytest.approx(case["expected"]["pchip_at_75_is_not_0"])


@pytest.mark.parametrize("number", ["C11", "C12", "C13"])
def test_slope_and_middle(number: str) -> None:
    case = CASES[number]
    slope, middle = case["inputs"]["gain"], case["inputs"]["shift_percent"]
    response = Response.from_slope_and_middle(slope, middle)
    assert_close(response(case["inputs"]["x_percent"]), case["expected"], case)
    assert response.slope_and_middle() == pytest.approx((slope, middle))


def test_one_sided_starts_at_nothing() -> None:
    """A one-sided law with a shift would jump at its start; ours has none there, so that it is continuous."""
    case = CASES["C15"]
    assert max(np.abs(np.diff(case["expected"][2:4]))) > 19
    response = Response.one_sided(0, -100, -50)
    assert_close(response([-100, -50, 0, 100]), [-50, -25, 0, 0], case)


def test_unsorted_stations_are_refused() -> None:
    case = CASES["C17"]
    inputs = case["inputs"]
    assert_close(np.interp(inputs["x"], inputs["xp"], inputs["fp"]), case["expected"]["numpy_unsorted"], case)
    with pytest.raises(ResponseError, match="in order"):
        Response(list(zip(inputs["xp"], inputs["fp"], strict=True)))
    ordered = Response(sorted(zip(inputs["xp"], inputs["fp"], strict=True)))
    assert_close(ordered(inputs["x"]), case["expected"]["correct_if_sorted"], case)


def test_expo_law() -> None:
    """Common practice, no source. The polyline keeps within its stated tolerance of the exact rationals."""
    case = EXPO["E01"]
    x = np.array([float(value) for value in case["inputs"]["x"]])
    for k, expected in zip(case["inputs"]["k"], case["expected"], strict=True):
        got = Response.from_ends(-100, 100).with_expo(100 * float(k))(100 * x)
        assert_close(got, 100 * np.array(expected), case, EXPO_TOLERANCE_PCT)
        assert_close(got[[0, 5, -1]], [-100, 0, 100], case, 0.0)


def test_expo_slopes() -> None:
    """Common practice, no source: 1 − k in the middle, 1 + 2k at the ends."""
    case = EXPO["E02"]
    for k, centre, end in zip(case["inputs"]["k"], case["expected"]["centre"], case["expected"]["end"], strict=True):
        response = Response.from_ends(-100, 100).with_expo(100 * float(k))
        # The chord over the first and the last 20 % of the stick, from the law's derivative integrated there.
        middle = centre + float(k) * 0.04
        last = (100 - (100 * (0.8 * (1 - float(k)) + float(k) * 0.512))) / 20
        assert float(response(20)) / 20 == pytest.approx(middle, abs=2 * EXPO_TOLERANCE_PCT / 20)
        assert float(response(100) - response(80)) / 20 == pytest.approx(last, abs=2 * EXPO_TOLERANCE_PCT / 20)
        assert (last - 1) * (end - 1) >= 0


def test_expo_comes_before_the_rate() -> None:
    """Common practice, no source: the end keeps its travel whatever the expo."""
    case = EXPO["E03"]
    rate, k = float(case["inputs"]["rate"]), float(case["inputs"]["k"])
    response = Response.from_ends(-100 * rate, 100 * rate).with_expo(100 * k)
    assert_close(response(100) / 100, case["expected"]["rate_times_expo"], case)
    assert abs(float(response(100)) / 100 - case["expected"]["expo_of_rated_input"]) > 0.1


def test_a_coarse_polyline_would_be_far_off_the_expo() -> None:
    """How far 5, 9 and 17 equal stations lie from the cubic: why the compiled one is finer where it bends."""
    case = EXPO["E04"]
    k = case["inputs"]["k"]
    fine = np.linspace(-1, 1, 20001)
    exact = (1 - k) * fine + k * fine**3
    for count, error in zip(case["inputs"]["knots"], case["expected"], strict=True):
        stations = np.linspace(-1, 1, count)
        coarse = Response(np.column_stack([100 * stations, 100 * ((1 - k) * stations + k * stations**3)]).tolist())
        assert_close(np.abs(coarse(100 * fine) / 100 - exact).max(), error, case)
        assert error * 100 > EXPO_TOLERANCE_PCT
    compiled = Response.from_ends(-100, 100).with_expo(100 * k)
    assert np.abs(compiled(100 * fine) - 100 * exact).max() <= EXPO_TOLERANCE_PCT * (1 + 1e-9)


def test_differential() -> None:
    """Common practice, no source: the down-going side moves (100 − differential) % of the up-going one."""
    case = EXPO["E05"]
    for percent, row in zip(case["inputs"]["diff_percent"], case["expected"], strict=True):
        response = Response.differential(100, 100 - percent)
        assert_close(response(case["inputs"]["stick"]), row[:4], case)
