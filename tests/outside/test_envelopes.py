"""Extremes of sums against exact fractions and brute force; sources in cases/envelopes.json."""

from fractions import Fraction
from typing import Any

import numpy as np
import pytest

from mixing import Rig, Setup
from mixing.envelope import envelope

from .reference import Case, assert_close, cases

CASES = cases("envelopes")

# The surface turns by so many degrees for 1 % of travel, so that its deflection reads as what the limits leave.
DEG_PER_PCT = 0.3


def _summed(responses: list[dict[str, Any]]) -> list[list[float]]:
    """Responses of one control as one: their sum at every station of any of them."""
    xs = sorted({Fraction(x) for one in responses for x in one["knots_x"]})
    at = np.array([float(x) for x in xs])
    total = np.zeros(len(at))
    for one in responses:
        x, y = ([float(Fraction(value)) for value in one[key]] for key in ("knots_x", "knots_y"))
        total = total + np.interp(at, x, y)
    return np.column_stack([at, total]).tolist()  # type: ignore[no-any-return]


def _setup(stations: dict[str, list[list[float]]], limits: list[Any]) -> Setup:
    low, high = (1500 + 5 * float(Fraction(limit)) for limit in limits)
    return Setup.model_validate(
        {
            "balance": {
                "cg_datum": "nose", "cg_low_mm": 0, "cg_high_mm": 1,
                "loads": [{"key": "load", "label": "Load", "mass_g": 1, "cg_mm": 0}],
            },
            "controls": [{"key": key, "label": key, "kind": "stick", "plus": "right"} for key in stations],
            "channels": [{"number": 1, "label": "One", "low_us": low, "high_us": high}],
            "surfaces": [
                {
                    "key": "flap", "label": "Flap", "role": "flap", "side": "centre", "channel": 1, "chord_mm": 50,
                    "stop_up_deg": 60, "stop_down_deg": 60,
                    "linkage": {"kind": "unmeasured", "deg_per_1000_us": 200 * DEG_PER_PCT},
                }
            ],
            "couplings": [{"control": key, "channel": 1, "stations": line} for key, line in stations.items()],
        }
    )  # fmt: skip


def _of(case: Case) -> Setup:
    grouped: dict[str, list[dict[str, Any]]] = {}
    for response in case["inputs"]["responses"]:
        grouped.setdefault(f"control_{response['control']}", []).append(response)
    return _setup({key: _summed(ones) for key, ones in grouped.items()}, case["inputs"]["limits"])


@pytest.mark.parametrize("number", ["D01", "D02", "D03", "D04", "D11", "D13"])
def test_extremes_of_a_sum(number: str) -> None:
    """Own derivation, checked by brute force: vertex enumeration in fractions and a grid of 2001² points."""
    case = CASES[number]
    found = envelope(_of(case))
    travel, flap = found.channels[1], found.surfaces["flap"]
    assert_close([travel.low, travel.high], [case["expected"]["sum_min"], case["expected"]["sum_max"]], case)
    kept = [case["expected"]["out_min"], case["expected"]["out_max"]]
    assert_close(np.array([flap.low, flap.high]) / DEG_PER_PCT, kept, case)


@pytest.mark.parametrize("number", ["D01", "D02", "D03", "D04", "D13"])
def test_the_positions_of_the_extremes(number: str) -> None:
    case = CASES[number]
    made = _of(case)
    travel = envelope(made).channels[1]
    for at, expected in (
        (travel.low_at, case["routes"]["exact"]["argmin"]),
        (travel.high_at, case["routes"]["exact"]["argmax"]),
    ):
        positions = [at.get(f"control_{index}", 0.0) for index in range(len(expected))]
        assert_close(positions, [float(Fraction(position)) for position in expected], case)


def test_the_limit_holds_the_sum_and_not_its_parts() -> None:
    """Own arithmetic: 150 − 80 within ±100 is 70, not 100 − 80."""
    case = CASES["D15"]
    first, second = case["inputs"]["parts_percent"]
    made = _setup({"first": [[-100, 0], [100, first]], "second": [[-100, 0], [100, second]]}, case["inputs"]["limits"])
    frame = Rig(made).at({"first": 100, "second": 100})
    assert_close(frame.deflection_deg["flap"] / DEG_PER_PCT, case["expected"]["clip_of_sum"], case)
    assert case["expected"]["sum_of_clipped"] != case["expected"]["clip_of_sum"]


def test_three_controls_and_one_limit() -> None:
    """Own derivation, checked by brute force. Here only the outer limit exists, so the sum goes as far as 270."""
    case = CASES["D16"]
    straight = [[-100.0, -100.0], [100.0, 100.0]]
    made = _setup({"x": straight, "y": straight, "z": [[-100, -70], [100, 70]]}, case["inputs"]["outer"])
    found = envelope(made)
    assert_close(found.channels[1].high, case["expected"]["without_inner_limit_sum_max"], case)
    assert_close(found.surfaces["flap"].high / DEG_PER_PCT, case["expected"]["max"], case)
    assert_close(found.surfaces["flap"].low / DEG_PER_PCT, case["expected"]["min"], case)
