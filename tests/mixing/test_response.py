"""Responses: stations, the ways to make them, and the compiled expo."""

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from mixing import Response, ResponseError
from mixing.response import EXPO_TOLERANCE_PCT


@st.composite
def responses(draw: st.DrawFn) -> Response:
    xs = sorted(draw(st.sets(st.integers(-100, 100), min_size=2, max_size=9)))
    return Response([(x, draw(st.integers(-150, 150))) for x in xs])


@given(responses(), st.floats(-50, 100))
def test_compiled_expo_stays_within_its_tolerance(response: Response, expo: float) -> None:
    x = np.linspace(-100, 100, 4001)
    k, unit = expo / 100, x / 100
    exact = response(100 * ((1 - k) * unit + k * unit**3))
    assert np.abs(response.with_expo(expo)(x) - exact).max() <= EXPO_TOLERANCE_PCT * (1 + 1e-6)


@given(responses(), st.floats(-50, 100))
def test_compiled_expo_keeps_ends_middle_and_every_station(response: Response, expo: float) -> None:
    compiled = response.with_expo(expo)
    for x in (-100.0, 0.0, 100.0):
        assert float(compiled(x)) == float(response(x))
    assert np.all(np.diff(compiled.x) > 0)
    assert compiled.travel.max() == pytest.approx(response(np.append(response.x, [-100, 100])).max(), abs=1e-9)
    assert compiled.travel.min() == pytest.approx(response(np.append(response.x, [-100, 100])).min(), abs=1e-9)


@given(responses())
def test_end_values_are_held(response: Response) -> None:
    assert float(response(response.x[0] - 50)) == response.travel[0]
    assert float(response(response.x[-1] + 50)) == response.travel[-1]
    assert Response(response.stations)([-3.0, 4.0]).tolist() == response([-3.0, 4.0]).tolist()


@pytest.mark.parametrize(
    "stations",
    [[], [(0, 1)], [(0, 1), (0, 2)], [(10, 1), (0, 2)], [(0, 1), (1, float("nan"))], [(0, 1, 2), (1, 2, 3)]],
)
def test_bad_stations_are_refused(stations: list[tuple[float, ...]]) -> None:
    with pytest.raises(ResponseError):
        Response(stations)


@pytest.mark.parametrize(("start", "end", "travel"), [(0, -100, 30), (0, 100, 30), (50, 100, -20), (-20, -60, 10)])
def test_one_sided_is_nothing_before_its_start(start: float, end: float, travel: float) -> None:
    response = Response.one_sided(start, end, travel)
    away = 100.0 if end < start else -100.0
    assert response([away, start]).tolist() == [0, 0]
    assert float(response((start + end) / 2)) == pytest.approx(travel / 2)
    assert response([end, -away]).tolist() == [travel, travel]


def test_slope_and_middle_of_what_bends_is_an_error() -> None:
    with pytest.raises(ResponseError, match="bends"):
        Response.one_sided(0, -100, 30).slope_and_middle()
    with pytest.raises(ResponseError, match="bends"):
        Response([(0, 0), (100, 50)]).slope_and_middle()
    assert Response([(-100, -10), (0, 0), (100, 10)]).slope_and_middle() == (0.1, 0)


@pytest.mark.parametrize("expo", [-50.1, 100.1, float("nan")])
def test_an_expo_that_turns_back_is_refused(expo: float) -> None:
    with pytest.raises(ResponseError, match="expo"):
        Response.from_ends(-100, 100).with_expo(expo)


@settings(max_examples=15)
@given(st.integers(-150, 150), st.integers(-50, 100))
def test_an_expo_is_as_fine_on_one_side_as_on_the_other(end: int, expo: int) -> None:
    x = Response([(-100, -end), (100, end)]).with_expo(expo).x
    np.testing.assert_allclose(x, -x[::-1], atol=1e-9)


@pytest.mark.parametrize("way", [1, -1])
def test_what_bends_only_beyond_the_control_is_straight(way: int) -> None:
    response = Response(sorted([(-100 * way, -50 * way), (100 * way, 50 * way), (150 * way, 0)]))
    assert response.slope_and_middle() == pytest.approx((0.5, 0))
