"""Deflection and throw: what cannot be is refused in words, and the culprit of many is named."""

import numpy as np
import pytest

from mixing import ThrowError, deflection_deg, throw_mm


@pytest.mark.parametrize("chord", [0, -40, float("nan"), float("inf"), [50, 0]])
def test_a_chord_is_a_length(chord: float) -> None:
    with pytest.raises(ThrowError, match="above 0 mm"):
        throw_mm(deflection_deg=10, chord_mm=chord)
    with pytest.raises(ThrowError, match="above 0 mm"):
        deflection_deg(throw_mm=1, chord_mm=chord)


@pytest.mark.parametrize("given", [200, -200, [10, 200], [[-200.0], [5.0]]])
def test_more_than_half_a_turn_is_refused_by_its_value(given: float) -> None:
    worst = float(np.ravel(given)[np.argmax(np.abs(np.ravel(given)))])
    with pytest.raises(ThrowError, match=f"a deflection of {worst:g} degrees was given".replace("-", "−")):
        throw_mm(deflection_deg=given, chord_mm=50)


@pytest.mark.parametrize("given", [101, [10, 101]])
def test_a_throw_wider_than_the_circle_is_refused_with_what_is_allowed(given: float) -> None:
    with pytest.raises(ThrowError, match="a throw of 101 mm was given; a chord of 50 mm allows −100 … 100 mm"):
        deflection_deg(throw_mm=given, chord_mm=50)


def test_half_a_turn_and_the_whole_circle_are_allowed() -> None:
    assert throw_mm(deflection_deg=[-180, 180], chord_mm=50).tolist() == pytest.approx([-100, 100])
    assert deflection_deg(throw_mm=[-100, 100], chord_mm=50).tolist() == pytest.approx([-180, 180])
