"""Rod force and servo torque against textbook statics; sources in cases/forces.json."""

import numpy as np

from mixing import FourBar
from mixing.forces import forces

from .reference import assert_close, cases

CASES = cases("forces")


def bar(layout: list[float]) -> FourBar:
    d, e, a, h, alpha, beta = layout
    return FourBar(arm_mm=a, horn_mm=h, pivot_mm=(d, e), arm_neutral_deg=alpha, horn_neutral_deg=beta)


def test_rod_force_and_torque_for_a_hinge_moment() -> None:
    case = CASES["K03"]
    for (layout, servo, moment), expected in zip(case["inputs"]["rows_layout_s_H"], case["expected"], strict=True):
        found = forces(bar(layout), servo_deg=servo)
        assert_close([float(found.rod_n) * moment, float(found.servo_nm) * moment], expected, case)


def test_equal_parallel_arms_hand_the_moment_on() -> None:
    case = CASES["K04"]
    found = forces(bar(case["inputs"]["layout"]), servo_deg=case["inputs"]["s"])
    assert_close(found.servo_nm * case["inputs"]["H"], case["expected"], case)
    assert np.all(np.diff(found.rod_n) > 0)


def test_torque_is_the_slope_of_the_movement() -> None:
    """Virtual work: the servo's torque per hinge moment is |dδ/dφ|, here by a central difference."""
    linkage, step = bar([65, 12, 11.5, 16, -8, 12]), 1e-4
    servo = np.linspace(-50, 50, 11)
    slope = (linkage.deflection(servo + step) - linkage.deflection(servo - step)) / (2 * step)
    np.testing.assert_allclose(forces(linkage, servo_deg=servo).servo_nm, np.abs(slope), rtol=1e-7)
