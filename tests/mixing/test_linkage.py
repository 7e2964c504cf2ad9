"""Linkages: there and back, at their ends, mirrored, and past what they can follow."""

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import assume, given

from mixing import FourBar, Measured, Unmeasured, Unreachable, deflection_deg, throw_mm


@st.composite
def four_bars(draw: st.DrawFn) -> FourBar:
    """Linkages as they are built: arms and horns of 5 to 30 mm on pivots 40 to 300 mm apart."""
    try:
        return FourBar(
            arm_mm=draw(st.floats(5, 30)),
            horn_mm=draw(st.floats(5, 30)),
            pivot_mm=(draw(st.floats(40, 300)), draw(st.floats(-30, 30))),
            arm_neutral_deg=draw(st.floats(-60, 60)),
            horn_neutral_deg=draw(st.floats(-60, 60)),
            neutral_us=draw(st.floats(1300, 1700)),
            servo_deg_per_1000_us=draw(st.floats(60, 140)),
            longer_pulse=draw(st.sampled_from(["pushes", "pulls"])),
            push=draw(st.sampled_from(["lowers", "raises"])),
        )
    except ValueError:
        assume(False)
        raise


def branch(linkage: FourBar) -> tuple[float, float]:
    """Servo angles of the branch through neutral."""
    low, high = linkage.geometry.branch_deg
    return (low, high) if linkage.longer_pulse == "pushes" else (-high, -low)


@given(four_bars(), st.floats(0.001, 0.999))
def test_servo_angle_undoes_deflection(linkage: FourBar, share: float) -> None:
    low, high = branch(linkage)
    servo = low + share * (high - low)
    # Close to a turning point or a dead point one of the two directions loses half of its figures.
    slack = 1e-6 / min(share, 1 - share)
    assert float(linkage.servo_angle(linkage.deflection(servo))) == pytest.approx(servo, abs=slack)


@given(four_bars(), st.floats(0.001, 0.999))
def test_deflection_undoes_servo_angle(linkage: FourBar, share: float) -> None:
    low, high = linkage.deflection_range()
    wanted = low + share * (high - low)
    assert float(linkage.deflection(linkage.servo_angle(wanted))) == pytest.approx(
        wanted, abs=1e-6 / min(share, 1 - share)
    )


@given(four_bars())
def test_neutral_is_neutral(linkage: FourBar) -> None:
    assert float(linkage.deflection(0.0)) == pytest.approx(0.0, abs=1e-9)
    assert float(linkage.follow(linkage.neutral_us).deflection_deg) == pytest.approx(0.0, abs=1e-9)


@given(four_bars())
def test_the_rod_keeps_its_length_over_the_whole_reach(linkage: FourBar) -> None:
    geometry = linkage.geometry
    low, high = geometry.reach
    phi = np.linspace(max(low, -170.0), min(high, 170.0), 101)
    delta = geometry.horn_movement(phi)
    arm, horn = np.radians(linkage.arm_neutral_deg + phi), np.radians(linkage.horn_neutral_deg + delta)
    across = geometry.pivot_distance_mm + linkage.horn_mm * np.sin(horn) - linkage.arm_mm * np.sin(arm)
    along = linkage.horn_mm * np.cos(horn) - linkage.arm_mm * np.cos(arm)
    # At a dead point rounding of the angle grows to the square root of the machine's precision.
    np.testing.assert_allclose(np.hypot(across, along), linkage.rod_mm, rtol=0, atol=1e-6)
    assert np.abs(np.diff(delta)).max() < 120.0, "jumped to the other assembly"


@given(four_bars())
def test_past_the_reach_is_unreachable_and_blocked(linkage: FourBar) -> None:
    _, high = linkage.reach()
    assume(np.isfinite(high))
    with pytest.raises(Unreachable) as caught:
        linkage.deflection([0.0, high + 0.01])
    assert caught.value.last == high
    pulse = linkage.neutral_us + (high + 5.0) / linkage.servo_deg_per_1000_us * 1000
    followed = linkage.follow([pulse, linkage.neutral_us])
    assert followed.blocked.tolist() == [True, False]
    assert np.isfinite(followed.deflection_deg).all()
    assert abs(float(followed.deflection_deg[0])) <= 90.0


@given(four_bars())
def test_turning_points_are_extremes(linkage: FourBar) -> None:
    for phi in linkage.geometry.turning_deg:
        low, high = linkage.geometry.reach
        near = np.array([phi - 0.5, phi, phi + 0.5])
        assume(low < near[0] and near[2] < high)
        before, at, after = linkage.geometry.horn_movement(near)
        assert (at - before) * (at - after) > 0, "the movement goes on"


@given(four_bars(), st.floats(-30, 30))
def test_a_mirrored_servo_and_a_mirrored_horn_mirror_the_surface(linkage: FourBar, servo: float) -> None:
    low, high = linkage.reach()
    assume(low < servo < high)
    pulls = "pulls" if linkage.longer_pulse == "pushes" else "pushes"
    raises = "raises" if linkage.push == "lowers" else "lowers"
    mirrored = linkage.model_copy(update={"longer_pulse": pulls})
    flipped = linkage.model_copy(update={"push": raises})
    assert float(mirrored.deflection(-servo)) == float(linkage.deflection(servo))
    assert float(flipped.deflection(servo)) == -float(linkage.deflection(servo))


def test_reversing_the_servo_is_not_reversing_the_surface() -> None:
    """A leaning arm gives unequal throws; a mirrored servo swaps which side gets the larger one."""
    leaning = FourBar(arm_mm=12, horn_mm=12, pivot_mm=(100, 0), arm_neutral_deg=20, horn_neutral_deg=0)
    mirrored = FourBar(
        arm_mm=12, horn_mm=12, pivot_mm=(100, 0), arm_neutral_deg=20, horn_neutral_deg=0, longer_pulse="pulls"
    )
    up, down = leaning.deflection([30.0, -30.0])
    assert float(mirrored.deflection(30.0)) == pytest.approx(float(down))
    assert abs(float(mirrored.deflection(30.0))) > abs(float(up)) + 5


def test_an_arm_that_reaches_round_the_horn_pivot_follows_without_a_jump() -> None:
    long = FourBar(arm_mm=60, horn_mm=70, pivot_mm=(40, 0), arm_neutral_deg=30, horn_neutral_deg=30)
    low, high = long.reach()
    delta = long.deflection(np.linspace(max(low, -300), min(high, 300), 4001))
    assert np.abs(np.diff(delta)).max() < 3.0


@pytest.mark.parametrize("points", [((1000, -14), (1500, 0), (2000, 13)), ((2000, -14), (1500, 0), (1000, 13))])
def test_measured_reads_straight_between_and_goes_on_beyond(points: tuple[tuple[float, float], ...]) -> None:
    linkage = Measured(points=points)
    first, last = (points[0], points[-1])
    assert float(linkage.throw_mm(first[0])) == first[1]
    assert float(linkage.throw_mm(1500)) == 0
    assert float(linkage.throw_mm((1500 + last[0]) / 2)) == pytest.approx(last[1] / 2)
    beyond = last[0] + (last[0] - 1500) / 5
    assert float(linkage.throw_mm(beyond)) == pytest.approx(last[1] * 1.2)
    assert linkage.measured_us == (1000, 2000)


@given(st.floats(700, 2300), st.booleans())
def test_measured_there_and_back(pulse: float, falling: bool) -> None:
    points = ((1000, 14), (1500, 1), (2000, -9)) if falling else ((1000, -14), (1500, 1), (2000, 9))
    linkage = Measured(points=points)
    followed = linkage.follow(pulse, chord_mm=45)
    assert float(linkage.pulse_for(followed.deflection_deg, chord_mm=45)) == pytest.approx(pulse, abs=1e-6)


def test_measured_binds_at_a_quarter_turn() -> None:
    linkage = Measured(points=((1000, -30), (2000, 30)))
    followed = linkage.follow([1500, 2000, 2300], chord_mm=20)
    assert followed.deflection_deg.tolist() == pytest.approx([0, 90, 90])
    assert followed.blocked.tolist() == [False, True, True]


def test_unmeasured_turns_about_the_transmitters_centre() -> None:
    linkage = Unmeasured(deg_per_1000_us=60, longer_pulse="raises")
    followed = linkage.follow([1000, 1520, 2000], chord_mm=30, centre_us=1520)
    assert followed.deflection_deg.tolist() == pytest.approx([31.2, 0, -28.8])
    assert linkage.pulse_for(followed.deflection_deg, chord_mm=30, centre_us=1520).tolist() == [1000, 1520, 2000]
    with pytest.raises(Unreachable, match="past 90°"):
        linkage.pulse_for(91, chord_mm=30)


@given(st.floats(-180, 180), st.floats(1, 500))
def test_throw_and_deflection_are_inverse(deflection: float, chord: float) -> None:
    throw = throw_mm(deflection_deg=deflection, chord_mm=chord)
    back = float(deflection_deg(throw_mm=throw, chord_mm=chord))
    # Near half a turn the throw hardly grows: the arcsine has half of the figures there.
    assert back == pytest.approx(deflection, abs=1e-9 if abs(deflection) < 150 else 1e-5)


@pytest.mark.parametrize("shape", [(), (0,), (3,), (2, 3)])
def test_shapes_are_kept(shape: tuple[int, ...]) -> None:
    linkage = FourBar(arm_mm=10, horn_mm=12, pivot_mm=(100, 0))
    servo = np.full(shape, 10.0)
    assert linkage.deflection(servo).shape == shape
    assert linkage.servo_angle(np.full(shape, 3.0)).shape == shape
    assert throw_mm(deflection_deg=servo, chord_mm=40).shape == shape
    assert np.isnan(throw_mm(deflection_deg=np.nan, chord_mm=40))


def test_an_arm_that_reaches_round_the_horn_is_followed_all_the_same() -> None:
    """Longer than the way between the pivots: no ordinary servo, and another way of reckoning; the same angles."""
    linkage = FourBar(arm_mm=30, horn_mm=45, pivot_mm=(20, 0), arm_neutral_deg=30, horn_neutral_deg=20)
    assert not linkage.geometry.is_ordinary
    servo = np.array([-20.0, -5.0, 10.0, 20.0])
    followed = linkage.follow(linkage.neutral_us + servo / linkage.servo_deg_per_1000_us * 1000)
    np.testing.assert_allclose(followed.deflection_deg, linkage.deflection(servo), atol=1e-9)
    assert not followed.blocked.any()


@pytest.mark.parametrize("pulse", [600, 1000, 2000, 2400])
def test_an_assumed_rate_past_a_quarter_turn_binds_however_far(pulse: float) -> None:
    followed = Unmeasured(deg_per_1000_us=350).follow(pulse)
    assert bool(followed.blocked)
    assert float(followed.deflection_deg) == pytest.approx(90 if pulse > 1500 else -90)


@pytest.mark.parametrize("given", [100.0, [10.0, 100.0], [[-5.0, 100.0]]])
def test_the_deflection_that_is_out_of_reach_is_named(given: float) -> None:
    for linkage in (Unmeasured(), FourBar(arm_mm=10, horn_mm=14, pivot_mm=(120, 3))):
        with pytest.raises(Unreachable, match=r"a deflection of 100\.000°"):
            linkage.pulse_for(given)


@pytest.mark.parametrize("longer", ["pushes", "pulls"])
def test_an_arm_that_reaches_round_the_horn_is_followed_alike_both_ways(longer: str) -> None:
    linkage = FourBar.model_validate(
        {"arm_mm": 40, "horn_mm": 30, "pivot_mm": (35, 0), "arm_neutral_deg": -20, "longer_pulse": longer}
    )
    servo = np.linspace(*linkage.reach(), 41)[1:-1]
    exact = linkage.deflection(servo)
    inside = np.abs(exact) < 89
    assert np.sum(inside) > 5
    pulses = linkage.neutral_us + 1000 * servo / linkage.servo_deg_per_1000_us
    followed = linkage.follow(pulses)
    np.testing.assert_allclose(followed.deflection_deg[inside], exact[inside], atol=1e-9)
    assert not followed.blocked[inside].any()


@pytest.mark.parametrize("longer", ["pushes", "pulls"])
def test_the_last_angle_of_the_reach_is_reached_and_one_more_is_not(longer: str) -> None:
    linkage = FourBar.model_validate({"arm_mm": 24, "horn_mm": 9, "pivot_mm": (90, 0), "longer_pulse": longer})
    # At the other end the horn would stand at more than a quarter turn, which nothing hinged follows.
    end, angle = next((end, angle) for end in linkage.reach() if abs(angle := float(linkage.deflection(end))) < 90)
    for servo, blocked in ((end, False), (end + np.copysign(0.01, end), True)):
        followed = linkage.follow(linkage.neutral_us + 1000 * servo / linkage.servo_deg_per_1000_us)
        assert bool(followed.blocked) is blocked
        assert float(followed.deflection_deg) == pytest.approx(angle, abs=1e-4)


def test_a_crank_that_never_turns_back_is_known_for_one_turn_each_way() -> None:
    """Arm, horn and rod all longer than the pivots are apart: both go round and round."""
    linkage = FourBar(arm_mm=30, horn_mm=32, pivot_mm=(6, 0), arm_neutral_deg=-20, horn_neutral_deg=20)
    assert linkage.geometry.turning_deg.size == 0
    assert linkage.geometry.branch_deg == (-360, 360)


@pytest.mark.parametrize("deflection", [-3.0, -0.5, 0.0, 1.0])
def test_an_arm_and_a_horn_that_lean_past_each_other_are_led_back_alike(deflection: float) -> None:
    """The rod runs backwards, from a tip that is beyond the horn's to that of the horn."""
    linkage = FourBar(arm_mm=12, horn_mm=12, pivot_mm=(20, 0), arm_neutral_deg=70, horn_neutral_deg=-70)
    servo = float(linkage.servo_angle(-deflection))
    assert float(linkage.deflection(servo)) == pytest.approx(-deflection, abs=1e-9)
    assert abs(servo) < 30
