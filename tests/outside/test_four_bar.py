"""The four-bar against loop closure evaluated by general libraries, textbook examples and statics of reach.

Sources stand beside each case in cases/four_bar.json. The fresh layouts at the end are solved here by mpmath.
"""

from typing import Any

import mpmath
import numpy as np
import pytest

from mixing import FourBar, Unreachable, throw_mm
from mixing.four_bar import Geometry

from .reference import assert_close, cases

CASES = cases("four_bar")


def linkage(d: float, e: float, a: float, h: float, alpha: float, beta: float, **more: Any) -> FourBar:
    return FourBar(arm_mm=a, horn_mm=h, pivot_mm=(d, e), arm_neutral_deg=alpha, horn_neutral_deg=beta, **more)


def layout_of(inputs: dict[str, Any]) -> FourBar:
    names = ("d_mm", "e_mm", "arm_a_mm", "horn_h_mm", "arm_neutral_deg", "horn_neutral_deg")
    return linkage(*(inputs[name] for name in names))


@pytest.mark.parametrize("number", ["A01", "A02", "A03", "A04", "A05", "A06", "A08", "A09", "A12"])
def test_horn_follows_the_loop_equation(number: str) -> None:
    case = CASES[number]
    four_bar = layout_of(case["inputs"])
    assert_close(four_bar.rod_mm, case["expected"]["L"], case, case["tolerance"]["L"])
    got = four_bar.deflection(case["inputs"]["servo_rotation_s_deg"])
    assert_close(got, case["expected"]["delta"], case, case["tolerance"]["delta"])


def test_a_crossed_rod_reverses_the_sense() -> None:
    """A document keeps the horn within ±90 degrees; the bare geometry also knows the crossed rod."""
    case = CASES["A10"]
    geometry = Geometry(arm_mm=10, horn_mm=10, pivot_distance_mm=100, arm_neutral_deg=0, horn_neutral_deg=180)
    assert_close(geometry.rod_mm, case["expected"]["L"], case, case["tolerance"]["L"])
    got = geometry.horn_movement(np.array(case["inputs"]["servo_rotation_s_deg"], dtype=float))
    assert_close(got, case["expected"]["delta"], case, case["tolerance"]["delta"])


@pytest.mark.parametrize("number", ["A14", "A15"])
def test_reach_ends_where_rod_and_horn_are_in_line(number: str) -> None:
    case = CASES[number]
    assert_close(layout_of(case["inputs"]).reach(), [case["expected"]["s_min"], case["expected"]["s_max"]], case)


@pytest.mark.parametrize("number", ["A17", "A18"])
def test_past_the_reach_is_an_error_and_just_before_it_is_not(number: str) -> None:
    case = CASES[number]
    four_bar = layout_of(case["inputs"])
    for servo, expected in zip(case["inputs"]["servo_rotation_s_deg"], case["expected"], strict=True):
        if expected == "error":
            with pytest.raises(Unreachable) as caught:
                four_bar.deflection(servo)
            assert caught.value.last == four_bar.reach()[0 if servo < 0 else 1]
            assert f"{caught.value.last:.3f}".replace("-", "−") in str(caught.value)
        else:
            assert_close(four_bar.deflection(servo), expected, case)


def test_parallelogram_close_to_its_change_point_keeps_its_branch() -> None:
    case = CASES["A21"]
    assert_close(layout_of(case["inputs"]).deflection(case["inputs"]["servo_rotation_s_deg"]), case["expected"], case)


def test_a_dead_point_in_neutral_is_refused() -> None:
    with pytest.raises(ValueError, match="dead point"):
        layout_of(CASES["A22"]["inputs"])


def test_gain_at_neutral() -> None:
    case = CASES["A24"]
    step = 1e-4
    for layout, expected in zip(case["inputs"]["layouts"], case["expected"], strict=True):
        d, e, a, h, alpha, beta = layout
        geometry = Geometry(
            arm_mm=a, horn_mm=h, pivot_distance_mm=float(np.hypot(d, e)), arm_neutral_deg=alpha, horn_neutral_deg=beta
        )
        high, low = geometry.horn_movement(np.array([step, -step]))
        # The central difference has an error of the order of step², far below this.
        assert_close((high - low) / (2.0 * step), expected, case, 1e-8)


def test_scale_rotation_and_mirror_leave_the_movement() -> None:
    case = CASES["A25"]
    d, e, a, h, alpha, beta = case["inputs"]["layout"]
    servo = np.array(case["inputs"]["s_deg"], dtype=float)
    expected = case["expected"]["delta"]
    assert_close(linkage(d, e, a, h, alpha, beta).deflection(servo), expected, case)
    assert_close(linkage(3 * d, 3 * e, 3 * a, 3 * h, alpha, beta).deflection(servo), expected, case)
    assert_close(linkage(-e, d, a, h, alpha, beta).deflection(servo), expected, case)
    mirrored = linkage(d, e, h, a, -beta, -alpha)
    assert_close(mirrored.deflection(-np.array(expected)), case["expected"]["inverse_gives_minus_s"], case)
    assert_close(linkage(d, e, a, h, alpha, beta).servo_angle(expected), servo, case)


def test_differential_that_the_geometry_makes() -> None:
    case = CASES["A26"]
    for name, layout in case["inputs"]["layouts"].items():
        up, down = linkage(*layout).deflection([case["inputs"]["s_deg"], -case["inputs"]["s_deg"]])
        assert_close([up, down, abs(down / up)], case["expected"][name], case)


@pytest.mark.parametrize(
    ("number", "lengths"), [("A27", (100, 40, 120, 80)), ("A31", (6, 2, 7, 9))], ids=["example 4.1", "table P4-1 row a"]
)
def test_textbook_crank_and_rocker(number: str, lengths: tuple[float, float, float, float]) -> None:
    """Textbook angles count from the line of the pivots; ours from its perpendicular, so θ = 90° − lean."""
    case = CASES[number]
    ground, crank, coupler, rocker = lengths
    crank_deg, rocker_deg = case["inputs"]["theta2_deg"], case["expected"]["theta4_open"]
    four_bar = linkage(ground, 0, crank, rocker, 90 - crank_deg, 90 - rocker_deg)
    assert_close(four_bar.rod_mm, coupler, case)


def test_crank_and_rocker_of_a_linkage_library_over_its_turn() -> None:
    case = CASES["A28"]
    first, *others = case["inputs"]["theta2_deg"]
    expected = case["expected"]["theta4_deg"]
    four_bar = linkage(8, 0, 5, 9, 90 - first, 90 - expected[0])
    assert_close(four_bar.rod_mm, 8, case)
    # A crank angle that grows leans the arm away from the horn: it pulls, and the horn's angle grows with it.
    got = expected[0] - four_bar.deflection([first - angle for angle in others])
    assert_close(got, expected[1:], case)


def test_textbook_velocity_ratio() -> None:
    case = CASES["A32"]
    start = cases("four_bar")["A27"]
    four_bar = linkage(100, 0, 40, 80, 50, 90 - start["expected"]["theta4_open"])
    step = 1e-4
    high, low = four_bar.deflection([step, -step])
    assert_close((high - low) / (2 * step) * case["inputs"]["omega2"], case["expected"]["omega4"], case)


def test_whole_chain_from_pulse_to_throw() -> None:
    case = CASES["A29"]
    inputs = case["inputs"]
    four_bar = linkage(*inputs["layout"], servo_deg_per_1000_us=90, neutral_us=inputs["centre_us"])
    followed = four_bar.follow(inputs["pulse_us"], chord_mm=inputs["chord_mm"])
    expected = np.array(case["expected"])
    assert_close(followed.deflection_deg, expected[:, 1], case)
    assert_close(throw_mm(deflection_deg=followed.deflection_deg, chord_mm=inputs["chord_mm"]), expected[:, 2], case)
    assert not followed.blocked.any()


@pytest.mark.parametrize(
    "layout",
    [
        (160, 4, 11, 13, 0, 0),
        (150, 6, 13, 11.5, -25, -20),
        (42, -9, 8, 14, 12, -17),
        (88, 31, 17, 9, -33, 28),
        (30, 0, 12, 9, 5, 21),
    ],
)
def test_fresh_layouts_against_continuation_by_mpmath(layout: tuple[float, ...]) -> None:
    """Reference: mpmath.findroot on the loop equation, walked from neutral so that it keeps the assembly."""
    four_bar = linkage(*layout)
    low, high = (max(-70.0, end * 0.98) if end < 0 else min(70.0, end * 0.98) for end in four_bar.reach())
    for end in (low, high):
        expected = _walked(layout, end)
        np.testing.assert_allclose(four_bar.deflection(end), expected, rtol=0, atol=1e-9)


def _walked(layout: tuple[float, ...], servo: float, steps: int = 60) -> float:
    d, e, a, h, alpha, beta = layout
    with mpmath.workdps(25):
        horn_pivot = mpmath.mpc(d, e)
        u = horn_pivot / abs(horn_pivot)
        n = mpmath.mpc(0, 1) * u

        def tip(base: Any, radius: float, lean: Any) -> Any:
            radians = mpmath.radians(lean)
            return base + radius * (mpmath.sin(radians) * u + mpmath.cos(radians) * n)

        rod = abs(tip(horn_pivot, h, beta) - tip(mpmath.mpc(0), a, alpha))
        angle = mpmath.mpf(beta)
        for step in range(1, steps + 1):
            arm = tip(mpmath.mpc(0), a, alpha + mpmath.mpf(servo) * step / steps)

            def gap(lean: Any, arm: Any = arm) -> Any:
                return abs(tip(horn_pivot, h, lean) - arm) ** 2 - rod**2

            angle = mpmath.findroot(gap, (angle, angle + mpmath.mpf("1e-4")), tol=1e-30)
        return float(angle - beta)
