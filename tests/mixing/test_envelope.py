"""Envelopes: exact against a whole enumeration in fractions, attained where they say, never gone beyond."""

from collections.abc import Callable, Mapping
from fractions import Fraction
from itertools import pairwise, product
from time import process_time
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from mixing import Extent, PositionError, Rig, Setup, envelope

from .building import coupling, fade, lever, phase, setup, stick, surface, switch
from .example import example
from .strategies import any_phase, positions_of, setups

Number = Fraction


def _polyline(stations: list[tuple[float, float]]) -> Callable[[float], Number]:
    points = [(Fraction(x), Fraction(y)) for x, y in stations]

    def value(position: float) -> Number:
        at = Fraction(position)
        if at <= points[0][0]:
            return points[0][1]
        for (x0, y0), (x1, y1) in pairwise(points):
            if at <= x1:
                return y0 + (y1 - y0) * (at - x0) / (x1 - x0)
        return points[-1][1]

    return value


def _travel(made: Setup, number: int, phase: str | None) -> Callable[[dict[str, float]], Number]:
    """The travel of a channel by the document's rules, in fractions; written apart from the code under test."""
    off = next((Fraction(device.off_pct) for device in made.devices if device.channel == number), Fraction(0))
    stance: Mapping[int, float] = next((one.stance for one in made.phases if one.key == phase), {})
    base = Fraction(stance[number]) if number in stance else off
    own = {one.control: one for one in made.couplings if one.channel == number and one.phase is None}
    own |= {one.control: one for one in made.couplings if one.channel == number and one.phase == phase}
    shares = [
        (
            one.control,
            _polyline(one.response.stations),
            [(f.control, _polyline([(x, y) for x, y in f.stations])) for f in one.fades],
        )
        for one in own.values()
    ]

    def value(positions: dict[str, float]) -> Number:
        total = base
        for control, response, fades in shares:
            share = response(positions[control]) - off
            for fading, factor in fades:
                share *= factor(positions[fading]) / 100
            total += share
        return total

    return value


def _stations(made: Setup) -> dict[str, list[float]]:
    """Every station of every control, whether it matters or not."""
    found: dict[str, set[float]] = {one.key: {-100.0, 100.0, one.rest} for one in made.controls}
    for one in made.couplings:
        found[one.control] |= {x for x, _ in one.response.stations}
        for f in one.fades:
            found[f.control] |= {x for x, _ in f.stations}
    return {one.key: sorted(one.positions or found[one.key]) for one in made.controls}


def _everywhere(made: Setup, phase: str | None) -> list[tuple[str | None, dict[str, float]]]:
    """Every combination of stations, with the phase there."""
    stations = _stations(made)
    grid = [dict(zip(stations, place, strict=True)) for place in product(*stations.values())]
    if not made.phases:
        return [(None, place) for place in grid]
    control = made.phases[0].control
    at = {one.position: one.key for one in made.phases}
    own = {one.key: one.position for one in made.phases}
    return [
        (at.get(place[control], made.phases[0].key), place)
        for place in grid
        if phase is None or place[control] == own[phase]
    ]


@settings(max_examples=80)
@given(setups(controls=4, channels=2, stations=3), st.data())
def test_channels_equal_a_whole_enumeration_in_fractions(made: Setup, data: Any) -> None:
    phase = data.draw(any_phase(made))
    grid = _everywhere(made, phase)
    assume(len(grid) <= 1500)
    found = envelope(made, phase)
    for line in made.channels:
        travel = {key: _travel(made, line.number, key) for key in {key for key, _ in grid}}
        values = [travel[key](place) for key, place in grid]
        extent = found.channels[line.number]
        assert extent.exact
        assert abs(Fraction(extent.low) - min(values)) < Fraction(1, 10**9)
        assert abs(Fraction(extent.high) - max(values)) < Fraction(1, 10**9)


def _check_attained(extent: Extent, value: Callable[[dict[str, float]], Any]) -> None:
    assert float(value(extent.low_at)) == pytest.approx(extent.low, abs=1e-9)
    assert float(value(extent.high_at)) == pytest.approx(extent.high, abs=1e-9)


@settings(max_examples=100)
@given(setups(), st.data())
def test_is_attained_and_never_gone_beyond(made: Setup, data: Any) -> None:
    phase = data.draw(any_phase(made))
    rig, found = Rig(made), envelope(made, phase)
    points = data.draw(st.lists(positions_of(made), min_size=1, max_size=20))
    stacked = {key: np.array([point[key] for point in points]) for key in points[0]}
    if phase is not None:
        stacked.pop(made.phases[0].control)
    frame = rig.at(stacked, phase=phase)
    for number, extent in found.channels.items():
        _check_attained(extent, lambda at, n=number: rig.at(at, phase=phase).travel_pct[n])  # type: ignore[misc]
        assert np.all(frame.travel_pct[number] >= extent.low - 1e-9)
        assert np.all(frame.travel_pct[number] <= extent.high + 1e-9)
    for key, extent in found.surfaces.items():
        _check_attained(extent, lambda at, k=key: rig.at(at, phase=phase).deflection_deg[k])  # type: ignore[misc]
        # Near a dead point a pulse that differs in its last figure moves the surface by some 1e-6 degrees.
        assert np.all(frame.deflection_deg[key] >= extent.low - 1e-5)
        assert np.all(frame.deflection_deg[key] <= extent.high + 1e-5)


@settings(max_examples=40)
@given(setups(controls=3, channels=1, stations=3, fades=1))
def test_surfaces_equal_a_fine_search(made: Setup) -> None:
    """Turning points inside included: on the ways between all corners, within what the search misses between steps."""
    grid = [place for _, place in _everywhere(made, None)]
    assume(len(grid) <= 200 and made.surfaces)
    rig, found = Rig(made), envelope(made)
    corners = {key: np.array([place[key] for place in grid]) for key in grid[0]}
    share = np.linspace(0, 1, 65)
    ways = {}
    for control in made.controls:
        start, end = corners[control.key][:, None, None], corners[control.key][None, :, None]
        way = start + 0.0 * end + 0.0 * share if control.positions else start * (1 - share) + end * share
        ways[control.key] = np.clip(way, -100, 100)
    searched = rig.at(ways)
    for key, extent in found.surfaces.items():
        values = searched.deflection_deg[key]
        step = float(np.max(np.abs(np.diff(values, axis=2)))) + 1e-9
        assert values.min() - step <= extent.low <= values.min() + 1e-5
        assert values.max() - 1e-5 <= extent.high <= values.max() + step


def test_the_example_names_where_its_extremes_are() -> None:
    found = envelope(example())
    aileron = found.surfaces["right_aileron"]
    assert aileron.low_at == {"lever": -100.0, "roll": 100.0, "flightphase": 0.0}
    assert found.channels[1].low == pytest.approx(-45 - 70 * 0.6)
    assert found.channels[5].high_at == {"roll": 100.0, "yaw": 100.0, "flightphase": 0.0}
    assert found.channels[6].high == pytest.approx(95 + 8 + 12)
    assert found.channels[6].high_at["flightphase"] == -100.0


def test_one_phase_leaves_the_others_out() -> None:
    thermal, cruise = envelope(example(), "thermal"), envelope(example(), "cruise")
    assert cruise.channels[6].high == pytest.approx(95)
    assert thermal.channels[6].high == pytest.approx(115)
    assert cruise.channels[6].high_at == {"lever": -100.0, "flightphase": 0.0}
    with pytest.raises(PositionError, match='no phase "nosuch"'):
        envelope(example(), "nosuch")


def test_a_position_without_a_phase_is_the_first_phase() -> None:
    made = setup(
        controls=[stick(), switch("mode", (-100, 0, 100))],
        surfaces=[surface()],
        phases=[phase("one", "mode", -100, {"1": 10}), phase("two", "mode", 0)],
        couplings=[coupling("roll", 1, -20, 20), coupling("mode", 1, 0, 0, 50)],
    )
    extent = envelope(made).channels[1]
    assert extent.high == pytest.approx(10 + 20 + 50)
    assert extent.high_at == {"roll": 100.0, "mode": 100.0}
    assert envelope(made, "one").channels[1].high == pytest.approx(30)


def test_what_does_not_matter_is_at_rest_and_left_out() -> None:
    made = setup(
        controls=[stick(), lever(), stick("other")],
        surfaces=[surface()],
        couplings=[
            coupling("roll", 1, 0, 0, 10, 30, 30, fades=[fade("lever", 50, 100, 100)]),
            coupling("other", 1, 5, 5),
        ],
    )
    extent = envelope(made).channels[1]
    assert (extent.low, extent.low_at) == (5.0, {"roll": -100.0})
    assert (extent.high, extent.high_at) == (35.0, {"roll": 100.0})
    still = envelope(setup(controls=[stick()], surfaces=[surface()])).surfaces["flap"]
    assert still == Extent(0.0, {}, 0.0, {})


def test_fades_are_multiplied_at_the_same_position_of_a_shared_control() -> None:
    """The lever fades roll where it also brakes: the extremes of the parts are not at the same lever."""
    made = setup(
        controls=[stick(), lever()],
        surfaces=[surface()],
        couplings=[
            coupling("roll", 1, -80, 80, fades=[fade("lever", 0, 50, 100)]),
            coupling("lever", 1, 60, 50, 0),
        ],
    )
    extent = envelope(made).channels[1]
    assert extent.high == pytest.approx(50 + 40)
    assert extent.high_at == {"lever": 0.0, "roll": 100.0}


def test_the_limits_hold_the_surface_and_not_what_is_asked_for() -> None:
    made = setup(
        controls=[stick()],
        channels=[{"number": 1, "label": "One", "low_us": 1300, "high_us": 1800, "reversed": True}],
        surfaces=[surface()],
        couplings=[coupling("roll", 1, -100, 100)],
    )
    found = envelope(made)
    assert (found.channels[1].low, found.channels[1].high) == (-100, 100)
    assert found.surfaces["flap"].low == pytest.approx(-200 * 0.06)
    assert found.surfaces["flap"].low_at == {"roll": 100.0}
    assert found.surfaces["flap"].high == pytest.approx(300 * 0.06)


TURNING = {
    "kind": "four_bar", "arm_mm": 8, "horn_mm": 14, "pivot_mm": [90, 0], "arm_neutral_deg": 40,
    "servo_deg_per_1000_us": 120,
}  # fmt: skip


def test_a_linkage_that_turns_back_on_the_way_has_its_extreme_there() -> None:
    made = setup(
        controls=[stick(), stick("other")],
        surfaces=[surface(linkage=TURNING)],
        couplings=[coupling("roll", 1, -60, 60), coupling("other", 1, -60, 60)],
    )
    extent = envelope(made).surfaces["flap"]
    linkage = made.surfaces[0].linkage
    turn = linkage.turning_pulses()
    turn = turn[(turn > 900) & (turn < 2100)]
    assert turn.size == 1
    assert extent.high == pytest.approx(float(linkage.follow(turn, chord_mm=50).deflection_deg[0]), abs=1e-9)
    assert extent.high > float(Rig(made).at({"roll": 100, "other": 100}).deflection_deg["flap"]) + 1
    at = extent.high_at
    assert Rig(made).at(at).pulse_us[1] == pytest.approx(turn[0], abs=1e-6)


def test_a_turning_point_that_a_switch_jumps_over_is_not_attained() -> None:
    def made(*couplings: dict[str, Any]) -> Setup:
        return setup(
            controls=[switch("step", (-100, 100)), stick()],
            surfaces=[surface(linkage=TURNING)],
            couplings=list(couplings),
        )

    jumping = envelope(made(coupling("step", 1, -100, 110))).surfaces["flap"]
    ends = Rig(made(coupling("step", 1, -100, 110))).at({"step": np.array([-100, 100])}).deflection_deg["flap"]
    assert jumping.high == pytest.approx(ends.max())
    passing = envelope(made(coupling("roll", 1, -100, 110))).surfaces["flap"]
    assert passing.high > ends.max() + 1


def test_a_binding_linkage_stops_where_it_binds() -> None:
    long_arm = {"kind": "four_bar", "arm_mm": 14, "horn_mm": 10, "pivot_mm": [100, 0], "servo_deg_per_1000_us": 120}
    made = setup(controls=[stick()], surfaces=[surface(linkage=long_arm)], couplings=[coupling("roll", 1, -100, 100)])
    extent = envelope(made).surfaces["flap"]
    last, beyond = made.surfaces[0].linkage.deflection_range()  # type: ignore[union-attr]
    assert extent.low == pytest.approx(last, abs=1e-5)
    # On the other side the hinge comes to its 90 degrees first.
    assert beyond > 90
    assert extent.high == pytest.approx(90)


def test_many_stations_and_fades_take_no_longer_than_a_moment() -> None:
    rng = np.random.default_rng(1)

    def wavy() -> list[list[float]]:
        return np.column_stack([np.linspace(-100, 100, 100), rng.uniform(0, 100, 100)]).tolist()  # type: ignore[no-any-return]

    keys = [f"control_{index}" for index in range(7)]
    made = setup(
        controls=[stick(key) for key in keys],
        surfaces=[surface()],
        couplings=[
            {"control": key, "channel": 1, "stations": wavy(),
             "fades": [{"control": other, "stations": wavy()} for other in keys[:index]]}
            for index, key in enumerate(keys)
        ],
    )  # fmt: skip
    start = process_time()
    extent = envelope(made).channels[1]
    assert process_time() - start < 20
    rig = Rig(made)
    assert float(rig.at(extent.high_at).travel_pct[1]) == pytest.approx(extent.high)
    tried = rig.at({key: rng.uniform(-100, 100, 20000) for key in keys}).travel_pct[1]
    assert tried.max() <= extent.high
    assert tried.min() >= extent.low


@pytest.mark.parametrize(("controls", "stations", "fades"), [(4, 30, 3), (6, 8, 5)])
def test_entangled_controls_are_searched_exactly(controls: int, stations: int, fades: int) -> None:
    """Against one control after the other moved over all its stations from many starts: none finds more."""
    rng = np.random.default_rng(controls)

    def wavy(low: float, high: float) -> list[list[float]]:
        x = np.linspace(-100, 100, stations)
        return np.column_stack([x, rng.uniform(low, high, stations)]).tolist()  # type: ignore[no-any-return]

    keys = [f"control_{index}" for index in range(controls)]
    made = setup(
        controls=[stick(key) for key in keys],
        surfaces=[surface()],
        couplings=[
            {"control": key, "channel": 1, "stations": wavy(-150, 150),
             "fades": [{"control": other, "stations": wavy(0, 100)} for other in keys if other != key][:fades]}
            for key in keys
        ],
    )  # fmt: skip
    extent = envelope(made).channels[1]
    assert extent.exact
    rig, x = Rig(made), np.linspace(-100, 100, stations)
    best = -np.inf
    for _ in range(30):
        at = {key: float(rng.choice(x)) for key in keys}
        for _ in range(4):
            for key in keys:
                at[key] = float(x[np.argmax(rig.at({**at, key: x}).travel_pct[1])])
        best = max(best, float(rig.at(at).travel_pct[1]))
    assert extent.high >= best - 1e-9
    assert float(rig.at(extent.high_at).travel_pct[1]) == pytest.approx(extent.high, abs=1e-9)
