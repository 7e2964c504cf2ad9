"""Forward evaluation: order of steps, limits, phases, devices, and a vector that is the same as its points."""

from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given

from mixing import PositionError, Rig, Setup

from .example import example, example_data

CONTROLS = ["roll", "pitch", "yaw", "lever", "power"]
POSITIONS = st.fixed_dictionaries(
    {key: st.floats(-100, 100) for key in CONTROLS} | {"flightphase": st.sampled_from([-100.0, 0.0, 100.0])}
)


def setup_with(**parts: Any) -> Setup:
    """A bare wing: one control, one channel, one surface that turns 60 degrees per 1000 µs, changed by `parts`."""
    bare: dict[str, Any] = {
        "balance": {
            "cg_datum": "", "cg_low_mm": 0, "cg_high_mm": 1,
            "loads": [{"key": "a", "label": "A", "mass_g": 1, "cg_mm": 0}],
        },
        "controls": [
            {"key": "stick", "label": "Stick", "kind": "stick", "plus": "right"},
            {"key": "lever", "label": "Lever", "kind": "lever", "plus": "forward", "rest": 100},
        ],
        "channels": [{"number": 1, "label": "One", "low_us": 900, "high_us": 2100}],
        "surfaces": [
            {
                "key": "flap", "label": "Flap", "role": "flap", "side": "right", "channel": 1, "chord_mm": 50,
                "stop_up_deg": 60, "stop_down_deg": 60, "linkage": {"kind": "unmeasured", "deg_per_1000_us": 60},
            }
        ],
        "couplings": [{"control": "stick", "channel": 1, "stations": [[-100, -100], [100, 100]]}],
    }  # fmt: skip
    return Setup.model_validate({**bare, **parts})


@given(st.lists(POSITIONS, min_size=1, max_size=12))
def test_a_vector_is_the_same_as_its_points(points: list[dict[str, float]]) -> None:
    rig = Rig(example())
    together = rig.at({key: np.array([point[key] for point in points]) for key in points[0]})
    for index, point in enumerate(points):
        alone = rig.at(point)
        for field in ("travel_pct", "pulse_us", "held", "deflection_deg", "throw_mm", "blocked", "level_pct"):
            for key, values in getattr(together, field).items():
                assert values.shape == (len(points),)
                assert getattr(alone, field)[key] == values[index], (field, key)


@given(POSITIONS)
def test_limits_hold_and_nothing_is_nan(positions: dict[str, float]) -> None:
    setup = example()
    frame = Rig(setup).at(positions)
    for channel in setup.channels:
        pulse = float(frame.pulse_us[channel.number])
        assert channel.low_us <= pulse <= channel.high_us
        assert pulse in (channel.low_us, channel.high_us) or not frame.held[channel.number]
    assert all(np.isfinite(value) for field in (frame.throw_mm, frame.deflection_deg) for value in field.values())
    assert all(0 <= value <= 100 for value in frame.level_pct.values())


@given(POSITIONS)
def test_a_reversed_channel_mirrors_about_its_centre(positions: dict[str, float]) -> None:
    data = example_data()
    for channel in data["channels"]:
        channel["reversed"] = not channel["reversed"]
    plain, mirrored = Rig(example()).at(positions), Rig(Setup.model_validate(data)).at(positions)
    for number, pulse in plain.pulse_us.items():
        assert mirrored.travel_pct[number] == plain.travel_pct[number]
        assert float(mirrored.pulse_us[number] + pulse) == pytest.approx(3000)


def test_left_out_controls_are_at_rest() -> None:
    rig = Rig(example())
    at_rest = {control.key: control.rest for control in example().controls}
    assert rig.at({}).throw_mm == rig.at(at_rest).throw_mm
    assert rig.at({}).throw_mm["left_flap"].shape == ()


def test_grids_broadcast() -> None:
    frame = Rig(example()).at({"roll": np.linspace(-100, 100, 5)[:, None], "lever": [[-100.0, 100.0]]})
    assert frame.throw_mm["right_aileron"].shape == (5, 2)
    assert frame.throw_mm["rudder"].shape == (5, 2)
    assert Rig(example()).at({"roll": []}).throw_mm["right_aileron"].shape == (0,)


@pytest.mark.parametrize(
    ("positions", "phase", "words"),
    [
        ({"roll": 100.5}, None, "−100 … 100"),
        ({"roll": float("nan")}, None, "nan"),
        ({"roll": [0, float("inf")]}, None, "inf"),
        ({"roll": "full"}, None, "give a position"),
        ({"flightphase": 50}, None, "−100, 0, 100"),
        ({"camber": 0}, None, 'no control "camber"'),
        ({}, "speed", 'no phase "speed"; give one of cruise, thermal'),
        ({"flightphase": 0}, "thermal", "leave it out"),
        ({"roll": [0, 1], "lever": [0, 1, 2]}, None, "one shape"),
    ],
)
def test_positions_that_are_not_there_are_refused(positions: dict[str, Any], phase: str | None, words: str) -> None:
    with pytest.raises(PositionError, match=words):
        Rig(example()).at(positions, phase=phase)


def test_phase_comes_from_the_switch_and_a_position_without_one_is_the_first() -> None:
    rig = Rig(example())
    by_name, by_switch = rig.at({"roll": 60}, phase="thermal"), rig.at({"roll": 60, "flightphase": -100})
    assert by_name.throw_mm == by_switch.throw_mm
    assert rig.at({"roll": 60, "flightphase": 100}).throw_mm == rig.at({"roll": 60}, phase="cruise").throw_mm
    swept = rig.at({"flightphase": [-100, 0, 100]}).throw_mm["left_flap"]
    assert swept[0] > 3
    assert swept[1:].tolist() == pytest.approx([0, 0], abs=1e-9)


def test_a_coupling_of_a_phase_stands_in_for_the_general_one() -> None:
    setup = setup_with(
        controls=[
            {"key": "stick", "label": "Stick", "kind": "stick", "plus": "right"},
            {"key": "sw", "label": "Switch", "kind": "switch", "plus": "up", "rest": -100, "positions": [-100, 100]},
        ],
        phases=[
            {"key": "a", "label": "A", "control": "sw", "position": -100, "stance": {}},
            {"key": "b", "label": "B", "control": "sw", "position": 100, "stance": {"1": 7}},
        ],
        couplings=[
            {"control": "stick", "channel": 1, "stations": [[-100, -100], [100, 100]]},
            {"control": "stick", "channel": 1, "phase": "b", "stations": [[-100, -20], [100, 20]]},
        ],
    )
    assert Rig(setup).at({"stick": 50, "sw": [-100, 100]}).travel_pct[1].tolist() == [50, 17]


def test_the_limit_cuts_the_sum_and_not_its_parts() -> None:
    """CHECKS D15: 150 and −80 within ±100 is 70; cutting the parts first would give 20."""
    setup = setup_with(
        couplings=[
            {"control": "stick", "channel": 1, "stations": [[-100, -150], [100, 150]]},
            {"control": "lever", "channel": 1, "stations": [[-100, -80], [100, 0]]},
        ],
        channels=[{"number": 1, "label": "One", "low_us": 1000, "high_us": 2000}],
    )
    frame = Rig(setup).at({"stick": [100, 100], "lever": [-100, 100]})
    assert frame.travel_pct[1].tolist() == [70, 150]
    assert frame.pulse_us[1].tolist() == [1850, 2000]
    assert frame.held[1].tolist() == [False, True]


def test_fades_multiply_by_the_raw_position() -> None:
    setup = setup_with(
        couplings=[
            {
                "control": "stick", "channel": 1, "stations": [[-100, -80], [100, 80]],
                "fades": [{"control": "lever", "stations": [[-100, 25], [100, 100]]}],
            }
        ]
    )  # fmt: skip
    assert Rig(setup).at({"stick": 100, "lever": [-100, 0, 100]}).travel_pct[1].tolist() == [20, 50, 80]


def test_a_moved_centre_moves_the_surface() -> None:
    moved = setup_with(channels=[{"number": 1, "label": "One", "centre_us": 1550, "low_us": 950, "high_us": 2150}])
    assert float(Rig(moved).at({}).deflection_deg["flap"]) == pytest.approx(3.0)


def motor(**changes: Any) -> Setup:
    device = {"key": "motor", "label": "Motor", "kind": "electric_motor", "channel": 1, **changes.pop("device", {})}
    return setup_with(surfaces=[], devices=[device], **changes)


def test_a_motor_without_a_coupling_is_off() -> None:
    frame = Rig(motor(couplings=[])).at({"stick": [-100, 100]})
    assert frame.travel_pct[1].tolist() == [-100, -100]
    assert frame.level_pct["motor"].tolist() == [0, 0]


def test_a_motor_faded_to_nothing_is_off_and_not_half() -> None:
    coupling = {
        "control": "stick", "channel": 1, "stations": [[-100, -100], [100, 100]],
        "fades": [{"control": "lever", "stations": [[-100, 0], [100, 100]]}],
    }  # fmt: skip
    frame = Rig(motor(couplings=[coupling])).at({"stick": 100, "lever": [-100, 0, 100]})
    assert frame.level_pct["motor"].tolist() == [0, 50, 100]
    assert frame.pulse_us[1].tolist() == [1000, 1500, 2000]


def test_two_controls_on_a_motor_add_from_off() -> None:
    setup = motor(
        couplings=[
            {"control": "stick", "channel": 1, "stations": [[-100, -100], [100, 0]]},
            {"control": "lever", "channel": 1, "stations": [[-100, -50], [100, -100]]},
        ]
    )
    assert Rig(setup).at({"stick": [-100, 100], "lever": [-100, -100]}).travel_pct[1].tolist() == [-50, 50]


def test_a_reversed_throttle_counts_the_same_way() -> None:
    setup = motor(
        channels=[{"number": 1, "label": "One", "reversed": True, "low_us": 900, "high_us": 2100}],
        device={"off_pct": 100, "full_pct": -80},
        couplings=[{"control": "stick", "channel": 1, "stations": [[-100, 100], [100, -100]]}],
    )
    frame = Rig(setup).at({"stick": [-100, 0, 80, 100]})
    assert frame.level_pct["motor"].tolist() == pytest.approx([0, 100 * 100 / 180, 100, 100])
    assert frame.pulse_us[1].tolist() == [1000, 1500, 1900, 2000]


def test_the_level_is_that_of_the_held_pulse() -> None:
    setup = motor(channels=[{"number": 1, "label": "One", "low_us": 1000, "high_us": 1800}])
    assert Rig(setup).at({"stick": 100}).level_pct["motor"] == pytest.approx(80)


def test_a_linkage_that_cannot_follow_stays_at_its_last_angle() -> None:
    linkage = {
        "kind": "four_bar", "arm_mm": 20, "horn_mm": 8, "pivot_mm": [100, 0],
        "arm_neutral_deg": 0, "horn_neutral_deg": 0,
    }  # fmt: skip
    surface = {**setup_with().surfaces[0].model_dump(), "linkage": linkage}
    frame = Rig(setup_with(surfaces=[surface])).at({"stick": [-100, -20, 0, 20, 100]})
    assert frame.blocked["flap"].tolist() == [True, False, False, False, True]
    assert abs(float(frame.deflection_deg["flap"][0])) <= 90
    assert float(frame.deflection_deg["flap"][2]) == pytest.approx(0, abs=1e-9)
