"""Bounds on what a surface can do, and the short cuts of the audit that rest on them: quick, and never wrong."""

from itertools import pairwise
from time import process_time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mixing import Response, Rig, Setup, audit
from mixing.document import Surface
from mixing.findings.finding import Examined
from mixing.findings.pairs import _surely_even
from mixing.motion import Motion
from mixing.sums import Line, Product, TravelSum

from .building import channel, coupling, fade, phase, setup, stick, surface, switch
from .strategies import setups

TURNING = {"kind": "four_bar", "arm_mm": 20, "horn_mm": 24, "pivot_mm": [40, 0], "servo_deg_per_1000_us": 180}


@settings(max_examples=60)
@given(setups(), st.lists(st.floats(-200, 200), min_size=2, max_size=30))
def test_no_two_travels_move_a_surface_further_than_the_bound(made: Setup, travels: list[float]) -> None:
    for one in made.surfaces:
        motion = Motion(Rig(made), one)
        degrees, mm = motion.deflection_deg(travels), motion.throw_mm(travels)
        for index, (low, high) in enumerate(pairwise(travels)):
            apart = abs(high - low)
            assert abs(degrees[index + 1] - degrees[index]) <= motion.most_moved_deg(apart) + 1e-9
            assert abs(mm[index + 1] - mm[index]) <= motion.most_moved_mm(apart) + 1e-9


@settings(max_examples=60)
@given(
    setups(), st.lists(st.one_of(st.floats(-150, 150), st.integers(-15, 15).map(lambda tens: 10.0 * tens)), max_size=12)
)
def test_what_certainly_differs_does(made: Setup, travels: list[float]) -> None:
    for one in made.surfaces:
        motion = Motion(Rig(made), one)
        for low, high in pairwise(travels):
            if motion.certainly_differs(low, high):
                first, second = motion.deflection_deg([low, high])
                assert abs(first - second) > 1e-9


def test_a_bound_is_near_what_it_bounds() -> None:
    """0.3 degrees for 1 % of travel: 10 % move it by 3 degrees, and the bound may be one step of 0.5 % above."""
    motion = Motion(Rig(setup(controls=[stick()], surfaces=[surface()])), surface_of_one())
    assert 3.0 <= motion.most_moved_deg(10.0) <= 3.0 + 0.3
    assert motion.most_moved_deg(1000.0) == pytest.approx(0.06 * 1200)
    assert motion.most_moved_mm(float("inf")) == float("inf")


def surface_of_one() -> Surface:
    return setup(controls=[stick()], surfaces=[surface()]).surfaces[0]


def test_a_surface_that_turns_has_no_one_way() -> None:
    straight = setup(controls=[stick()], surfaces=[surface(), surface("raised", 2, linkage={
        "kind": "unmeasured", "deg_per_1000_us": 60, "longer_pulse": "raises"})])  # fmt: skip
    turning = setup(controls=[stick()], surfaces=[surface(linkage=TURNING)])
    ways = [Motion(Rig(made), one).way for made in (straight, turning) for one in made.surfaces]
    assert ways == [1, -1, 0]


@settings(max_examples=60)
@given(setups(), st.sampled_from([0.5, 1.0, 5.0]))
def test_short_cuts_never_hide_a_difference(made: Setup, limit: float) -> None:
    """Between any two phases: where the audit looks no further, a close look finds nothing, either."""
    examined = Examined(made)
    for one in made.surfaces:
        for before, after in pairwise(examined.places):
            first, second = (examined.total(one.channel, place) for place in (before, after))
            for sign in (1.0, -1.0):
                values = examined.throw(one, first, sign), examined.throw(one, second, sign)
                if examined.never_further(one, first, second, sign, limit):
                    assert examined.most_above(*values).value <= limit + 1e-9
            if examined.never_apart(one, first, second, limit):
                assert max(difference.value for difference in examined.most_apart(*values)) <= limit + 1e-9


@settings(max_examples=60)
@given(setups())
def test_surely_even_is_even(made: Setup) -> None:
    examined = Examined(made)
    for left in made.surfaces:
        for right in made.surfaces:
            totals = examined.total(right.channel, examined.places[0]), examined.total(left.channel, examined.places[0])
            if _surely_even(examined, (right, left), totals, 1.0):
                values = examined.throw(right, totals[0]), examined.throw(left, totals[1])
                assert max(difference.value for difference in examined.most_apart(*values)) <= 1.0


def test_both_ways_of_a_difference_are_what_each_is_alone() -> None:
    made = setup(
        controls=[stick(), stick("pitch")],
        surfaces=[surface(), surface("other", 2, linkage=TURNING)],
        couplings=[coupling("roll", 1, -60, 80), coupling("pitch", 1, 10, 30), coupling("roll", 2, 40, -70, 90)],
    )
    examined = Examined(made)
    one, other = (examined.throw(each, examined.total(each.channel, None)) for each in made.surfaces)
    there, back = examined.most_apart(one, other)
    for both, alone in ((there, examined.most_above(one, other)), (back, examined.most_above(other, one))):
        assert both.value == alone.value
        assert both.at() == alone.at()


@given(st.lists(st.floats(-100, 100), min_size=1, max_size=20))
def test_a_single_position_is_worked_out_like_an_array_of_one(positions: list[float]) -> None:
    line = Line("roll", np.array([-100.0, -20.0, 35.0, 100.0]), np.array([-40.0, 3.0, 2.5, 70.0]))
    total = TravelSum(5.0, (Product(1.5, (line,), "roll"),), {"roll": 0.0})
    for position in [*positions, -120.0, 120.0, -20.0]:
        assert line.value(position) == float(line(position))
        assert total.value({"roll": position}) == float(total.at({"roll": position}))
    assert total.value({}) == float(total.at({}))


def test_a_net_of_fades_between_all_controls_ends_in_seconds() -> None:
    """Nothing that flies is like this: 24 controls, each fading others on channels that four phases set anew."""
    keys = [f"control_{index}" for index in range(24)]
    couplings = [
        coupling(key, 1 + index % 4, -60, 20.0 + index, 70, phase=None if index % 3 else f"phase_{index % 2}",
                 fades=[fade(keys[(index + step) % 24], 0, 100, 30.0 + index) for step in (1, 7)])
        for index, key in enumerate(keys)
    ]  # fmt: skip
    made = setup(
        controls=[*(stick(key, "roll") for key in keys), switch("mode")],
        surfaces=[surface(f"flap_{number}", number, linkage=TURNING) for number in (1, 2, 3, 4)],
        phases=[phase(f"phase_{index}", "mode", position) for index, position in enumerate((-100, 100))],
        couplings=couplings,
    )
    start = process_time()
    assert audit(made)
    assert process_time() - start < 20


def test_a_switch_is_at_its_positions_only() -> None:
    made = setup(controls=[switch("mode", (-100, 0, 100))], surfaces=[surface()])
    line = Line.over(made.control("mode"), Response([(-100, -40), (50, 20), (100, 80)]), minus=5, scale=0.5)
    assert line.x.tolist() == [-100, 0, 100]
    assert line.y.tolist() == pytest.approx([-22.5, -2.5, 37.5])


def test_a_difference_that_a_linkage_bends_is_found_between_stations() -> None:
    """One stick, two stations: the widest difference lies between them, where no station is."""
    bent = {"kind": "four_bar", "arm_mm": 12, "horn_mm": 14, "pivot_mm": [60, 0], "arm_neutral_deg": 35}
    made = setup(
        controls=[stick()],
        surfaces=[surface(linkage=bent), surface("other", 2)],
        couplings=[coupling("roll", 1, -100, 100), coupling("roll", 2, -80, 80)],
    )
    examined = Examined(made)
    found = examined.most_apart(*(examined.throw(each, examined.total(each.channel, None)) for each in made.surfaces))
    throws = Rig(made).at({"roll": np.linspace(-100, 100, 20_001)}).throw_mm
    apart = throws["flap"] - throws["other"]
    assert [one.value for one in found] == pytest.approx([apart.max(), -apart.min()], abs=0.02)
    assert 20 < found[0].at()["roll"] < 32


def test_a_difference_of_many_controls_is_found_with_all_of_them_at_their_ends() -> None:
    """Too many combinations to try all: what is left out lies between the ends."""
    keys = [f"stick_{index}" for index in range(7)]
    made = setup(
        controls=[stick(key) for key in keys],
        surfaces=[surface(), surface("other", 2)],
        couplings=[
            part for key in keys for part in (coupling(key, 1, -4, 0, 4), coupling(key, 2, 4, 0, -4))
        ],
    )  # fmt: skip
    examined = Examined(made)
    found = examined.most_apart(*(examined.throw(each, examined.total(each.channel, None)) for each in made.surfaces))
    throws = Rig(made).at(dict.fromkeys(keys, 100.0)).throw_mm
    assert found[0].value == pytest.approx(float(throws["flap"] - throws["other"]), abs=1e-6)


@pytest.mark.parametrize("also", [False, True])
def test_a_difference_is_exact_where_a_limit_cuts_between_the_places_looked_at(also: bool) -> None:
    """One surface stops at 94.6 %, with the stick at 47.3 %, and the other goes on: there they are widest apart."""
    shared = [coupling("pitch", number, -8, 8) for number in (1, 2)] if also else []
    made = setup(
        controls=[stick(), stick("pitch")],
        channels=[channel(1, high_us=1500 + 5 * 94.6), channel(2)],
        surfaces=[surface(), surface("other", 2)],
        couplings=[coupling("roll", 1, -200, 200), coupling("roll", 2, -100, 100), *shared],
    )
    examined = Examined(made)
    found = examined.most_above(*(examined.throw(each, examined.total(each.channel, None)) for each in made.surfaces))
    # 0.3 degrees for 1 % on a chord of 50 mm; the shared stick, full forward, takes 8 % off both.
    stops, follows = (94.6, 51.3 - 8) if also else (94.6, 47.3)
    wanted = [2 * 50 * np.sin(np.radians(0.3 * travel) / 2) for travel in (stops, follows)]
    assert found.value == pytest.approx(wanted[0] - wanted[1], abs=1e-9)
    assert found.at()["roll"] == pytest.approx(51.3 if also else 47.3)


def test_a_surface_bends_where_its_hinge_turns_no_further() -> None:
    readings = {"kind": "measured", "points": [[1400, -40], [1600, 40]]}
    for linkage, at in (({"kind": "unmeasured", "deg_per_1000_us": 200}, 90.0), (readings, 35.355339)):
        made = setup(controls=[stick()], surfaces=[surface(linkage=linkage)])
        bends = Motion(Rig(made), made.surfaces[0]).bends
        assert np.min(np.abs(bends - at)) < 1e-5
        assert np.min(np.abs(bends + at)) < 1e-5


def test_a_surface_bends_where_its_linkage_ends() -> None:
    """The reach is −34.35 to 39.65 degrees of the servo, as in the docstring of `FourBar.reach`, 90 for 1000 µs."""
    long_arm = {"kind": "four_bar", "arm_mm": 20, "horn_mm": 12, "pivot_mm": [130, 5]}
    made = setup(controls=[stick()], surfaces=[surface(linkage=long_arm)])
    bends = Motion(Rig(made), made.surfaces[0]).bends
    for degrees in (-34.35, 39.65):
        assert np.min(np.abs(bends - degrees / 90 * 1000 / 5)) < 0.02
