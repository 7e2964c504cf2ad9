"""wrong-way and shared-channel: each fault, and its nearest neighbour that has none."""

from typing import Any

import pytest

from mixing import Setup

from ..building import channel, coupling, fade, left_and_right, lever, phase, setup, stick, surface, switch
from .told import one, told

Data = dict[str, Any]

# One surface, the control's purpose, and the way that it must go at full: +1 down (rudder left), −1 up (rudder right).
WAYS = [
    ("roll", "aileron", "right", -1),
    ("roll", "aileron", "left", 1),
    ("roll", "elevon", "right", -1),
    ("roll", "flaperon", "left", 1),
    ("roll", "flap", "right", -1),
    ("pitch", "elevator", "centre", -1),
    ("pitch", "elevon", "left", -1),
    ("pitch", "ruddervator", "left", -1),
    ("pitch", "ruddervator_inverted", "right", -1),
    ("pitch", "canard", "centre", 1),
    ("yaw", "rudder", "centre", -1),
    ("yaw", "rudder", "left", -1),
    ("yaw", "ruddervator", "left", -1),
    ("yaw", "ruddervator", "right", 1),
    ("yaw", "ruddervator_inverted", "left", 1),
    ("yaw", "ruddervator_inverted", "right", -1),
    ("brake", "flap", "centre", 1),
    ("brake", "spoiler", "left", -1),
    ("brake", "aileron", "right", -1),
    ("camber", "aileron", "right", 1),
    ("camber", "flap", "left", 1),
    ("camber", "flaperon", "left", 1),
]
FREE = [
    ("roll", "rudder", "centre"),
    ("roll", "aileron", "centre"),
    ("roll", "spoiler", "right"),
    ("pitch", "flap", "left"),
    ("pitch", "aileron", "left"),
    ("yaw", "aileron", "left"),
    ("brake", "elevator", "centre"),
    ("brake", "elevon", "left"),
    ("camber", "elevator", "centre"),
    ("power", "elevator", "centre"),
    ("other", "flap", "left"),
]


def moved(purpose: str, role: str, side: str, low: float, high: float) -> Setup:
    return setup(
        controls=[stick("control", purpose)],
        surfaces=[surface("thing", role=role, side=side)],
        couplings=[coupling("control", 1, low, 0, high)],
    )


@pytest.mark.parametrize(("purpose", "role", "side", "way"), WAYS)
def test_each_surface_has_its_way(purpose: str, role: str, side: str, way: int) -> None:
    assert told(moved(purpose, role, side, -50 * way, 50 * way), "wrong-way") == []
    finding = one(moved(purpose, role, side, 50 * way, -50 * way), "wrong-way")
    assert finding.where == "surfaces/thing"
    assert finding.severity == ("caution" if (purpose, role) == ("brake", "aileron") else "warning")


@pytest.mark.parametrize(("purpose", "role", "side"), FREE)
@pytest.mark.parametrize("way", [1, -1])
def test_other_surfaces_are_free(purpose: str, role: str, side: str, way: int) -> None:
    assert told(moved(purpose, role, side, -50 * way, 50 * way), "wrong-way") == []


def test_the_text_says_which_way_and_how_far() -> None:
    finding = one(moved("roll", "aileron", "right", -50, 0), "wrong-way")
    assert finding.text == "Thing goes 13.1 mm up, not down, when control stick goes full left."
    assert finding.at == {"control": -100.0}


def test_standing_still_and_half_a_millimetre_are_not_wrong() -> None:
    # 0.3 degrees for 1 %, chord 50 mm: 1.9 % are 0.497 mm and 1.95 % are 0.510 mm.
    assert told(moved("roll", "aileron", "right", 0, -60), "wrong-way") == []
    assert told(moved("roll", "aileron", "right", -1.9, -60), "wrong-way") == []
    assert one(moved("roll", "aileron", "right", -1.95, -60), "wrong-way").text.startswith("Thing goes 0.5 mm up")


def test_brake_and_camber_are_looked_at_from_their_full_end_only() -> None:
    both_down = moved("camber", "flap", "left", 30, 50)
    assert told(both_down, "wrong-way") == []
    assert told(moved("pitch", "elevator", "centre", -30, -50), "wrong-way") != []


def test_it_is_found_in_the_one_phase_that_has_it() -> None:
    def made(landing: float) -> Setup:
        return setup(
            controls=[stick("roll", "roll"), switch("mode", (-100, 0, 100))],
            surfaces=left_and_right("aileron", 1, 2),
            phases=[phase("cruise", "mode", -100), phase("landing", "mode", 100)],
            couplings=[
                coupling("roll", 1, -50, 50),
                coupling("roll", 2, 50, -50),
                coupling("roll", 2, landing, -landing, phase="landing"),
            ],
        )

    assert told(made(50), "wrong-way") == []
    finding = one(made(-50), "wrong-way")
    assert finding.where == "surfaces/right_aileron"
    assert finding.at["mode"] == 100.0
    assert "in landing" in finding.text


def test_what_its_limit_holds_stands_still_and_is_not_wrong() -> None:
    made = setup(
        controls=[stick("pitch", "pitch"), stick("trim", "other")],
        channels=[channel(1, low_us=1450)],
        surfaces=[surface("elevator", role="elevator")],
        couplings=[coupling("pitch", 1, 40, -40), coupling("trim", 1, -60, 20)],
    )
    assert told(made, "wrong-way") == []


def test_a_linkage_that_turns_back_is_wrong_only_beyond_its_turning_point() -> None:
    turning = {
        "kind": "four_bar", "arm_mm": 8, "horn_mm": 14, "pivot_mm": [90, 0], "arm_neutral_deg": 40,
        "servo_deg_per_1000_us": 120,
    }  # fmt: skip

    def made(knob: float) -> Setup:
        return setup(
            controls=[stick("camber", "camber"), stick("knob")],
            surfaces=[surface(linkage=turning)],
            couplings=[coupling("camber", 1, -30, 30), coupling("knob", 1, 0, 0, knob)],
        )

    assert told(made(0), "wrong-way") == []
    finding = one(made(80), "wrong-way")
    assert finding.at == {"camber": 100.0, "knob": 100.0}
    assert "with knob stick full right" in finding.text


def test_fades_hold_the_other_controls_where_it_is_worst() -> None:
    """Only at half lever is the wrong movement not faded out."""

    def made(middle: float) -> Setup:
        return setup(
            controls=[stick("roll", "roll"), lever()],
            surfaces=[surface("right_flap", role="flap", side="right")],
            couplings=[coupling("roll", 1, -40, 40, fades=[fade("lever", 0, middle, 0)])],
        )

    assert told(made(0), "wrong-way") == []
    assert one(made(50), "wrong-way").at == {"roll": 100.0, "lever": 0.0}


def test_taking_away_from_what_another_control_moves_is_not_wrong() -> None:
    """The brake shrinks roll, so that the aileron that is up comes down a little; the brake does not move it."""

    def made(braked: float) -> Setup:
        return setup(
            controls=[stick("roll", "roll"), lever()],
            surfaces=left_and_right("aileron", 1, 2),
            couplings=[
                coupling("roll", 1, -60, 60, fades=[fade("lever", 40, 100)]),
                coupling("roll", 2, 60, -60, fades=[fade("lever", 40, 100)]),
                coupling("lever", 1, braked, 0),
                coupling("lever", 2, braked, 0),
            ],
        )

    assert told(made(0), "wrong-way") == []
    assert told(made(-10), "wrong-way") == []
    assert {finding.severity for finding in told(made(10), "wrong-way")} == {"caution"}


def test_a_phase_switch_with_a_purpose_is_looked_at_too() -> None:
    def made(stance: float) -> Setup:
        mode = switch("mode", (-100, 0, 100), rest=0, uses=[{"purpose": "camber", "full": 100}])
        return setup(
            controls=[mode],
            surfaces=[surface()],
            phases=[phase("cruise", "mode", 0), phase("thermal", "mode", 100, {"1": stance})],
        )

    assert told(made(10), "wrong-way") == []
    finding = one(made(-10), "wrong-way")
    assert finding.text == "Flap goes 2.6 mm up, not down, when mode goes up."


def y_lead(purpose: str, role: str, *, mirrored: bool) -> Setup:
    right = {"kind": "unmeasured", "longer_pulse": "raises" if mirrored else "lowers"}
    return setup(
        controls=[stick("control", purpose)],
        surfaces=[
            surface(f"left_{role}", 1, role=role, side="left", pair=role),
            surface(f"right_{role}", 1, role=role, side="right", pair=role, linkage=right),
        ],
        couplings=[coupling("control", 1, -50, 0, 50)],
    )


@pytest.mark.parametrize(
    ("purpose", "role", "same"), [("roll", "aileron", False), ("brake", "flap", True), ("pitch", "elevon", True)]
)
def test_a_y_lead_can_do_one_of_two_things(purpose: str, role: str, same: bool) -> None:
    assert told(y_lead(purpose, role, mirrored=not same), "shared-channel") == []
    finding = one(y_lead(purpose, role, mirrored=same), "shared-channel")
    assert finding.where == "channels/1"
    assert finding.severity == "warning"
    assert purpose in finding.text
    assert f"can only move {'opposite ways' if same else 'the same way'}, " in finding.text


def test_a_y_lead_with_a_flat_response_needs_nothing() -> None:
    made = y_lead("roll", "aileron", mirrored=False)
    flat = made.changed(couplings=[coupling("control", 1, 20, 20)])
    assert told(made, "shared-channel") != []
    assert told(flat, "shared-channel") == []


def test_a_y_lead_on_one_side_is_no_matter() -> None:
    made = setup(
        controls=[stick("roll", "roll")],
        surfaces=[surface("flap", 1, side="left"), surface("aileron", 1, role="aileron", side="left")],
        couplings=[coupling("roll", 1, -50, 0, 50)],
    )
    assert told(made, "shared-channel") == []
