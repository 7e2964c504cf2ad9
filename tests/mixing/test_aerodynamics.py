"""Estimates are refused where they would be of nothing; their values are checked against sources in tests/outside."""

from typing import Any

import pytest

from mixing.aerodynamics import EstimateError, hinge_moment_nm

WHOLE: dict[str, Any] = {"deflection_deg": 20, "speed_m_s": 30, "surface_area_dm2": 2, "chord_mm": 50}


@pytest.mark.parametrize(
    "wrong",
    [
        {"speed_m_s": -1},
        {"surface_area_dm2": 0},
        {"surface_area_dm2": -2},
        {"surface_area_dm2": [2, 0]},
        {"chord_mm": 0},
        {"chord_mm": [50, -1]},
        {"chord_mm": float("nan")},
    ],
)
def test_an_area_and_a_chord_are_above_0_and_a_speed_is_not_below(wrong: dict[str, Any]) -> None:
    with pytest.raises(EstimateError, match="above 0"):
        hinge_moment_nm(**{**WHOLE, **wrong})


def test_standing_still_costs_nothing() -> None:
    assert float(hinge_moment_nm(**{**WHOLE, "speed_m_s": 0})) == 0
