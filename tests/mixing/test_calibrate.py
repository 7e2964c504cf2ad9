"""Readings to a linkage, observations to a curve."""

import re

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given

from mixing import Rig, Setup, calibrate, solve
from mixing.calibrate import CalibrationError, Observation
from mixing.linkage import FourBar

from .example import example

BAR = FourBar(arm_mm=11, horn_mm=14, pivot_mm=(130, 5), arm_neutral_deg=8)


def test_clean_readings_are_kept() -> None:
    found = calibrate.linkage([(2000, 13), (1000, -14), (1500, 0)])
    assert found.linkage.points == ((1000, -14), (1500, 0), (2000, 13))
    assert found.residuals_mm == (0, 0, 0)
    assert found.spread_mm == 0
    assert found.play_mm is None


def test_repeated_readings_are_averaged_and_their_spread_is_told() -> None:
    found = calibrate.linkage([(1000, -14.4), (1000, -13.6), (1500, 0.3), (1500, -0.3), (2000, 12.8), (2000, 13.2)])
    assert np.array(found.linkage.points) == pytest.approx(np.array([(1000, -14), (1500, 0), (2000, 13)]))
    assert found.spread_mm == pytest.approx(0.8)
    assert sorted(found.residuals_mm) == pytest.approx([-0.4, -0.3, -0.2, 0.2, 0.3, 0.4])


def test_readings_from_both_sides_tell_the_play() -> None:
    """Coming from below and from above: the surface hangs in the play of its linkage, here 0.6 mm of it."""
    up = [(1000, -10.3), (1250, -5.3), (1500, -0.3), (1750, 4.7), (2000, 9.7)]
    down = [(1750, 5.3), (1500, 0.3), (1500, 0.3), (1500, 0.3), (1250, -4.7), (1000, -9.7)]
    found = calibrate.linkage([*up, *down])
    assert found.play_mm == pytest.approx(0.6)
    # Three readings from one side and one from the other: the middle stays the middle.
    assert found.linkage.throw_mm([1250, 1500, 1750]).tolist() == pytest.approx([-5, 0, 5])
    assert calibrate.linkage(up).play_mm is None


def test_readings_that_turn_back_by_a_hair_are_fitted_by_least_squares() -> None:
    found = calibrate.linkage([(1000, -10), (1400, 0.4), (1500, 0.0), (2000, 10)])
    expected = [(1000, -10), (1400, 0.2), (1500, 0.2), (2000, 10)]
    assert np.array(found.linkage.points) == pytest.approx(np.array(expected), abs=0.001)
    assert max(map(abs, found.residuals_mm)) == pytest.approx(0.2, abs=0.001)


def test_neighbours_that_turn_back_share_their_mean() -> None:
    found = calibrate.linkage([(1000, -10), (1400, 4.4), (1500, 4.0), (2000, 10)])
    assert found.linkage.throw_mm([1400, 1500]).tolist() == pytest.approx([4.2, 4.2], abs=0.001)


def test_what_shares_a_mean_stays_below_the_next_reading() -> None:
    """The next one is 0.0004 mm above the mean: less than the hair that keeps equal readings apart elsewhere."""
    found = calibrate.linkage([(1000, 0), (1400, 0.2), (1500, 0.0), (1600, 0.1004), (2000, 10)])
    throws = [throw for _, throw in found.linkage.points]
    assert throws == sorted(set(throws))


@pytest.mark.parametrize("falling", [False, True])
def test_a_misread_throw_is_named(falling: bool) -> None:
    sign = -1 if falling else 1
    words = f"1750 µs turns back against its neighbours: the others put it near {'+' if falling else '−'}1.3 mm"
    with pytest.raises(CalibrationError, match=re.escape(words)):
        calibrate.linkage([(1000, sign * -10), (1500, 0), (1600, sign * 3), (1750, sign * -7), (2000, sign * 10)])


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ([], "two pulses"),
        ([(1500, 0), (1500, 1)], "two pulses"),
        ([(1000, 2), (2000, 2)], "do not change"),
        ([(1000, float("nan")), (2000, 2)], "not a number"),
    ],
)
def test_readings_that_give_no_linkage_are_refused(readings: list[tuple[float, float]], words: str) -> None:
    with pytest.raises(CalibrationError, match=words):
        calibrate.linkage(readings)


@given(st.lists(st.floats(-0.4, 0.4), min_size=9, max_size=9), st.randoms(use_true_random=False))
def test_noisy_readings_of_a_four_bar_give_its_throws_back(noise: list[float], order: object) -> None:
    pulses = np.linspace(1000, 2000, 9)
    throws = BAR.follow(pulses, chord_mm=45).throw_mm(chord_mm=45)
    readings = list(zip(pulses.tolist(), (throws + np.array(noise)).tolist(), strict=True))
    order.shuffle(readings)  # type: ignore[attr-defined]
    found = calibrate.linkage(readings)
    np.testing.assert_allclose(found.linkage.throw_mm(pulses), throws, atol=0.4 + 1e-9)


def test_compensation_is_straight_between_what_was_seen_and_held_beyond() -> None:
    wanted = calibrate.compensation([(0, 3), Observation(-60, 5)])
    assert wanted.response([100, 50, 0, -30, -60, -100]).tolist() == pytest.approx([0, 1.5, 3, 4, 5, 5])
    assert any("Beyond −60 %" in sentence for sentence in wanted.unknown)
    assert any("Between 0 and +100 %" in sentence for sentence in wanted.unknown)
    assert not any("Beyond +100 %" in sentence for sentence in wanted.unknown)
    assert calibrate.compensation([(-100, 5), (-60, 4), (-20, 3.5), (20, 3), (50, 1)]).unknown == ()
    middle = calibrate.compensation([(-60, 5), (80, 1)], stowed=0)
    assert [said for said in middle.unknown if "Beyond" in said] == [
        "Beyond −60 % nothing was seen; the last value is held.",
        "Beyond +80 % nothing was seen; the last value is held.",
    ]


def test_what_was_seen_more_often_counts_more() -> None:
    wanted = calibrate.compensation([(-50, 2, 3), (-50.5, 4, 1), (-100, 4)])
    assert float(wanted.response(-50.125)) == pytest.approx(2.5)
    assert any("differ by 2.0 mm" in sentence for sentence in wanted.unknown)


@given(
    st.lists(st.tuples(st.integers(-100, 90), st.floats(0, 8)), min_size=1, max_size=8, unique_by=lambda o: o[0] // 4)
)
def test_compensation_is_monotone_where_the_observations_are(seen: list[tuple[int, float]]) -> None:
    places, needs = zip(*sorted(seen, reverse=True), strict=True)
    rising = list(zip(places, sorted(needs), strict=True))
    curve = calibrate.compensation(rising).response(np.linspace(100, -100, 401))
    assert np.all(np.diff(curve) >= -1e-9)
    assert float(curve[0]) == 0


@pytest.mark.parametrize(
    ("seen", "words"),
    [
        ([], "no observation"),
        ([(120, 3)], "within −100"),
        ([(0, 3, 0)], "above 0"),
        ([(100, 3)], "stowed"),
        ([(0, float("nan"))], "mm"),
    ],
)
def test_observations_that_give_no_curve_are_refused(seen: list[tuple[float, ...]], words: str) -> None:
    with pytest.raises(CalibrationError, match=words):
        calibrate.compensation(seen)


def test_a_compensated_setup_moves_by_what_was_wanted_and_nothing_else() -> None:
    """At half brake it needed 3 mm down: the elevator gets them on top of what the lever gives it today."""
    setup = example()
    wanted = calibrate.compensation([(0, 3), (-100, 4)])
    response = calibrate.compensated(setup, "lever", "elevator", wanted)
    after = Rig(solve.with_response(setup, "lever", "elevator", response))
    lever = np.array([100.0, 0.0, -100.0])
    before_mm, after_mm = (rig.at({"lever": lever}).throw_mm for rig in (Rig(setup), after))
    np.testing.assert_allclose(after_mm["elevator"] - before_mm["elevator"], [0, 3, 4], atol=1e-9)
    np.testing.assert_allclose(after_mm["right_flap"], before_mm["right_flap"])


def softened() -> Setup:
    """The lever brings the elevator in softly: bent all the way, not at stations alone."""
    setup = example()
    soft = {"control": "lever", "channel": 4, "stations": [(-100, 40), (100, 0)], "expo_pct": 60}
    others = [one for one in setup.couplings if (one.control, one.channel) != ("lever", 4)]
    return setup.changed(couplings=[*others, soft])


def test_a_compensated_response_keeps_the_shape_that_it_had() -> None:
    """From 50 % on nothing more was needed: there nothing moves; below, what is added is straight in travel."""
    setup = softened()
    wanted = calibrate.compensation([(50, 0), (-100, 4)])
    response = calibrate.compensated(setup, "lever", "elevator", wanted)
    after = Rig(solve.with_response(setup, "lever", "elevator", response))
    lever = np.linspace(-100, 100, 801)
    before_pct, after_pct = (rig.at({"lever": lever}).travel_pct[4] for rig in (Rig(setup), after))
    added = after_pct - before_pct
    np.testing.assert_allclose(added[lever >= 50], 0, atol=1e-9)
    np.testing.assert_allclose(added[lever <= 50], np.interp(lever[lever <= 50], [-100, 50], added[[0, -1]]), atol=0.2)
    throws = [float(rig.at({"lever": -100}).throw_mm["elevator"]) for rig in (Rig(setup), after)]
    assert throws[1] - throws[0] == pytest.approx(4)


def test_what_stands_past_a_stop_where_nothing_was_needed_is_left_alone() -> None:
    setup = softened()
    far = {"control": "lever", "channel": 4, "stations": [(-100, 10), (50, 0), (100, -300)]}
    others = [one for one in setup.couplings if (one.control, one.channel) != ("lever", 4)]
    setup = setup.changed(couplings=[*others, far])
    wanted = calibrate.compensation([(50, 0), (-100, 2)])
    response = calibrate.compensated(setup, "lever", "elevator", wanted)
    assert response.stations[1:] == [(50, 0), (100, -300)]


def test_observations_beside_a_station_are_of_that_station() -> None:
    """The mean of three times 1.4 is not 1.4 in binary: two stations as near as that no document can hold."""
    assert float(np.average([1.4] * 3, weights=[1.0] * 3)) != 1.4
    setup = softened()
    bent = {"control": "lever", "channel": 4, "stations": [(-100, 40), (1.4, 9), (100, 0)]}
    others = [one for one in setup.couplings if (one.control, one.channel) != ("lever", 4)]
    setup = setup.changed(couplings=[*others, bent])
    wanted = calibrate.compensation([(1.4, 2), (1.4, 2), (1.4, 2)])
    response = calibrate.compensated(setup, "lever", "elevator", wanted)
    assert len(response.stations) == 3
    solve.with_response(setup, "lever", "elevator", response)


def test_a_response_of_a_hundred_stations_can_still_be_compensated() -> None:
    setup = softened()
    wavy = [(x, 20 + 10 * np.sin(x / 9)) for x in np.linspace(-100, 100, 100).tolist()]
    others = [one for one in setup.couplings if (one.control, one.channel) != ("lever", 4)]
    setup = setup.changed(couplings=[*others, {"control": "lever", "channel": 4, "stations": wavy}])
    wanted = calibrate.compensation([(0, 2), (-55.5, 3)])
    response = calibrate.compensated(setup, "lever", "elevator", wanted)
    after = Rig(solve.with_response(setup, "lever", "elevator", response))
    lever = np.array([100.0, 0.0, -55.5, -100.0])
    before_mm, after_mm = (rig.at({"lever": lever}).throw_mm["elevator"] for rig in (Rig(setup), after))
    np.testing.assert_allclose(after_mm - before_mm, [0, 2, 3, 3], atol=0.02)
