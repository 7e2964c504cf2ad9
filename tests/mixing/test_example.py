"""The example setup against values of an independent implementation (data/electric_glider.expected.json)."""

from typing import Any

import pytest

from mixing import Rig

from .example import example, expected_cases


def _name(case: dict[str, Any]) -> str:
    return f"{case['positions']} {case['phase'] or ''}".strip()


@pytest.mark.parametrize("case", expected_cases(), ids=_name)
def test_evaluates_to_what_is_expected(case: dict[str, Any]) -> None:
    """Expo is compiled to a polyline within 0.05 % of travel: 0.25 µs, some 0.02 degrees or mm at these linkages."""
    frame = Rig(example()).at(case["positions"], phase=case["phase"])
    for number, expected in case["channels"].items():
        assert float(frame.travel_pct[int(number)]) == pytest.approx(expected["travel_pct"], abs=0.0501)
        assert float(frame.pulse_us[int(number)]) == pytest.approx(expected["pulse_us"], abs=0.2501)
        assert bool(frame.held[int(number)]) is expected["held"]
    for key, expected in case["surfaces"].items():
        assert float(frame.deflection_deg[key]) == pytest.approx(expected["deflection_deg"], abs=0.025)
        assert float(frame.throw_mm[key]) == pytest.approx(expected["throw_mm"], abs=0.025)
    for key, expected in case["devices"].items():
        assert float(frame.level_pct[key]) == pytest.approx(expected["level_pct"], abs=0.0501)


@pytest.mark.parametrize(
    "case", [case for case in expected_cases() if not {"roll", "pitch"} & set(case["positions"])], ids=_name
)
def test_is_exact_where_no_expo_is_at_work(case: dict[str, Any]) -> None:
    frame = Rig(example()).at(case["positions"], phase=case["phase"])
    for key, expected in case["surfaces"].items():
        assert float(frame.deflection_deg[key]) == pytest.approx(expected["deflection_deg"], abs=1e-6)
        assert float(frame.throw_mm[key]) == pytest.approx(expected["throw_mm"], abs=1e-6)
