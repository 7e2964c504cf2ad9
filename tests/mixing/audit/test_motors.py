"""Motors: at rest, without a lock, while braking; and what the receiver does when the signal is lost."""

from typing import Any

import pytest

from mixing import Rig, Setup

from ..building import channel, coupling, fade, lever, motor, phase, setup, stick, surface, switch
from .told import one, told

Data = dict[str, Any]
POWER = {"key": "power", "label": "Slider", "kind": "lever", "plus": "forward", "rest": -100,
         "uses": [{"purpose": "power", "full": 100}]}  # fmt: skip
ARM = switch("arm", (-100, 100), label="Arming switch", plus="on")
ARMED = fade("arm", 0, 100)


def powered(*couplings: Data, controls: tuple[Data, ...] = (POWER, ARM), **parts: Any) -> Setup:
    return setup(controls=list(controls), devices=[motor()], couplings=list(couplings), **parts)


def test_a_motor_that_is_armed_and_off_at_rest_has_no_finding() -> None:
    made = powered(coupling("power", 9, -100, 100, fades=[ARMED]), channels=[channel(9, failsafe=-100)])
    for code in ("motor-at-rest", "motor-lock", "motor-with-brake", "failsafe-motor", "phase-jump"):
        assert told(made, code) == []


@pytest.mark.parametrize("kind", ["electric_motor", "engine_throttle"])
def test_at_rest_begins_just_above_off(kind: str) -> None:
    def made(rest: float) -> Setup:
        return setup(controls=[POWER], devices=[motor(kind=kind)], couplings=[coupling("power", 9, rest, 100)])

    assert told(made(-100), "motor-at-rest") == []
    assert told(made(-120), "motor-at-rest") == []
    finding = one(made(-99), "motor-at-rest")
    assert finding.severity == "warning"
    assert finding.where == "devices/motor"
    assert finding.text == "Motor runs at 0.5 % with all controls at rest."


def test_at_rest_knows_motors_that_are_off_at_the_other_end() -> None:
    def made(low: float, high: float) -> Setup:
        backwards = motor(off_pct=100, full_pct=-100)
        return setup(controls=[POWER], devices=[backwards], couplings=[coupling("power", 9, low, high)])

    assert told(made(100, -100), "motor-at-rest") == []
    assert told(made(-100, 100), "motor-at-rest") != []


def test_at_rest_is_about_motors_only() -> None:
    release = motor(kind="release")
    made = setup(controls=[POWER], devices=[release], couplings=[coupling("power", 9, 0, 100)])
    assert told(made, "motor-at-rest") == []


def test_at_rest_looks_at_what_the_limits_let_through() -> None:
    assert told(powered(coupling("power", 9, -100, 100), channels=[channel(9, low_us=1000)]), "motor-at-rest") == []
    held = powered(coupling("power", 9, -100, 100), channels=[channel(9, low_us=1050)])
    assert "runs at 5 %" in one(held, "motor-at-rest").text


def test_at_rest_looks_at_every_phase() -> None:
    def made(stance: float) -> Setup:
        return powered(
            coupling("power", 9, -100, 100),
            controls=(POWER, switch("mode", (-100, 100))),
            phases=[phase("cruise", "mode", -100), phase("launch", "mode", 100, {"9": stance})],
        )

    assert told(made(-100), "motor-at-rest") == []
    finding = one(made(-80), "motor-at-rest")
    assert finding.at == {"mode": 100.0}
    assert finding.text == "Motor runs at 10 % with all other controls at rest, in launch."


def test_a_fade_of_0_must_hold_off_every_coupling() -> None:
    button = {**POWER, "key": "button", "label": "Button"}

    def made(*fades: Data) -> Setup:
        return powered(
            coupling("power", 9, -100, 100, fades=[ARMED]),
            coupling("button", 9, -100, 20, fades=list(fades)),
            controls=(POWER, button, ARM),
        )

    assert told(made(ARMED), "motor-at-rest") == []
    finding = one(made(), "motor-at-rest")
    assert finding.at == {"button": 100.0, "arm": -100.0}
    assert finding.text == (
        "Motor can run at 60 % with arming switch off and button full forward, "
        "although its fade by arming switch is 0 there."
    )


def test_lock_is_a_switch_position_that_holds_off_whatever_the_rest_does() -> None:
    assert told(powered(coupling("power", 9, -100, 100, fades=[ARMED])), "motor-lock") == []
    finding = one(powered(coupling("power", 9, -100, 100)), "motor-lock")
    assert (finding.severity, finding.where) == ("caution", "devices/motor")
    half = fade("arm", 10, 100)
    assert told(powered(coupling("power", 9, -100, 100, fades=[half])), "motor-lock") != []
    knob = {**ARM, "kind": "knob", "positions": None}
    loose = powered(coupling("power", 9, -100, 100, fades=[ARMED]), controls=(POWER, knob))
    assert told(loose, "motor-lock") != []


def test_lock_may_be_a_phase() -> None:
    def made(landing: float) -> Setup:
        return powered(
            coupling("power", 9, -100, 100),
            coupling("power", 9, -100, landing, phase="landing"),
            controls=(POWER, switch("mode", (-100, 100))),
            phases=[phase("cruise", "mode", -100), phase("landing", "mode", 100)],
        )

    assert told(made(-100), "motor-lock") == []
    assert told(made(-90), "motor-lock") != []


def test_lock_must_hold_in_every_phase() -> None:
    def made(*fades: Data) -> Setup:
        return powered(
            coupling("power", 9, -100, 100, fades=[ARMED]),
            coupling("power", 9, -100, 50, phase="launch", fades=list(fades)),
            controls=(POWER, ARM, switch("mode", (-100, 100))),
            phases=[phase("cruise", "mode", -100), phase("launch", "mode", 100)],
        )

    assert told(made(ARMED), "motor-lock") == []
    assert told(made(), "motor-lock") != []


def test_a_motor_that_never_runs_needs_no_lock() -> None:
    assert told(powered(), "motor-lock") == []


def one_lever(motor_from: float, brake_to: float, **surfaces: Any) -> Setup:
    """One lever: brake from its back end up to `brake_to`, motor from `motor_from` forward."""
    both = lever(uses=[{"purpose": "brake", "full": -100}, {"purpose": "power", "full": 100}], rest=0)
    return setup(
        controls=[both, stick("roll")],
        surfaces=[surface(**surfaces)],
        devices=[motor()],
        couplings=[
            {"control": "lever", "channel": 1, "stations": [[-100, 90], [brake_to, 0]]},
            {"control": "lever", "channel": 9, "stations": [[motor_from, -100], [100, 100]]},
            coupling("roll", 1, -20, 20),
        ],
    )


def test_motor_and_brake_on_one_lever_may_meet_but_not_overlap() -> None:
    assert told(one_lever(50, 50), "motor-with-brake") == []
    assert told(one_lever(40, 0), "motor-with-brake") == []
    finding = one(one_lever(30, 50), "motor-with-brake")
    assert (finding.severity, finding.where) == ("warning", "devices/motor")
    assert 30 < finding.at["lever"] < 31
    frame, closed = Rig(one_lever(30, 50)).at(finding.at), Rig(one_lever(30, 50)).at({**finding.at, "lever": 100})
    assert frame.level_pct["motor"] > 0
    assert frame.throw_mm["flap"] - closed.throw_mm["flap"] > 3
    assert "flap is still" in finding.text
    assert "with it full forward" in finding.text


def test_motor_and_brake_overlap_too_little_to_move_half_a_millimetre() -> None:
    # 90 % over 150 % of the lever, 0.3 degrees for 1 %, chord 50 mm: 0.157 mm for 1 % of the lever.
    assert told(one_lever(47, 50), "motor-with-brake") == []
    assert told(one_lever(46, 50), "motor-with-brake") != []


def test_a_motor_that_starts_between_stations_is_found_where_it_starts() -> None:
    """The response passes off half-way: the motor starts there, not at the station."""
    both = lever(uses=[{"purpose": "brake", "full": -100}], rest=0)

    def made(brake_to: float) -> Setup:
        return setup(
            controls=[both], surfaces=[surface()], devices=[motor()],
            couplings=[
                {"control": "lever", "channel": 1, "stations": [[-100, 90], [brake_to, 0]]},
                {"control": "lever", "channel": 9, "stations": [[-100, -300], [100, 100]]},
            ],
        )  # fmt: skip

    assert told(made(2), "motor-with-brake") == []
    assert 0 < one(made(12), "motor-with-brake").at["lever"] < 0.1


def test_what_holds_the_nose_may_move_with_the_motor() -> None:
    assert told(one_lever(30, 50, role="elevator"), "motor-with-brake") == []
    assert told(one_lever(30, 50, role="spoiler"), "motor-with-brake") != []


def test_motor_and_brake_on_two_levers_are_the_pilots_business() -> None:
    made = setup(
        controls=[lever(), POWER], surfaces=[surface()], devices=[motor()],
        couplings=[coupling("lever", 1, 90, 0), coupling("power", 9, -100, 100)],
    )  # fmt: skip
    assert told(made, "motor-with-brake") == []


def test_motor_with_brake_counts_only_where_the_motor_can_run() -> None:
    """In landing the lever's motor is off throughout, so the brake may use all of it there."""
    both = lever(uses=[{"purpose": "brake", "full": -100}, {"purpose": "power", "full": 100}], rest=0)

    def made(landing: float) -> Setup:
        return setup(
            controls=[both, switch("mode", (-100, 100))],
            surfaces=[surface()],
            devices=[motor()],
            phases=[phase("cruise", "mode", -100), phase("landing", "mode", 100)],
            couplings=[
                coupling("lever", 1, 90, 0, 0),
                coupling("lever", 9, -100, -100, 100),
                coupling("lever", 1, 90, 0, phase="landing"),
                coupling("lever", 9, -100, -100, landing, phase="landing"),
            ],
        )

    assert told(made(-100), "motor-with-brake") == []
    assert one(made(100), "motor-with-brake").at["mode"] == 100.0


SAFE = [
    ("electric_motor", -100, None),
    ("electric_motor", -110, None),
    ("electric_motor", "signal_off", "caution"),
    ("electric_motor", None, "warning"),
    ("electric_motor", "last_position", "warning"),
    ("electric_motor", -99, "warning"),
    ("engine_throttle", -100, None),
    ("engine_throttle", "signal_off", "warning"),
    ("engine_throttle", None, "warning"),
    ("engine_throttle", "last_position", "warning"),
    ("engine_throttle", 0, "warning"),
    ("release", None, None),
]


@pytest.mark.parametrize(("kind", "failsafe", "severity"), SAFE)
def test_failsafe_of_a_motor(kind: str, failsafe: Any, severity: str | None) -> None:
    made = setup(
        controls=[POWER], channels=[channel(9, failsafe=failsafe)], devices=[motor(kind=kind)],
        couplings=[coupling("power", 9, -100, 100)],
    )  # fmt: skip
    found = told(made, "failsafe-motor")
    assert [finding.severity for finding in found] == ([severity] if severity else [])
    assert all(finding.where == "devices/motor" for finding in found)


def test_failsafe_is_reversed_and_held_like_any_travel() -> None:
    def made(**fields: Any) -> Setup:
        return setup(
            controls=[POWER], channels=[channel(9, failsafe=-100, **fields)], devices=[motor()],
            couplings=[coupling("power", 9, -100, 100)],
        )  # fmt: skip

    assert told(made(reversed=True), "failsafe-motor") == []
    assert "runs at 10 % when the signal is lost" in one(made(low_us=1100), "failsafe-motor").text


def test_failsafe_unset_is_told_of_what_moves_and_not_again_of_motors() -> None:
    def made(**fields: Any) -> Setup:
        return setup(controls=[POWER], **{"devices": [motor()], **fields})

    unset = [channel(1, failsafe=None), channel(9, failsafe=None)]
    assert told(made(channels=unset), "failsafe-unset") == []
    finding = one(made(channels=unset, surfaces=[surface()]), "failsafe-unset")
    assert (finding.severity, finding.where) == ("caution", "channels/1")
    assert told(made(channels=[channel(1), unset[1]], surfaces=[surface()]), "failsafe-unset") == []
    assert one(made(channels=unset, devices=[motor(kind="release")]), "failsafe-unset").where == "channels/9"


@pytest.mark.parametrize("way", [1, -1])
def test_an_overlap_that_lies_only_beside_a_station_is_found(way: int) -> None:
    """At the station itself the motor is just off, a tenth of a per cent further the flap is in: they meet between."""
    made = setup(
        controls=[lever(uses=[{"purpose": "brake", "full": -100 * way}], rest=0)],
        surfaces=[surface()],
        devices=[motor()],
        couplings=[
            {"control": "lever", "channel": 1, "stations": sorted([[0, 4], [0.1 * way, 0]])},
            {"control": "lever", "channel": 9, "stations": sorted([[0, -100], [100 * way, 100]])},
        ],
    )
    assert 0 < one(made, "motor-with-brake").at["lever"] * way < 0.05


def test_a_motor_that_stops_between_stations_is_found_where_it_still_runs() -> None:
    """A brake that works forward, with a motor that the same lever runs back from the middle."""
    made = setup(
        controls=[lever(uses=[{"purpose": "brake", "full": 100}], rest=0)],
        surfaces=[surface()],
        devices=[motor()],
        couplings=[
            {"control": "lever", "channel": 1, "stations": [[-12, 0], [100, 90]]},
            {"control": "lever", "channel": 9, "stations": [[-100, 100], [100, -300]]},
        ],
    )
    assert -0.1 < one(made, "motor-with-brake").at["lever"] < 0


KNOB = {"key": "mix", "label": "Knob", "kind": "knob", "plus": "clockwise", "rest": -100}
THREE = switch("mix", (-100, 0, 100))


def meeting(takes: Data, brake: tuple[float, ...], runs: tuple[float, ...]) -> Setup:
    """A lever with brake and motor on one side, each faded by one more control."""
    return setup(
        controls=[lever(uses=[{"purpose": "brake", "full": -100}], rest=0), takes],
        surfaces=[surface()],
        devices=[motor()],
        couplings=[
            coupling("lever", 1, 90, 0, 0, fades=[fade("mix", *brake)]),
            coupling("lever", 9, 100, -100, -100, fades=[fade("mix", *runs)]),
        ],
    )


@pytest.mark.parametrize("takes", [THREE, KNOB])
def test_motor_and_brake_meet_where_a_third_control_lets_through_a_part_of_both(takes: Data) -> None:
    """At its ends it lets only one of them through; in its middle the lever has half of the brake and the motor."""
    made = meeting(takes, (100, 50, 0), (0, 50, 100))
    found = one(made, "motor-with-brake")
    frame = Rig(made).at(found.at)
    assert frame.level_pct["motor"] > 0
    assert frame.throw_mm["flap"] > 10
    assert told(meeting(takes, (100, 0, 0), (0, 0, 100)), "motor-with-brake") == []


@pytest.mark.parametrize("rest", [-100, 0, 100])
def test_motor_and_brake_do_not_meet_where_a_third_control_lets_through_one_of_them(rest: float) -> None:
    """Wherever it rests: that the motor runs there says nothing of the brake elsewhere."""
    made = meeting({**THREE, "rest": rest}, (100, 0, 0), (0, 0, 100))
    assert told(made, "motor-with-brake") == []
