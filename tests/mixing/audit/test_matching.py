"""phase-jump, uneven, off-neutral, out-of-balance, too-few-channels: each, and its nearest neighbour without."""

from typing import Any

import numpy as np
import pytest

from mixing import Rig, Setup

from ..building import (
    channel,
    coupling,
    fade,
    left_and_right,
    lever,
    motor,
    phase,
    setup,
    stick,
    surface,
    switch,
)
from .told import one, told

Data = dict[str, Any]
MODE = switch("mode", (-100, 0, 100))


def in_phases(first: float, second: float, *couplings: Data, **fields: Any) -> Setup:
    return setup(
        controls=[MODE, lever(), stick("roll", "roll")],
        surfaces=[surface()],
        phases=[phase("cruise", "mode", -100, {"1": first}), phase("landing", "mode", 100, {"1": second}, **fields)],
        couplings=list(couplings),
    )


def test_phase_jump_is_more_than_15_degrees() -> None:
    assert told(in_phases(0, 50), "phase-jump") == []
    finding = one(in_phases(0, 51), "phase-jump")
    assert (finding.severity, finding.where) == ("caution", "surfaces/flap")
    assert finding.text == "Flap moves by 15.3° down at once when the phase changes from cruise to landing."
    assert finding.at == {"mode": 100.0}
    assert "in 1.5 s when" in one(in_phases(0, 51, transition_s=1.5), "phase-jump").text


@pytest.mark.parametrize(("before", "after"), [(-30, 30), (30, -30), (-60, -5), (5, 60), (-5, -60), (60, 5)])
def test_phase_jump_counts_from_where_the_surface_was(before: float, after: float) -> None:
    finding = one(in_phases(before, after), "phase-jump")
    assert finding.text.startswith(f"Flap moves by {0.3 * abs(after - before):.3g}° ")


def test_phase_jump_holds_the_controls_anywhere() -> None:
    """With the lever home nothing jumps; with the brake out the flaps come up when landing is left."""
    only = coupling("lever", 1, 80, 0, phase="landing")
    finding = one(in_phases(0, 0, only), "phase-jump")
    assert finding.at == {"lever": -100.0, "mode": 100.0}
    assert "with lever full back" in finding.text
    assert told(in_phases(0, 0, coupling("lever", 1, 80, 0)), "phase-jump") == []
    assert (
        told(in_phases(0, 0, coupling("lever", 1, 80, 0, phase="landing"), coupling("lever", 1, 31, 0)), "phase-jump")
        == []
    )


def test_phase_jump_is_seen_after_the_limits() -> None:
    """Both stances lie beyond the limit, so the surface stands still."""
    made = in_phases(130, 190).changed(channels=[channel(1, high_us=1900)])
    assert told(made, "phase-jump") == []


def starting(launch: float, *, cruise: float = -100.0) -> Setup:
    power = lever("power", "power", uses=[{"purpose": "power", "full": 100}], rest=-100)
    return setup(
        controls=[MODE, power],
        devices=[motor()],
        phases=[phase("cruise", "mode", -100), phase("launch", "mode", 100)],
        couplings=[
            coupling("power", 9, -100, cruise),
            coupling("power", 9, -100, launch, phase="launch"),
        ],
    )


def test_phase_jump_is_also_a_motor_that_starts() -> None:
    assert told(starting(-100), "phase-jump") == []
    finding = one(starting(100), "phase-jump")
    assert finding.where == "devices/motor"
    assert finding.at == {"power": 100.0, "mode": 100.0}
    assert finding.text == (
        "Motor starts, at 100 %, when the phase changes from cruise to launch, with lever full forward."
    )


def test_a_motor_that_runs_already_does_not_start() -> None:
    assert told(starting(100, cruise=10), "phase-jump") == []


def test_a_motor_that_starts_earlier_in_another_phase_starts_by_the_switch() -> None:
    late, early = [[50.0, -100.0], [100.0, 100.0]], [[20.0, -100.0], [100.0, 100.0]]
    power = lever("power", None, rest=-100)

    def made(launch: list[list[float]]) -> Setup:
        return setup(
            controls=[MODE, power],
            devices=[motor()],
            phases=[phase("cruise", "mode", -100), phase("launch", "mode", 100)],
            couplings=[
                {"control": "power", "channel": 9, "stations": late},
                {"control": "power", "channel": 9, "stations": launch, "phase": "launch"},
            ],
        )

    assert told(made(late), "phase-jump") == []
    finding = one(made(early), "phase-jump")
    assert finding.at == {"power": 50.0, "mode": 100.0}


# Control's purpose, left and right response at ±100 that match.
MATCHING = [
    ("roll", "aileron", (50, -30), (-30, 50)),
    ("pitch", "elevon", (50, -30), (50, -30)),
    ("brake", "flap", (80, 0), (80, 0)),
    ("yaw", "ruddervator", (20, -40), (-40, 20)),
    ("other", "flap", (10, 30), (10, 30)),
]


def pair(purpose: str, role: str, left: tuple[float, ...], right: tuple[float, ...], **fields: Any) -> Setup:
    return setup(
        controls=[stick("control", purpose)],
        surfaces=left_and_right(role, 1, 2),
        couplings=[coupling("control", 1, *left), coupling("control", 2, *right)],
        **fields,
    )


@pytest.mark.parametrize(("purpose", "role", "left", "right"), MATCHING)
def test_uneven_knows_which_controls_a_mirror_turns_round(
    purpose: str, role: str, left: tuple[float, ...], right: tuple[float, ...]
) -> None:
    assert told(pair(purpose, role, left, right), "uneven") == []
    finding = one(pair(purpose, role, left, right[::-1]), "uneven")
    assert (finding.severity, finding.where) == ("caution", f"surfaces/right_{role}")


def test_uneven_is_more_than_a_millimetre() -> None:
    # 0.3 degrees for 1 %, chord 50 mm: 50 % are 13.05 mm, 53.8 % 14.04 mm, 53.9 % 14.06 mm.
    assert told(pair("roll", "aileron", (-50, 50), (53.8, -50)), "uneven") == []
    finding = one(pair("roll", "aileron", (-50, 50), (53.9, -50)), "uneven")
    assert finding.at == {"control": -100.0}
    assert finding.text == (
        "Right aileron is 14.1 mm down with control stick full left, "
        "but left aileron is 13.1 mm down in the mirrored position: 1 mm apart."
    )


def test_a_pair_of_rudders_swings_to_one_side_together() -> None:
    assert told(pair("yaw", "rudder", (50, -50), (50, -50)), "uneven") == []
    # One swings out further than the other swings in: the same on both sides.
    assert told(pair("yaw", "rudder", (30, -50), (50, -30)), "uneven") == []
    assert told(pair("yaw", "rudder", (50, -50), (30, -30)), "uneven") != []


def test_uneven_is_about_the_surfaces_and_not_their_channels() -> None:
    mirrored = [channel(1), channel(2, reversed=True)]
    pulls = {"kind": "unmeasured", "deg_per_1000_us": 60, "longer_pulse": "raises"}
    made = pair("brake", "flap", (80, 0), (80, 0), channels=mirrored)
    assert told(made, "uneven") != []
    left, right = made.surfaces
    assert told(made.changed(surfaces=[left, {**right.model_dump(), "linkage": pulls}]), "uneven") == []


def test_uneven_needs_both_of_a_pair() -> None:
    made = pair("roll", "aileron", (-50, 50), (-50, 50))
    loose = [{**one.model_dump(), "pair": None} for one in made.surfaces]
    assert told(made, "uneven") != []
    assert told(made.changed(surfaces=loose), "uneven") == []


def test_uneven_is_found_where_another_control_makes_it() -> None:
    def made(*fades: Data) -> Setup:
        return setup(
            controls=[stick("roll", "roll"), lever()],
            surfaces=left_and_right("aileron", 1, 2),
            couplings=[
                coupling("roll", 1, -50, 50, fades=[fade("lever", 40, 100)]),
                coupling("roll", 2, 50, -50, fades=list(fades)),
            ],
        )

    assert told(made(fade("lever", 40, 100)), "uneven") == []
    assert one(made(), "uneven").at["lever"] == -100.0


def test_uneven_is_found_where_two_linkages_part() -> None:
    """The same responses, but the ruler read something else on the right, in the middle of the way only."""

    def made(middle: float) -> Setup:
        straight = {"kind": "measured", "points": [[1000, -20], [1500, 0], [2000, 20]]}
        bent = {"kind": "measured", "points": [[1000, -20], [1250, -middle], [1500, 0], [2000, 20]]}
        left, right = left_and_right("flap", 1, 2)
        return setup(
            controls=[stick("camber")],
            surfaces=[{**left, "linkage": straight}, {**right, "linkage": bent}],
            couplings=[coupling("camber", 1, -100, 100), coupling("camber", 2, -100, 100)],
        )

    assert told(made(10.9), "uneven") == []
    assert one(made(11.1), "uneven").at == {"camber": -50.0}


def test_uneven_is_found_where_a_bent_linkage_is_furthest_from_a_straight_one() -> None:
    """Both meet at the ends of the lever; between them lies a hill, of which no station marks the top."""
    left, right = left_and_right("flap", 1, 2, chord_mm=80)
    arm = {"kind": "four_bar", "arm_mm": 18, "horn_mm": 12, "pivot_mm": [60, 0], "arm_neutral_deg": 45}

    def made(straight: Data) -> Setup:
        return setup(
            controls=[stick("camber")],
            surfaces=[{**left, "linkage": arm}, {**right, "linkage": straight}],
            couplings=[coupling("camber", 1, -60, 110), coupling("camber", 2, -60, 110)],
        )

    ends = Rig(made(right["linkage"])).at({"camber": [-100, 100]}).throw_mm["left_flap"].round(1).tolist()
    hilly = made({"kind": "measured", "points": [[1200, ends[0]], [2050, ends[1]]]})

    def apart(positions: dict[str, Any]) -> Any:
        throws = Rig(hilly).at(positions).throw_mm
        return np.abs(throws["left_flap"] - throws["right_flap"])

    highest = float(np.max(apart({"camber": np.linspace(-100, 100, 2001)})))
    assert float(apart(dict(one(hilly, "uneven").at))) == pytest.approx(highest, abs=0.01)


def test_a_switch_that_has_no_mirror_is_left_alone() -> None:
    def made(positions: tuple[float, ...]) -> Setup:
        return setup(
            controls=[switch("rolling", positions, uses=[{"purpose": "roll", "full": 100}])],
            surfaces=left_and_right("aileron", 1, 2),
            couplings=[coupling("rolling", 1, -50, 50), coupling("rolling", 2, -50, 50)],
        )

    assert told(made((0, 100)), "uneven") == []
    assert told(made((-100, 100)), "uneven") != []


def test_a_switch_that_has_no_mirror_and_moves_one_side_only_is_told() -> None:
    made = setup(
        controls=[switch("rolling", (0, 100), uses=[{"purpose": "roll", "full": 100}])],
        surfaces=left_and_right("aileron", 1, 2),
        couplings=[coupling("rolling", 2, 50, -50)],
    )
    # 0.3 degrees for 1 %, on a chord of 50 mm: 50 % is 13.1 mm.
    assert one(made, "uneven").text == (
        "Right aileron is 13.1 mm up with rolling up, but left aileron is neutral there: 13.1 mm apart."
    )


def test_a_switch_that_rolls_and_chooses_the_phase_is_the_same_for_both_sides() -> None:
    made = setup(
        controls=[stick(purpose="roll"), switch("mode", (-100, 100), uses=[{"purpose": "roll", "full": 100}])],
        surfaces=left_and_right("aileron", 1, 2),
        phases=[phase("cruise", "mode", -100), phase("landing", "mode", 100, {"1": 10, "2": 30})],
        couplings=[coupling("roll", 1, -50, 50), coupling("roll", 2, 50, -50)],
    )
    found = one(made, "uneven")
    assert found.at["mode"] == 100.0
    # With the stick in the middle: 30 % against 10 %, 7.9 mm against 2.6 mm.
    assert found.text.endswith("5.2 mm apart.")


def test_off_neutral_is_half_a_millimetre_at_rest_without_the_stance() -> None:
    def made(middle: float, stance: float = 0.0) -> Setup:
        return setup(
            controls=[stick(), MODE],
            surfaces=[surface()],
            phases=[phase("cruise", "mode", -100, {"1": stance})],
            couplings=[coupling("roll", 1, -50, middle, 50)],
        )

    # 0.3 degrees for 1 %, chord 50 mm: 1.9 % are 0.497 mm and 1.95 % are 0.510 mm.
    assert told(made(1.9), "off-neutral") == []
    assert told(made(0, 30), "off-neutral") == []
    finding = one(made(-1.95, 30), "off-neutral")
    assert (finding.severity, finding.where) == ("caution", "surfaces/flap")
    assert finding.text.startswith("Flap stands 0.5 mm up with all controls at rest")


def test_off_neutral_is_also_a_moved_centre() -> None:
    def made(**fields: Any) -> Setup:
        return setup(controls=[stick()], channels=[channel(1, **fields)], surfaces=[surface()])

    assert told(made(), "off-neutral") == []
    assert "2.6 mm down" in one(made(centre_us=1550), "off-neutral").text


def test_off_neutral_counts_what_the_phase_switch_moves_itself_as_a_stance() -> None:
    made = setup(
        controls=[{**MODE, "rest": 0}],
        surfaces=[surface()],
        phases=[phase("cruise", "mode", 0), phase("thermal", "mode", 100)],
        couplings=[coupling("mode", 1, 0, 0, 20)],
    )
    assert told(made, "off-neutral") == []
    assert told(made.changed(couplings=[coupling("mode", 1, 0, 10, 20)]), "off-neutral") != []


@pytest.mark.parametrize(
    ("cg", "told_as"), [(90, ""), (100, ""), (89, "1 mm too far forward"), (100.5, "0.5 mm too far back")]
)
def test_out_of_balance(cg: float, told_as: str) -> None:
    made = setup(controls=[stick()])
    load = {**made.balance.loads[0].model_dump(), "cg_mm": cg}
    moved = made.changed(balance={**made.balance.model_dump(), "loads": [load]})
    found = told(moved, "out-of-balance")
    assert [finding.where for finding in found] == (["balance/loads/battery"] if told_as else [])
    assert all(told_as in finding.text and finding.severity == "caution" for finding in found)


def test_too_few_channels_is_told_where_the_receiver_is_known() -> None:
    made = setup(controls=[stick()], surfaces=[surface(number=7)])
    assert told(made, "too-few-channels") == []
    assert told(made, "too-few-channels", 7) == []
    finding = one(made, "too-few-channels", 6)
    assert (finding.severity, finding.where) == ("warning", "channels/7")
    assert finding.text == "Channel 7 (flap) does not exist on this receiver, which has 6 channels."


def test_out_of_balance_names_the_datum_where_there_is_one() -> None:
    def loaded(datum: str) -> str:
        load = {"key": "battery", "label": "Battery", "mass_g": 1500, "cg_mm": 104}
        balance = {"cg_datum": datum, "cg_low_mm": 90, "cg_high_mm": 100, "loads": [load]}
        return one(setup(controls=[lever()], surfaces=[surface()]).changed(balance=balance), "out-of-balance").text

    where = "With battery the model balances 104 mm"
    rest = ", 4 mm too far back: the allowed range is 90 to 100 mm."
    assert loaded("Wing root leading edge") == f"{where} behind wing root leading edge{rest}"
    assert loaded(" ") == f"{where}{rest}"


@pytest.mark.parametrize(("cg", "way"), [(100.03, "back"), (89.98, "forward")])
def test_out_of_balance_by_a_hair_is_not_told_as_nothing(cg: float, way: str) -> None:
    made = setup(controls=[stick()])
    load = {**made.balance.loads[0].model_dump(), "cg_mm": cg}
    moved = made.changed(balance={**made.balance.model_dump(), "loads": [load]})
    assert f"less than 0.1 mm too far {way}" in one(moved, "out-of-balance").text


def test_phase_jump_takes_as_long_as_the_phase_that_comes() -> None:
    """The middle of the switch has no phase of its own: there the first one holds, with its transition."""
    made = setup(
        controls=[MODE],
        surfaces=[surface()],
        phases=[
            phase("cruise", "mode", -100, transition_s=2),
            phase("landing", "mode", 100, {"1": 60}, transition_s=1),
        ],
        couplings=[coupling("mode", 1, 0, -5, 0)],
    )
    assert "in 1 s when the phase changes from cruise (mode in the middle) to landing" in one(made, "phase-jump").text
    other = setup(
        controls=[MODE],
        surfaces=[surface()],
        phases=[phase("cruise", "mode", -100, transition_s=2)],
        couplings=[coupling("mode", 1, 0, 70, 0)],
    )
    assert "moves by 21° down at once when" in one(other, "phase-jump").text


def test_phase_jump_is_found_behind_a_change_that_only_seems_wider() -> None:
    """Cruise and thermal go far with the stick, but go together; landing stands still elsewhere."""
    made = setup(
        controls=[MODE, stick()],
        surfaces=[surface()],
        phases=[
            phase("cruise", "mode", -100),
            phase("thermal", "mode", 0, {"1": 1}),
            phase("landing", "mode", 100, {"1": 55}),
        ],
        couplings=[coupling("roll", 1, -60, 60), coupling("roll", 1, 0, 0, phase="landing")],
    )
    found = one(made, "phase-jump")
    assert "from cruise to landing" in found.text
    assert found.at["roll"] == -100.0
