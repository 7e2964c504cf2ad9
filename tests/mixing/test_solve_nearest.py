"""A response that bends off the transmitter's grid: the curve in its place is near in mm, through the linkages."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mixing import Response, Rig, Setup
from mixing.conventions import Conventions
from mixing.solve import best_curve, dial_in
from mixing.solve.nearest import nearest_curve

from .building import channel, coupling, fade, lever, motor, phase, setup, stick, surface, switch

# An arm that leans far forward at rest: the surface moves much more for the first half of the travel than for the last.
LEANING = {
    "kind": "four_bar", "arm_mm": 12, "horn_mm": 14, "pivot_mm": [60, 0], "arm_neutral_deg": 50,
    "servo_deg_per_1000_us": 90, "longer_pulse": "pulls",
}  # fmt: skip
BENT = [[-100, -80], [-55, 40], [20, -30], [100, 90]]


def bent(stations: Any = BENT, *, surfaces: Any = None, signal: Any = None, **fields: Any) -> Setup:
    return setup(
        controls=[stick(), lever()],
        surfaces=surfaces or [surface(linkage=LEANING)],
        couplings=[{"control": "roll", "channel": 1, "stations": stations, **fields}],
        signal=signal or {},
    )


def off_mm(made: Setup, points: Any, **at: float) -> float:
    """The greatest difference in throw along the control, found anew at 4001 positions."""
    (old,) = made.couplings
    entered = made.changed(couplings=[{**old.model_dump(), "stations": [list(point) for point in points]}])
    x = np.linspace(-100, 100, 4001)
    exact, then = (Rig(one).at({"roll": x, **at}).throw_mm for one in (made, entered))
    return max(float(np.max(np.abs(exact[key] - then[key]))) for key in exact)


def test_is_nearer_in_mm_than_the_nearest_in_travel() -> None:
    made = bent()
    found = nearest_curve(made, made.couplings[0])
    plain = best_curve(Response(BENT), 5, False).response.stations
    assert found.error_mm == pytest.approx(off_mm(made, found.points), rel=0.01)
    assert found.error_mm is not None
    assert found.error_mm < 0.9 * off_mm(made, plain)
    assert [x for x, _ in found.points] == [-100, -50, 0, 50, 100]


def test_no_other_values_come_nearer() -> None:
    made = bent()
    found = nearest_curve(made, made.couplings[0])
    random = np.random.default_rng(3)
    for size in (0.1, 1.0, 5.0):
        for _ in range(40):
            other = [(x, y + size * random.uniform(-1, 1)) for x, y in found.points]
            assert off_mm(made, other) >= found.error_mm * 0.99  # type: ignore[operator]


@settings(max_examples=25)
@given(
    st.lists(st.integers(-19, 19).map(lambda fives: 5.0 * fives), min_size=1, max_size=4, unique=True),
    st.lists(st.floats(-120, 120, width=32), min_size=6, max_size=6),
    st.booleans(),
    st.sampled_from([0.0, 40.0]),
)
def test_is_never_worse_than_the_nearest_in_travel(inner: Any, values: Any, free: bool, expo: float) -> None:
    stations = [[x, y] for x, y in zip([-100.0, *sorted(inner), 100.0], values, strict=False)]
    made = bent(stations, signal={"curve_points": 4, "curve_free_x": free}, expo_pct=expo)
    found = nearest_curve(made, made.couplings[0])
    plain = best_curve(Response(stations), 4, free).response.stations
    assert off_mm(made, found.points) <= off_mm(made, plain) + 0.05


def test_of_two_surfaces_on_one_channel_the_worse_one_counts() -> None:
    other = surface("other", linkage={**LEANING, "arm_neutral_deg": -50}, chord_mm=90)
    made = bent(surfaces=[surface(linkage=LEANING), other])
    found = nearest_curve(made, made.couplings[0])
    alone = nearest_curve(bent(), bent().couplings[0])
    assert found.error_mm == pytest.approx(off_mm(made, found.points), rel=0.01)
    assert off_mm(made, found.points) < off_mm(made, alone.points)


def test_fades_count_as_they_stand_at_rest_and_not_at_all_where_they_take_everything() -> None:
    """The lever rests at +100: a fade of 50 % there halves what the curve moves, 0 % is looked at without it."""
    whole, half, nothing = (bent(fades=[fade("lever", 100, factor)]) for factor in (100, 50, 0))
    found = [nearest_curve(made, made.couplings[0]) for made in (whole, half, nothing)]
    assert found[1].error_mm == pytest.approx(off_mm(half, found[1].points), rel=0.01)
    assert found[1].points != found[0].points
    assert found[2] == found[0]


def test_is_looked_at_in_a_phase_where_it_works() -> None:
    """In the first phase another coupling stands in its place; in the second the stance moves the surface elsewhere."""
    made = setup(
        controls=[stick(), switch("mode", (-100, 100))],
        surfaces=[surface(linkage=LEANING)],
        phases=[phase("launch", "mode", -100), phase("cruise", "mode", 100, {"1": 15})],
        couplings=[
            {"control": "roll", "channel": 1, "stations": BENT},
            coupling("roll", 1, -10, 10, phase="launch"),
        ],
    )
    general = next(one for one in made.couplings if one.phase is None)
    found = nearest_curve(made, general)
    entered = made.changed(
        couplings=[{**one.model_dump(), "stations": found.points} if one is general else one for one in made.couplings]
    )
    x = np.linspace(-100, 100, 2001)
    exact, then = (Rig(one).at({"roll": x}, phase="cruise").throw_mm["flap"] for one in (made, entered))
    assert found.error_mm == pytest.approx(float(np.max(np.abs(exact - then))), rel=0.01)


def test_a_fade_by_the_switch_of_the_phases_counts_as_it_stands_in_the_phase_looked_at() -> None:
    made = setup(
        controls=[stick(), switch("mode", (-100, 100))],
        surfaces=[surface(linkage=LEANING)],
        phases=[phase("launch", "mode", -100), phase("cruise", "mode", 100)],
        couplings=[
            {"control": "roll", "channel": 1, "stations": BENT, "phase": "cruise", "fades": [fade("mode", 100, 50)]}
        ],
    )
    found = nearest_curve(made, made.couplings[0])
    entered = made.changed(couplings=[{**made.couplings[0].model_dump(), "stations": found.points}])
    x = np.linspace(-100, 100, 2001)
    exact, then = (Rig(one).at({"roll": x}, phase="cruise").throw_mm["flap"] for one in (made, entered))
    assert found.error_mm == pytest.approx(float(np.max(np.abs(exact - then))), rel=0.01)


def test_the_list_states_it_in_mm_and_a_motor_in_travel() -> None:
    made = setup(
        controls=[stick()],
        channels=[channel(9)],
        surfaces=[surface(linkage=LEANING)],
        devices=[motor()],
        couplings=[{"control": "roll", "channel": number, "stations": BENT} for number in (1, 9)],
    )
    flap, throttle = (entry for entry in dial_in(made, Conventions()) if entry.kind == "curve")
    assert flap.explanation.startswith("the nearest curve of 5 points, within ")
    assert flap.explanation.endswith(" mm")
    told = float(flap.explanation.split()[-2])
    assert told == pytest.approx(off_mm_of_flap(made), abs=0.11)
    assert throttle.explanation.endswith("% of travel")
    # Rounded to whole % the curve is a little further off, and the entry says so.
    assert flap.error_mm == pytest.approx(told, abs=0.3)


def off_mm_of_flap(made: Setup) -> float:
    return nearest_curve(made, made.couplings[0]).error_mm or 0.0
