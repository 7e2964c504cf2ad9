"""From wanted throws to travel and responses, confirmed by the rig; and what is said where they cannot be reached."""

import json
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import assume, given

from mixing import PositionError, ResponseError, Rig, Setup, solve, throw_mm
from mixing.solve.along import coupling_of

from . import building
from .example import example, example_data
from .strategies import setups

SETUP = example()


def changed(**edits: dict[str, Any]) -> Setup:
    """The example with some fields of its surfaces replaced."""
    data = example_data()
    for surface in data["surfaces"]:
        surface.update(edits.get(surface["key"], {}))
    return Setup.from_text(json.dumps(data))


@pytest.mark.parametrize("surface", [surface.key for surface in SETUP.surfaces])
@pytest.mark.parametrize("travel", [-40.0, 0.0, 12.5, 40.0])
def test_travel_is_the_inverse_of_the_rig(surface: str, travel: float) -> None:
    free = changed(right_flap={"stop_up_deg": 90}, left_flap={"stop_up_deg": 90})
    pulse, _ = Rig(free).pulse(free.channel(free.surface(surface).channel), travel)
    throw = Rig(free).follow(free.surface(surface), pulse).throw_mm(chord_mm=free.surface(surface).chord_mm)
    assert solve.travel_for(free, surface, float(throw)) == pytest.approx(travel, abs=1e-9)


def test_stance_is_part_of_the_travel_and_is_taken_off_for_a_phase() -> None:
    whole = solve.travel_for(SETUP, "right_flap", 20.0)
    assert solve.travel_for(SETUP, "right_flap", 20.0, phase="thermal") == pytest.approx(whole - 8.0)
    assert solve.travel_for(SETUP, "right_flap", 20.0, phase="cruise") == whole


def test_limits_say_what_would_be_needed_and_it_does() -> None:
    with pytest.raises(solve.Unattainable) as refused:
        solve.travel_for(SETUP, "right_flap", 60.0)
    assert str(refused.value) == (
        "Right flap 60 mm down needs 123.2 % travel; channel 6 is held at 120 % (2100 µs); "
        "a 14 mm arm would do with 113.5 %"
    )
    linkage = {**SETUP.surface("right_flap").linkage.model_dump(mode="json"), "arm_mm": 14}
    assert solve.travel_for(changed(right_flap={"linkage": linkage}), "right_flap", 60.0) == pytest.approx(
        113.5, abs=0.05
    )


def test_limit_narrower_than_the_transmitter_is_proposed_first() -> None:
    data = example_data()
    data["channels"][5]["high_us"] = 1900
    with pytest.raises(solve.Unattainable, match=r"a limit of 1975 µs would do; a 16 mm arm would do with 77.2 %"):
        solve.travel_for(Setup.from_text(json.dumps(data)), "right_flap", 45.80596)


def test_measured_linkage_gets_a_factor() -> None:
    with pytest.raises(solve.Unattainable, match=r"20 mm down needs 153.8 %.*an arm about 1.28 times as long would do"):
        solve.travel_for(SETUP, "elevator", 20.0)


def test_reversed_channel_and_rudder_are_told_in_their_own_words() -> None:
    with pytest.raises(
        solve.Unattainable, match=r"Rudder 60 mm right needs 157.9 % travel; channel 5 is held at 120 % "
    ):
        solve.travel_for(changed(rudder={"stop_up_deg": 80}), "rudder", -60.0)


def test_past_the_stop() -> None:
    with pytest.raises(solve.Unattainable, match=r"needs 34.6°, past its stop of 30°; ask for at most 21.7 mm down"):
        solve.travel_for(SETUP, "right_aileron", 25.0)


def test_past_the_reach_of_the_linkage_names_its_last_throw() -> None:
    short = {"kind": "four_bar", "arm_mm": 20, "horn_mm": 11, "pivot_mm": [60, 0]}
    setup = changed(right_flap={"linkage": short, "stop_up_deg": 90, "stop_down_deg": 90})
    with pytest.raises(solve.Unattainable, match=r"Right flap 68 mm up is out of reach: this linkage ends at .* mm up"):
        solve.travel_for(setup, "right_flap", -68.0)


def test_where_no_other_length_would_do_that_is_said() -> None:
    four_bar = {"kind": "four_bar", "arm_mm": 10, "horn_mm": 10, "pivot_mm": [60, 0]}
    made = building.setup(
        controls=[building.stick()],
        channels=[building.channel(1, low_us=1495, high_us=1505)],
        surfaces=[building.surface(linkage=four_bar)],
    )
    with pytest.raises(solve.Unattainable, match=r"; no arm up to 25 mm and no shorter horn would do$"):
        solve.travel_for(made, "flap", 60.0)


@pytest.mark.parametrize(
    ("surface", "throw", "text"),
    [
        ("nose", 1.0, 'there is no surface "nose"; give one of right_aileron'),
        ("elevator", float("nan"), "not a number"),
    ],
)
def test_questions_that_make_no_sense(surface: str, throw: float, text: str) -> None:
    with pytest.raises(solve.SolveError, match=text):
        solve.travel_for(SETUP, surface, throw)


def test_no_such_phase() -> None:
    with pytest.raises(solve.SolveError, match='no phase "landing"; give one of cruise, thermal'):
        solve.travel_for(SETUP, "elevator", 1.0, phase="landing")


@pytest.mark.parametrize("phase", [None, "cruise", "thermal"])
@pytest.mark.parametrize(
    ("control", "surface", "stations"),
    [
        ("lever", "right_flap", [(-100, 44), (-50, 30), (0, 12), (100, -2)]),
        ("lever", "elevator", [(-100, 3), (100, 0)]),
        ("roll", "left_aileron", [(-100, -14), (0, 1), (100, 7)]),
        ("power", "elevator", [(-100, 0), (50, 0), (100, 1.5)]),
    ],
)
def test_response_gives_the_wanted_throws(
    phase: str | None, control: str, surface: str, stations: list[tuple[float, float]]
) -> None:
    response = solve.response_for(SETUP, control, surface, stations, phase=phase)
    after = solve.with_response(SETUP, control, surface, response, phase=phase)
    x, wanted = np.array(stations).T
    assert Rig(after).at({control: x}, phase=phase).throw_mm[surface] == pytest.approx(wanted, abs=1e-9)


def test_response_takes_off_what_other_controls_add_at_rest() -> None:
    data = example_data()
    next(control for control in data["controls"] if control["key"] == "power")["rest"] = 100
    data["couplings"].append({"control": "power", "channel": 4, "phase": None, "stations": [[-100, 0], [100, 20]]})
    setup = Setup.from_text(json.dumps(data))
    response = solve.response_for(setup, "pitch", "elevator", [(-100, 8), (100, -8)])
    plain = solve.response_for(SETUP, "pitch", "elevator", [(-100, 8), (100, -8)])
    assert response.travel == pytest.approx(plain.travel - 20.0)


def test_fades_stay_and_are_reckoned_with() -> None:
    data = example_data()
    coupling = next(c for c in data["couplings"] if (c["control"], c["channel"]) == ("roll", 1))
    coupling["fades"][0]["stations"] = [[-100, 0], [100, 50]]
    setup = Setup.from_text(json.dumps(data))
    response = solve.response_for(setup, "roll", "right_aileron", [(-100, 6), (100, -6)])
    after = solve.with_response(setup, "roll", "right_aileron", response)
    assert Rig(after).at({"roll": [-100, 100]}).throw_mm["right_aileron"] == pytest.approx([6, -6])
    coupling["fades"][0]["stations"] = [[-100, 100], [100, 0]]
    with pytest.raises(
        solve.Unattainable, match=r"Aileron stick does nothing here while Left lever is at rest \(\+100\)"
    ):
        solve.response_for(Setup.from_text(json.dumps(data)), "roll", "right_aileron", [(-100, 6), (100, -6)])


def test_a_fade_by_the_switch_of_the_phases_counts_as_it_stands_in_the_phase_asked_for() -> None:
    """The switch rests in thermal's place: what it lets through in cruise is reckoned with, not that."""
    made = building.setup(
        controls=[building.stick(), building.switch("mode", (-100, 0, 100))],
        surfaces=[building.surface()],
        phases=[
            building.phase("thermal", "mode", -100),
            building.phase("cruise", "mode", 0),
            building.phase("landing", "mode", 100),
        ],
        couplings=[building.coupling("roll", 1, -50, 50, fades=[building.fade("mode", 100, 50, 0)])],
    )
    response = solve.response_for(made, "roll", "flap", [(-100, -6), (100, 6)], phase="cruise")
    after = solve.with_response(made, "roll", "flap", response, phase="cruise")
    assert Rig(after).at({"roll": [-100, 100]}, phase="cruise").throw_mm["flap"] == pytest.approx([-6, 6])
    ended = solve.with_end(made, "roll", "flap", 100, 30, phase="cruise")
    assert Rig(ended).at({"roll": 100}, phase="cruise").travel_pct[1] == pytest.approx(30)
    with pytest.raises(solve.Unattainable, match=r"^Roll stick does nothing in landing: its fade by Mode is 0 % there"):
        solve.response_for(made, "roll", "flap", [(-100, -6), (100, 6)], phase="landing")


@pytest.mark.parametrize(
    ("stations", "error", "text"),
    [
        ([(-100, 3)], ResponseError, "at least two stations"),
        ([(100, 3), (-100, 0)], ResponseError, "in order"),
        ([(-120, 3), (100, 0)], PositionError, "−100 … 100"),
        ([(-100, 300), (100, 0)], solve.Unattainable, "Elevator"),
    ],
)
def test_stations_that_cannot_be(stations: list[tuple[float, float]], error: type[Exception], text: str) -> None:
    with pytest.raises(error, match=text):
        solve.response_for(SETUP, "lever", "elevator", stations)


@given(setups(), st.data())
def test_a_throw_that_is_granted_is_a_throw_that_is_given(setup: Setup, data: st.DataObject) -> None:
    assume(setup.surfaces)
    surface = data.draw(st.sampled_from(setup.surfaces))
    throw = data.draw(st.floats(-30, 30))
    try:
        travel = solve.travel_for(setup, surface.key, throw)
    except solve.Unattainable:
        return
    rig = Rig(setup)
    pulse, held = rig.pulse(setup.channel(surface.channel), travel)
    assert not held
    followed = rig.follow(surface, pulse)
    assert not followed.blocked
    assert float(followed.throw_mm(chord_mm=surface.chord_mm)) == pytest.approx(throw, abs=1e-6)


def test_the_coupling_at_work_is_that_of_the_phase_asked_for() -> None:
    """The flap follows the aileron stick in thermal only; the phase at rest is cruise."""
    found = coupling_of(example(), "roll", 6, "thermal")
    assert found is not None
    assert found.phase == "thermal"
    assert coupling_of(example(), "roll", 6, None) is None


def test_a_stop_is_reached_and_not_passed() -> None:
    made = building.setup(controls=[building.stick()], surfaces=[building.surface(stop_up_deg=15, stop_down_deg=20)])
    ends = throw_mm(deflection_deg=[-15, 20], chord_mm=50)
    assert solve.travels_for(made, "flap", ends).tolist() == pytest.approx([-50, 20 / 0.3])
    with pytest.raises(solve.Unattainable, match=r"needs 15\.1°, past its stop of 15°; ask for at most 13\.1 mm up"):
        solve.travels_for(made, "flap", throw_mm(deflection_deg=-15.1, chord_mm=50))
    with pytest.raises(solve.Unattainable, match=r"past its stop of 20°; ask for at most 17\.4 mm down"):
        solve.travels_for(made, "flap", throw_mm(deflection_deg=20.1, chord_mm=50))
