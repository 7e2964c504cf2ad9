"""Arm and horn holes for wanted throws."""

import re

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from mixing import FourBar
from mixing.solve import ArmAndHorn, SolveError, Unattainable, arm_and_horn

BASE = FourBar(arm_mm=10, horn_mm=12, pivot_mm=(140, 3), servo_deg_per_1000_us=90)


def gives(pair: ArmAndHorn, chord_mm: float) -> tuple[float, float]:
    """The throws that a pair really gives at its travels."""
    pulses = [1500 + 5 * pair.up_travel_pct, 1500 + 5 * pair.down_travel_pct]
    up, down = pair.linkage.follow(pulses, chord_mm=chord_mm).throw_mm(chord_mm=chord_mm)
    return -float(up), float(down)


@settings(max_examples=12)  # Each tries 270 pairs of holes.
@given(st.floats(2, 18), st.floats(2, 18), st.sampled_from(["lowers", "raises"]), st.sampled_from(["pushes", "pulls"]))
def test_every_pair_gives_the_throws_within_the_travel(up: float, down: float, push: str, longer: str) -> None:
    base = FourBar.model_validate({**BASE.model_dump(), "push": push, "longer_pulse": longer})
    pairs = arm_and_horn(up_mm=up, down_mm=down, chord_mm=45, base=base)
    for pair in pairs[:5] + pairs[-2:]:
        assert gives(pair, 45) == pytest.approx((up, down), abs=1e-6)
        assert max(abs(pair.up_travel_pct), abs(pair.down_travel_pct)) == pair.used_pct <= 100


def test_the_first_uses_most_of_the_travel_and_loads_the_servo_least() -> None:
    pairs = arm_and_horn(up_mm=14, down_mm=8, chord_mm=45, base=BASE)
    assert pairs[0].used_pct > 90
    assert [round(pair.used_pct) for pair in pairs] == sorted((round(pair.used_pct) for pair in pairs), reverse=True)
    assert pairs[0].servo_nm_per_nm < pairs[-1].servo_nm_per_nm
    assert len({(pair.linkage.arm_mm, pair.linkage.horn_mm) for pair in pairs}) == len(pairs)
    best = [pair for pair in pairs if round(pair.used_pct) == round(pairs[0].used_pct)]
    assert [pair.linkage.horn_mm for pair in best] == sorted((pair.linkage.horn_mm for pair in best), reverse=True)


def test_only_the_holes_that_the_pilot_has() -> None:
    pairs = arm_and_horn(up_mm=6, down_mm=6, chord_mm=45, base=BASE, arm_holes_mm=(8, 11), horn_holes_mm=(13.5, 17))
    assert {pair.linkage.arm_mm for pair in pairs} <= {8, 11}
    assert {pair.linkage.horn_mm for pair in pairs} <= {13.5, 17}


def test_what_these_holes_cannot_do_says_what_it_would_need() -> None:
    with pytest.raises(Unattainable, match=r"needs \d+ % travel even with a 8 mm arm on a 20 mm horn") as caught:
        arm_and_horn(up_mm=14, down_mm=14, chord_mm=45, base=BASE, arm_holes_mm=(6, 8), horn_holes_mm=(20, 25))
    assert "a longer arm would do" in str(caught.value)
    with pytest.raises(Unattainable, match="dead point"):
        arm_and_horn(up_mm=60, down_mm=1, chord_mm=45, base=BASE, arm_holes_mm=(6,), horn_holes_mm=(25,))


def test_the_arm_that_would_do_does_and_the_next_shorter_one_does_not() -> None:
    def asked(arms: tuple[int, ...], horns: tuple[int, ...]) -> tuple[ArmAndHorn, ...]:
        return arm_and_horn(up_mm=14, down_mm=14, chord_mm=45, base=BASE, arm_holes_mm=arms, horn_holes_mm=horns)

    with pytest.raises(Unattainable) as caught:
        asked((6, 8), (20, 25))
    told = re.search(r"one of (\d+) mm with (\d+) %$", str(caught.value))
    assert told
    arm, used = int(told[1]), int(told[2])
    (pair,) = asked((arm,), (20,))
    assert round(pair.used_pct) == used <= 100
    with pytest.raises(Unattainable):
        asked((arm - 1,), (20,))


def test_no_arm_is_named_where_none_would_do() -> None:
    base = BASE.model_copy(update={"servo_deg_per_1000_us": 1.0})
    with pytest.raises(Unattainable, match=r"a longer arm would do$"):
        arm_and_horn(up_mm=3, down_mm=3, chord_mm=45, base=base, arm_holes_mm=(6,), horn_holes_mm=(25,))


@pytest.mark.parametrize(("up", "down"), [(-1, 5), (0, 0), (float("nan"), 3)])
def test_throws_that_are_none_are_refused(up: float, down: float) -> None:
    with pytest.raises(SolveError, match="0 or more"):
        arm_and_horn(up_mm=up, down_mm=down, chord_mm=45, base=BASE)


def test_a_horn_that_is_too_long_does_not_hide_the_next() -> None:
    pairs = arm_and_horn(up_mm=14, down_mm=14, chord_mm=20, base=BASE, arm_holes_mm=(10,), horn_holes_mm=(25, 10))
    assert [(pair.linkage.arm_mm, pair.linkage.horn_mm) for pair in pairs] == [(10, 10)]
