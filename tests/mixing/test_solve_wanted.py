"""The best curve for wanted throws: near in millimetres, through linkage, limits, stance and fades."""

import json

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import minimize

from mixing import Rig, Setup, solve

from .example import example, example_data

SETUP = example()
X = np.linspace(-100, 100, 1001)
Array = NDArray[np.float64]


def crow(x: Array) -> Array:
    """Flap: nothing in the upper quarter, then ever faster down to 52 mm."""
    return np.asarray(52.0 * np.clip((50.0 - x) / 150.0, 0.0, None) ** 1.4)


def found_mm(setup: Setup, control: str, surface: str, curve: solve.ThrowCurve, phase: str | None = None) -> Array:
    after = solve.with_response(setup, control, surface, curve.response, phase=phase)
    return np.asarray(Rig(after).at({control: X}, phase=phase).throw_mm[surface])


@pytest.mark.parametrize("free_x", [False, True])
@pytest.mark.parametrize("points", [3, 5, 9])
def test_states_its_error_in_mm_and_is_never_worse_than_sampling(points: int, free_x: bool) -> None:
    curve = solve.curve_for(SETUP, "lever", "right_flap", crow, points=points, free_x=free_x)
    off = np.abs(found_mm(SETUP, "lever", "right_flap", curve) - crow(X))
    assert off.max() == pytest.approx(curve.error_mm, abs=0.02)
    assert curve.error_mm < 0.9 * curve.sampled_error_mm
    assert len(curve.response.x) == points


def test_points_and_their_places_are_those_of_the_transmitter_where_not_given() -> None:
    curve = solve.curve_for(SETUP, "lever", "right_flap", crow)
    assert curve.response.x.tolist() == pytest.approx([-100, -50, 0, 50, 100])


def test_no_other_values_at_these_points_come_nearer() -> None:
    """Nelder and Mead's search, from scipy, started at the answer, finds nothing better than by a thousandth."""
    curve = solve.curve_for(SETUP, "lever", "right_flap", crow, points=4, free_x=False)
    fine = np.linspace(-100, 100, 8001)
    rig, surface, channel = Rig(SETUP), SETUP.surface("right_flap"), SETUP.channel(6)

    def error(values: Array) -> float:
        pulse, _ = rig.pulse(channel, np.interp(fine, curve.response.x, values))
        return float(np.abs(rig.follow(surface, pulse).throw_mm(chord_mm=surface.chord_mm) - crow(fine)).max())

    better = minimize(error, curve.response.travel, method="Nelder-Mead", options={"maxiter": 400}).fun
    assert curve.error_mm <= better * 1.002 + 1e-3


def test_is_nearer_in_mm_than_the_best_curve_in_travel() -> None:
    """A crank near its end: a percent of travel is worth most of a millimetre here and a fraction of one there."""
    data = example_data()
    flap = next(surface for surface in data["surfaces"] if surface["key"] == "right_flap")
    flap["linkage"].update(arm_mm=14, horn_mm=12, arm_neutral_deg=-45, servo_deg_per_1000_us=120)
    setup = Setup.from_text(json.dumps(data))
    in_mm = solve.curve_for(setup, "lever", "right_flap", crow, points=3, free_x=False)
    in_travel = solve.best_curve(lambda x: solve.travels_for(setup, "right_flap", crow(x)), 3, False)
    plain = solve.ThrowCurve(in_travel.response, 0.0, 0.0, 0.0)
    off = np.abs(found_mm(setup, "lever", "right_flap", plain) - crow(X)).max()
    assert in_mm.error_mm < 0.97 * off


def test_stance_and_other_controls_are_taken_off() -> None:
    curve = solve.curve_for(SETUP, "lever", "right_flap", crow, points=9, phase="thermal")
    off = np.abs(found_mm(SETUP, "lever", "right_flap", curve, "thermal") - crow(X)).max()
    assert off == pytest.approx(curve.error_mm, abs=0.02)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(solve.Unattainable, match="Right flap 70 mm down"):
        solve.curve_for(SETUP, "lever", "right_flap", lambda x: 35.0 - 0.35 * x)
    with pytest.raises(solve.SolveError, match="is a switch; give a control that moves through"):
        solve.curve_for(SETUP, "flightphase", "right_flap", crow)


def test_no_other_values_come_nearer_where_the_linkage_bends_most() -> None:
    """The crank near its end again; as good as the search from the answer on, within a hundredth of it."""
    data = example_data()
    flap = next(surface for surface in data["surfaces"] if surface["key"] == "right_flap")
    flap["linkage"].update(arm_mm=14, horn_mm=12, arm_neutral_deg=-45, servo_deg_per_1000_us=120)
    setup = Setup.from_text(json.dumps(data))
    curve = solve.curve_for(setup, "lever", "right_flap", crow, points=3, free_x=False)
    rig, surface, channel = Rig(setup), setup.surface("right_flap"), setup.channel(6)

    def error(values: Array) -> float:
        pulse, _ = rig.pulse(channel, np.interp(X, curve.response.x, values))
        return float(np.abs(rig.follow(surface, pulse).throw_mm(chord_mm=surface.chord_mm) - crow(X)).max())

    better = minimize(error, curve.response.travel, method="Nelder-Mead", options={"maxiter": 300}).fun
    assert curve.error_mm <= better * 1.01
