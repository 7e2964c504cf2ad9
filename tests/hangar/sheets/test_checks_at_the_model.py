"""The direction checks: in their order, and only what the setup really does."""

from typing import Any

import pytest

from hangar.sheets.checks import Check, PictureSize, direction_steps, phase_checks
from hangar.sheets.conditions import conditions, fade_notes
from hangar.sheets.labels import short_label, with_short_labels
from hangar.sheets.lost import failsafe_check, failsafe_words
from hangar.sheets.parts import channel_rows, load_rows, ruler_words, stowed
from hangar.sheets.throws import throw_groups
from mixing import Setup
from tests.mixing.example import example, example_data

from . import layouts

SIZE = PictureSize(200, 90, 10)


def checks_of(setup: Setup) -> list[Check]:
    return [step.drawn(setup, SIZE) for step in direction_steps(setup)]


def told(check: Check) -> str:
    seen = ", ".join(f"{seen.label} {seen.way}{' ' + seen.note if seen.note else ''}" for seen in check.seen)
    return f"{check.do}{' ' + check.condition if check.condition else ''}: {seen}"


def changed(**parts: Any) -> Setup:
    return Setup.model_validate({**example_data(), **parts})


def test_the_checks_come_in_the_order_in_which_one_does_them() -> None:
    assert [told(check) for check in checks_of(example())] == [
        "Aileron stick right: Aileron right up, left down, Rudder right",
        "Elevator stick back: Elevator up",
        "Rudder stick right: Rudder right",
        "Left lever back: Aileron left + right up, Elevator down, Flap left + right down",
        "Right slider forward: Motor 0 to 100 %",
    ]


def test_a_wrong_direction_is_told_as_the_setup_does_it() -> None:
    data = example_data()
    data["channels"][3]["reversed"] = True
    checks = [told(check) for check in checks_of(Setup.model_validate(data))]
    assert "Elevator stick back: Elevator down" in checks


def test_what_does_not_move_is_not_told() -> None:
    data = example_data()
    data["couplings"] = [c for c in data["couplings"] if c["control"] != "pitch"]
    checks = [told(check) for check in checks_of(Setup.model_validate(data))]
    assert not any("Elevator stick" in check for check in checks)


def test_a_motor_behind_a_switch_is_checked_with_the_switch_on() -> None:
    checks = {check.do: check for check in checks_of(layouts.conventional())}
    motor = checks["Right slider forward"]
    assert motor.condition == "in Cruise, with Motor switch up"
    assert motor.motor
    assert motor.picture == ""
    assert not checks["Aileron stick right"].motor


def test_a_lever_that_brakes_and_runs_the_motor_is_checked_for_both() -> None:
    """In the upper half the lever lowers the elevator at once; the motor needs its switch as well."""
    builder = layouts.Builder(phases=0)
    builder.wing("flap")
    builder.tail("cross")
    builder.motor()
    data = builder.setup().data()
    lever = next(c for c in data["controls"] if c["key"] == "lever")
    lever["rest"] = 0
    lever["uses"].append({"purpose": "power", "full": 100})
    data["controls"] = [c for c in data["controls"] if c["key"] != "power"]
    for coupling in data["couplings"]:
        if coupling["control"] == "power":
            coupling |= {"control": "lever", "stations": [[-100, -100], [0, -100], [100, 100]]}
    elevator = next(s["channel"] for s in data["surfaces"] if s["role"] == "elevator")
    data["couplings"].append(
        {"control": "lever", "channel": elevator, "phase": None, "stations": [[0, 0], [100, 10]], "expo_pct": 0,
         "fades": []}
    )  # fmt: skip
    checks = [check for check in checks_of(Setup.model_validate(data)) if check.do == "Left lever forward"]
    (power,) = checks
    assert power.motor
    assert power.condition == "with Motor switch up"
    assert told(power).endswith("Elevator down, Motor 0 to 100 %")


def test_a_control_that_acts_in_one_phase_only_is_checked_there() -> None:
    data = example_data()
    for coupling in data["couplings"]:
        if coupling["control"] == "lever":
            coupling["phase"] = "thermal"
    brake = next(c for c in checks_of(Setup.model_validate(data)) if c.do == "Left lever back")
    assert brake.condition == "in Thermal"


def test_a_surface_that_stood_deflected_says_where_it_ends() -> None:
    data = example_data()
    data["phases"][0]["stance"] = {"6": 40, "7": 40}
    data["couplings"].append(
        {"control": "roll", "channel": 6, "phase": None, "stations": [[-100, 10], [100, -10]], "expo_pct": 0,
         "fades": []}
    )  # fmt: skip
    roll = checks_of(Setup.model_validate(data))[0]
    flap = next(seen for seen in roll.seen if seen.label == "Right flap")
    assert flap.way == "up"
    assert flap.note.startswith("to ")
    assert flap.note.endswith("mm down")


def test_phases_are_checked_against_the_one_at_rest() -> None:
    (thermal,) = phase_checks(example())
    assert thermal.phase == "Thermal"
    assert told(thermal) == "Phase switch down: Aileron left + right, Flap left + right down"


def test_every_picture_shows_what_the_words_say() -> None:
    for check in checks_of(example()):
        if check.picture:
            for seen in check.seen:
                assert seen.arrow in check.picture


@pytest.mark.parametrize(
    ("failsafe", "words"),
    [(None, "not set"), ("last_position", "last position"), ("signal_off", "signal off"), (-100, "−100 %: off")],
)
def test_a_failsafe_is_said_in_words(failsafe: Any, words: str) -> None:
    data = example_data()
    data["channels"][2]["failsafe"] = failsafe
    setup = Setup.model_validate(data)
    assert failsafe_words(setup, setup.channel(3)) == words


def test_a_failsafe_travel_is_told_as_the_throw_that_it_gives() -> None:
    data = example_data()
    data["channels"][5]["failsafe"] = 95
    setup = Setup.model_validate(data)
    # 95 % of travel is what full brake asks of the flap: 45.8 mm in the expected values of the example.
    assert failsafe_words(setup, setup.channel(6)) == "95 %: 45.8 mm down"


def test_the_failsafe_check_tells_what_changes_then_what_holds() -> None:
    assert failsafe_check(example()) == "Motor off; everything else holds"
    data = example_data()
    for channel in data["channels"]:
        channel["failsafe"] = "last_position"
    assert failsafe_check(Setup.model_validate(data)) == "everything holds its last position"
    for channel in data["channels"]:
        channel["failsafe"] = 0
    assert failsafe_check(Setup.model_validate(data)) == "every surface neutral; Motor at 50 %"
    for channel in data["channels"]:
        channel["failsafe"] = None
    assert "Motor has no failsafe set" in failsafe_check(Setup.model_validate({**data, "surfaces": []}))


def test_a_y_lead_is_said() -> None:
    row = next(row for row in channel_rows(layouts.two_servos(), 40) if "spoiler" in row.label)
    assert row.y_lead
    assert row.drives == "Left spoiler + Right spoiler"


def test_levers_and_switches_are_stowed_as_at_rest() -> None:
    assert [(s.control, s.position, s.note) for s in stowed(example())] == [
        ("Left lever", "forward", ""),
        ("Right slider", "back", "Motor off"),
        ("Phase switch", "middle", "Cruise"),
    ]


def test_a_load_outside_the_range_is_said() -> None:
    data = example_data()
    data["balance"]["loads"][0]["cg_mm"] = 103
    rows = load_rows(Setup.model_validate(data))
    assert [row.outside for row in rows] == [True, False]


def test_measuring_places_are_told_once_where_they_agree() -> None:
    assert ruler_words(example()).startswith("Every surface: ruler at widest chord")
    data = example_data()
    data["surfaces"][2]["measure_at"] = "the tip"
    assert "Elevator: ruler at the tip" in ruler_words(Setup.model_validate(data))


def test_a_fading_lever_is_noted_and_a_fading_switch_has_rows_of_its_own() -> None:
    setup = example()
    first = next(conditions(setup, setup.control("roll")))
    assert fade_notes(setup, setup.control("roll"), first) == ["Left lever back leaves 60 % of Aileron left + right"]
    data = example_data()
    data["controls"].append(
        {"key": "rates", "label": "Rate switch", "kind": "switch", "plus": "up", "rest": 100, "positions": [-100, 100],
         "uses": []}
    )  # fmt: skip
    pitch = next(c for c in data["couplings"] if c["control"] == "pitch")
    pitch["fades"] = [{"control": "rates", "stations": [[-100, 50], [100, 100]]}]
    groups = [g for g in throw_groups(Setup.model_validate(data)) if g.label == "Elevator stick"]
    assert [g.condition for g in groups] == ["in Cruise", "in Cruise, with Rate switch down"]


def test_a_switch_shows_its_own_positions() -> None:
    data = example_data()
    data["couplings"].append(
        {"control": "flightphase", "channel": 4, "phase": None, "stations": [[-100, 10], [100, -10]], "expo_pct": 0,
         "fades": []}
    )  # fmt: skip
    group = next(g for g in throw_groups(Setup.model_validate(data)) if g.label == "Phase switch")
    assert [head.figure if head else None for head in group.heads] == ["−100", None, "0", None, "+100"]
    assert [head.words for head in group.heads if head] == ["down", "middle", "up"]


@pytest.mark.parametrize(
    ("label", "short"),
    [
        ("Left flap", "Left flap"),
        ("Left flap with a very long name", "Left flap with a v…"),
        ("Right flap with a very long name", "Right flap with a v…"),
        ("Elevator with a very long name", "Elevator with a very lo…"),
    ],
)
def test_long_names_are_cut_alike_on_both_sides(label: str, short: str) -> None:
    assert short_label(label, 20 if "flap" in label else 24) == short


def test_names_that_become_the_same_are_told_apart_by_their_channel() -> None:
    data = example_data()
    data["surfaces"][2]["label"] = "Tail surface of the left half, inner"
    data["surfaces"][3]["label"] = "Tail surface of the left half, outer"
    short = with_short_labels(Setup.model_validate(data), 20)
    assert short.surface("elevator").label.endswith("(ch 4)")
    assert short.surface("rudder").label.endswith("(ch 5)")
