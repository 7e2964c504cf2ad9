"""The best curve of N points: against a linear programme, known cases, and plain sampling."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import differential_evolution, linprog

from mixing.solve import SolveError, best_curve
from mixing.solve.knots import free_knots, joined_error, with_knots
from mixing.solve.minimax import Samples, fixed_knots

Array = NDArray[np.float64]
Function = Callable[[Array], Array]

FUNCTIONS: dict[str, Function] = {
    "square": lambda x: x * x / 100,
    "expo": lambda x: 0.4 * x + 0.6 * x**3 / 1e4,
    "late": lambda x: np.maximum(x - 37.0, 0.0) * 1.3,
    "wave": lambda x: 40 * np.sin(x / 21.0),
    "root": lambda x: 10 * np.sqrt(x + 100.0),
}


def _programme(function: Function, points: int) -> float:
    """The least greatest error with evenly spaced points, as a linear programme over the values (scipy's HiGHS)."""
    knots, x = np.linspace(-100, 100, points), np.linspace(-100, 100, 2001)
    hats = np.array([np.interp(x, knots, np.eye(points)[each]) for each in range(points)]).T
    one = np.ones((len(x), 1))
    rows = np.vstack([np.hstack([hats, -one]), np.hstack([-hats, -one])])
    limits = np.concatenate([function(x), -function(x)])
    cost = np.append(np.zeros(points), 1.0)
    return float(linprog(cost, A_ub=rows, b_ub=limits, bounds=[(None, None)] * points + [(0, None)]).fun)


@pytest.mark.parametrize("points", [2, 5, 9])
@pytest.mark.parametrize("name", FUNCTIONS)
def test_evenly_spaced_points_reach_the_optimum_of_the_linear_programme(name: str, points: int) -> None:
    curve = best_curve(FUNCTIONS[name], points, False)
    assert curve.error == pytest.approx(_programme(FUNCTIONS[name], points), rel=2e-3, abs=1e-6)
    assert curve.response.x.tolist() == pytest.approx(np.linspace(-100, 100, points).tolist())


@pytest.mark.parametrize("free_x", [False, True])
@pytest.mark.parametrize("name", FUNCTIONS)
def test_is_never_worse_than_sampling_and_states_its_error(name: str, free_x: bool) -> None:
    curve = best_curve(FUNCTIONS[name], 5, free_x)
    x = np.linspace(-100, 100, 20_001)
    found = np.abs(curve.response(x) - FUNCTIONS[name](x))
    sampled = np.linspace(-100, 100, 5)
    plain = np.abs(np.interp(x, sampled, FUNCTIONS[name](sampled)) - FUNCTIONS[name](x)).max()
    assert found.max() <= plain * (1 + 1e-9) + 1e-9
    assert found.max() == pytest.approx(curve.error, rel=1e-3, abs=1e-3 * np.ptp(FUNCTIONS[name](x)))
    assert float(np.abs(curve.response(curve.error_at) - FUNCTIONS[name](np.array(curve.error_at)))) == pytest.approx(
        curve.error, abs=1e-6
    )
    assert curve.bound <= curve.error + 1e-12


@pytest.mark.parametrize("points", [3, 5, 8])
def test_a_square_needs_what_approximation_theory_says(points: int) -> None:
    """On a piece of width w the chord of x² is w²/4 off, the best line half of that: w²/8 (from memory).

    A polyline of N points has N − 1 pieces of equal width; on 0 … 100 % the unit is 1/100 of the square.
    """
    width = 200 / (points - 1)
    for free_x in (False, True):
        assert best_curve(FUNCTIONS["square"], points, free_x).error == pytest.approx(width**2 / 8 / 100, rel=2e-3)


def test_a_corner_between_even_points_is_found_by_free_points() -> None:
    assert best_curve(FUNCTIONS["late"], 3, True).error == pytest.approx(0, abs=1e-3)
    assert best_curve(FUNCTIONS["late"], 3, False).error > 10


def test_a_function_of_single_numbers_will_do() -> None:
    def distance(x: Array) -> Array:
        return np.asarray(abs(float(x)))

    assert best_curve(distance, 3, False).error == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("points", [1, 101])
def test_impossible_numbers_of_points_are_refused(points: int) -> None:
    with pytest.raises(SolveError, match="2 … 100"):
        best_curve(FUNCTIONS["square"], points, False)


def test_a_function_without_a_value_is_refused_with_the_place() -> None:
    with pytest.raises(SolveError, match="no finite value at control"), np.errstate(invalid="ignore"):
        best_curve(np.sqrt, 5, False)


def test_more_free_points_than_corners_stay_exact() -> None:
    """Three pieces need four points; more must not lose the corners, which lie between the even places."""

    def bent(x: Array) -> Array:
        return np.interp(x, [-100, -37.3, 22, 100], [0, 40, -5, 60])

    for points in (4, 5, 9):
        assert best_curve(bent, points, True).error < 0.002


@pytest.mark.parametrize(("points", "least"), [(5, 0.21), (9, 0.25), (17, 0.35)])
def test_free_points_gather_where_the_function_is_steep(points: int, least: float) -> None:
    """A root is straight far from its start: even points waste themselves there."""
    free, even = (best_curve(FUNCTIONS["root"], points, free_x).error for free_x in (True, False))
    assert free < least * even


SHAPES: dict[str, Function] = {
    **FUNCTIONS,
    "steep in the middle": lambda x: 50 * np.tanh(x / 20),
    "two waves": lambda x: 30 * np.sin(x / 15) + 10 * np.cos(x / 7),
    "bump": lambda x: 60 * np.exp(-((x - 20) ** 2) / 400),
    "two corners": lambda x: np.abs(x - 11) + 0.3 * np.abs(x + 40),
    "fall": lambda x: -(x**3) / 1e4 - 0.2 * x,
}


@pytest.mark.parametrize("points", [3, 4, 5, 8, 9, 17])
@pytest.mark.parametrize("name", SHAPES)
def test_free_points_come_within_a_fiftieth_of_a_per_cent_of_the_bound(name: str, points: int) -> None:
    if name == "root" and points > 9:
        return  # Its best stations would lie nearer to each other than a transmitter can tell.
    curve = best_curve(SHAPES[name], points, True)
    assert curve.error <= 1.0002 * curve.bound + 2e-5 * np.ptp(SHAPES[name](np.linspace(-100, 100, 401)))


@pytest.mark.parametrize(("name", "points"), [("expo", 4), ("wave", 4), ("bump", 5), ("two waves", 5)])
def test_the_bound_of_free_points_is_one(name: str, points: int) -> None:
    """Differential evolution over the places of the points, values exact for each: it comes near, and never below."""

    def behind(inner: Array) -> float:
        knots = np.concatenate([[-100.0], np.sort(inner), [100.0]])
        if np.min(np.diff(knots)) < 0.1:
            return 1e6
        ordinates = fixed_knots(with_knots(samples, knots), knots, settle=False)
        return float(np.abs(np.interp(samples.x, knots, ordinates) - samples.target).max())

    x = np.linspace(-100, 100, 401)
    samples = Samples(x, SHAPES[name](x), np.ones_like(x))
    bounds = [(-99.0, 99.0)] * (points - 2)
    best = differential_evolution(behind, bounds, maxiter=25, popsize=8, seed=1, polish=False).fun
    curve = best_curve(SHAPES[name], points, True)
    assert 0.995 * curve.bound <= best
    assert curve.error <= 1.001 * best


def test_weights_count_where_they_are_heavy() -> None:
    """Ten times the weight on the right: there the stations gather, and the greatest weighted error is the same."""
    x = np.linspace(-100, 100, 801)
    plain, heavy = (Samples(x, x * x / 100, np.where(x > 0, weight, 1.0)) for weight in (1.0, 10.0))
    even, bound = free_knots(plain, 5)
    np.testing.assert_allclose(even, [-100, -50, 0, 50, 100], atol=0.2)
    assert bound == pytest.approx(50**2 / 8 / 100, rel=1e-3)
    gathered, bound = free_knots(heavy, 5)
    assert np.sum(gathered > 0) == 3 > np.sum(even > 1)
    assert joined_error(heavy, gathered) == pytest.approx(bound, rel=0.02)


def test_where_one_stretch_sets_the_error_the_others_do_not_wander() -> None:
    """A corner at +90 costs 6 mm there; the straight rest must not be bent by as much for nothing."""
    curve = best_curve(lambda x: np.where(x > 90, 6 * (x - 90), 0.0), 5, False)
    assert curve.error > 10
    assert np.abs(curve.response(np.linspace(-100, -60, 50))).max() < 0.1 * curve.error


@pytest.mark.parametrize("name", FUNCTIONS)
def test_the_error_stated_is_the_greatest_also_between_samples(name: str) -> None:
    curve = best_curve(FUNCTIONS[name], 7, False)
    x = np.linspace(-100, 100, 400_001)
    found = np.abs(curve.response(x) - FUNCTIONS[name](x)).max()
    assert found == pytest.approx(curve.error, rel=1e-5, abs=1e-9)


def test_what_needs_few_points_still_gets_as_many_as_the_transmitter_has() -> None:
    """Two straight pieces need three points; the others lie on them, apart from each other."""
    curve = best_curve(lambda x: np.abs(x - 22), 6, True)
    assert len(curve.response.x) == 6
    assert np.min(np.diff(curve.response.x)) > 1
    assert curve.error == pytest.approx(0, abs=0.002)


def test_a_weight_works_alike_above_and_below() -> None:
    """A curve and its mirror image bend to either side of the tube: the same stations, the same bound."""
    x = np.linspace(-100, 100, 201)
    weight = np.where(x > 0, 10.0, 1.0)
    (above, high), (below, low) = (free_knots(Samples(x, sign * x * x / 100, weight), 5) for sign in (1.0, -1.0))
    np.testing.assert_allclose(above, below, atol=1e-6)
    assert high == pytest.approx(low, rel=1e-9)
