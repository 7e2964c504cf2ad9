"""A flown trim finds a home: with trims at centre the surface stands where it stood with the trim."""

from pathlib import Path
from typing import Any

import pytest

from mixing import Rig, Setup
from mixing.solve import SolveError, Unattainable
from mixing.trim import by_centre, by_clevis, by_stance, split

from .building import setup as made
from .building import stick
from .building import surface as flap

GLIDER = Setup.from_text((Path(__file__).parent / "data" / "electric_glider.json").read_bytes())


def rest(setup: Setup, key: str, phase: str | None = None) -> float:
    return float(Rig(setup).at({}, phase=phase).throw_mm[key])


def surface(**changes: Any) -> Setup:
    surfaces = [one.model_dump() | (changes if one.key == "elevator" else {}) for one in GLIDER.surfaces]
    return GLIDER.changed(surfaces=surfaces)


@pytest.mark.parametrize("key", [one.key for one in GLIDER.surfaces])
@pytest.mark.parametrize("trim", [-2.0, 1.5])
def test_each_home_puts_it_where_it_flew(key: str, trim: float) -> None:
    phase = GLIDER.phases[0].key
    homes = (
        by_clevis(GLIDER, {key: trim}, phase=phase),
        by_centre(GLIDER, {key: trim}, phase=phase),
        by_stance(GLIDER, {key: trim}, phase=phase),
    )
    for home in homes:
        assert rest(home, key, phase) - rest(GLIDER, key, phase) == pytest.approx(trim, abs=0.01)


def test_a_stance_holds_in_its_phase_only() -> None:
    one, other = GLIDER.phases[0].key, GLIDER.phases[1].key
    home = by_stance(GLIDER, {"elevator": 2.0}, phase=one)
    assert rest(home, "elevator", other) == pytest.approx(rest(GLIDER, "elevator", other), abs=1e-9)
    moved = by_centre(GLIDER, {"elevator": 2.0}, phase=one)
    assert abs(rest(moved, "elevator", other) - rest(GLIDER, "elevator", other)) > 1.0


@pytest.mark.parametrize("longer_pulse", ["pushes", "pulls"])
@pytest.mark.parametrize("push", ["lowers", "raises"])
@pytest.mark.parametrize("neutral_us", [1500.0, 1460.0])
def test_the_clevis_of_a_four_bar_changes_the_rod_and_nothing_else(
    longer_pulse: str, push: str, neutral_us: float
) -> None:
    """Arm, horn and places stay; the arm stands at the same angle for the same pulse, whatever it is counted from."""
    linkage = {
        "kind": "four_bar", "arm_mm": 10, "horn_mm": 14, "pivot_mm": [60, 8], "arm_neutral_deg": 10,
        "horn_neutral_deg": -5, "neutral_us": neutral_us, "servo_deg_per_1000_us": 90,
        "longer_pulse": longer_pulse, "push": push,
    }  # fmt: skip
    before = surface(linkage=linkage)
    after = by_clevis(before, {"elevator": 3.0})
    old, new = (setup.surface("elevator").linkage for setup in (before, after))
    assert old.kind == new.kind == "four_bar"
    assert (new.arm_mm, new.horn_mm, new.pivot_mm) == (old.arm_mm, old.horn_mm, old.pivot_mm)
    sign = 1 if longer_pulse == "pushes" else -1
    arms = [one.arm_neutral_deg - sign * one.neutral_us / 1000 * 90 for one in (old, new)]
    assert arms[1] == pytest.approx(arms[0], abs=1e-4)
    assert new.horn_neutral_deg == old.horn_neutral_deg
    assert 0.1 < abs(new.rod_mm - old.rod_mm) < 3
    assert rest(after, "elevator") - rest(before, "elevator") == pytest.approx(3.0, abs=0.005)


def test_no_home_has_more_figures_than_anyone_reads() -> None:
    """They stand on change cards and in boxes: 1551.8 µs, not 1551.8305003116457."""
    bar = {"kind": "four_bar", "arm_mm": 9, "horn_mm": 13, "pivot_mm": [62, 5], "servo_deg_per_1000_us": 87}
    before = surface(linkage=bar)
    linkage = by_clevis(before, {"elevator": 1.7}).surface("elevator").linkage
    assert linkage.kind == "four_bar"
    points = surface(linkage={"kind": "measured", "points": [[1000, -9.1], [2000, 12.2]]})
    shifted = by_clevis(points, {"elevator": 0.7}).surface("elevator").linkage
    assert shifted.kind == "measured"
    channel = before.surface("elevator").channel
    for value, digits in (
        (linkage.neutral_us, 1),
        (linkage.arm_neutral_deg, 4),
        (shifted.points[0][1], 3),
        (by_centre(before, {"elevator": 1.7}).channel(channel).centre_us, 1),
        (by_stance(before, {"elevator": 1.7}, phase="thermal").phases[1].stance[channel], 2),
    ):
        assert value == round(value, digits)
        assert value != round(value, 0)


def test_measured_points_are_shifted() -> None:
    before = surface(linkage={"kind": "measured", "points": [[1000, -9], [1500, 0], [2000, 12]]})
    after = by_clevis(before, {"elevator": -2.0})
    linkage = after.surface("elevator").linkage
    assert linkage.kind == "measured"
    assert linkage.points == ((1000.0, -11.0), (1500.0, -2.0), (2000.0, 10.0))


def test_what_cannot_be() -> None:
    unmeasured = surface(linkage={"kind": "unmeasured"})
    with pytest.raises(Unattainable, match="not measured yet"):
        by_clevis(unmeasured, {"elevator": 1.0})
    with pytest.raises(SolveError, match='no surface "canard"'):
        by_clevis(GLIDER, {"canard": 1.0})
    with pytest.raises(SolveError, match='no surface "canard"'):
        by_centre(GLIDER, {"canard": 1.0})
    with pytest.raises(SolveError, match='no phase "hover"'):
        by_stance(GLIDER, {"elevator": 1.0}, phase="hover")
    with pytest.raises(Unattainable):
        by_centre(GLIDER, {"elevator": 35.0})


def test_pitch_and_roll_of_elevons() -> None:
    assert split(left_mm=-3.0, right_mm=-1.0) == (-2.0, 1.0)
    assert split(left_mm=2.0, right_mm=2.0) == (2.0, 0.0)


def test_a_clevis_that_cannot_is_told() -> None:
    bar = {"kind": "four_bar", "arm_mm": 10, "horn_mm": 14, "pivot_mm": [60, 8]}
    with pytest.raises(Unattainable, match=f"{GLIDER.surface('elevator').label}: no turn of the clevis does this"):
        by_clevis(surface(linkage=bar, chord_mm=30), {"elevator": 58.0})
    with pytest.raises(Unattainable, match=r"horn would lean by more than 90°. See that the trim is right\Z"):
        by_clevis(surface(linkage=bar, chord_mm=52), {"elevator": 99.0})


def test_an_unknown_phase_is_told_with_those_that_there_are() -> None:
    with pytest.raises(SolveError, match="give one of cruise, thermal"):
        by_stance(GLIDER, {"elevator": 1.0}, phase="nowhere")
    alone = made(controls=[stick()], surfaces=[flap()])
    with pytest.raises(SolveError, match="none: this setup has no phases"):
        by_stance(alone, {"flap": 1.0}, phase="nowhere")


def test_two_surfaces_on_one_channel_cannot_be_trimmed_apart_but_at_the_clevis() -> None:
    shared = made(controls=[stick()], surfaces=[flap(), flap("other", 1)])
    with pytest.raises(Unattainable, match="Other shares channel 1"):
        by_centre(shared, {"flap": 2.0, "other": -2.0})
    assert rest(by_centre(shared, {"flap": 2.0, "other": 2.0}), "other") == pytest.approx(2.0, abs=0.01)
