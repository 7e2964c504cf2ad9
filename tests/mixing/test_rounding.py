"""Rounding to the transmitter's step."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mixing.rounding import round_to_step


@pytest.mark.parametrize(
    ("value", "step", "rounded"),
    [
        (2.5, 1.0, 3.0),
        (-2.5, 1.0, -3.0),
        (2.4999, 1.0, 2.0),
        (0.5, 1.0, 1.0),
        (-0.5, 1.0, -1.0),
        (0.35, 0.1, 0.4),
        (-0.35, 0.1, -0.4),
        (0.25, 0.5, 0.5),
        (12.0, 5.0, 10.0),
        (12.5, 5.0, 15.0),
        (0.0, 1.0, 0.0),
    ],
)
def test_halves_go_away_from_zero(value: float, step: float, rounded: float) -> None:
    assert float(round_to_step(value, step)) == rounded


def test_keeps_the_shape_and_nan_and_makes_no_minus_zero() -> None:
    rounded = round_to_step([[0.2, -0.2], [np.nan, -7.6]], 1.0)
    assert rounded.shape == (2, 2)
    assert not np.any(np.signbit(rounded[0]))
    assert np.isnan(rounded[1, 0])
    assert rounded[1, 1] == -8.0
    assert round_to_step([], 1.0).shape == (0,)


@pytest.mark.parametrize("step", [0.0, -1.0, float("nan"), float("inf")])
def test_refuses_a_step_that_is_none(step: float) -> None:
    with pytest.raises(ValueError, match="give one above 0"):
        round_to_step(1.0, step)


@given(st.floats(-400, 400), st.sampled_from([0.1, 0.5, 1.0, 2.0, 5.0, 10.0]))
def test_is_a_multiple_within_half_a_step(value: float, step: float) -> None:
    rounded = float(round_to_step(value, step))
    assert abs(rounded - value) <= step / 2 * (1 + 1e-6)
    assert rounded / step == pytest.approx(round(rounded / step), abs=1e-9)
    assert float(round_to_step(-value, step)) == -rounded
