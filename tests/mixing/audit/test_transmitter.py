"""jump, curve-points, rounding, uncompensated-brake: each, and its nearest neighbour that has none."""

from typing import Any

import pytest

from mixing import Setup
from mixing.findings.responses import rounded_setup

from ..building import coupling, fade, lever, phase, setup, stick, surface, switch
from .told import one, told

Data = dict[str, Any]


def line(*stations: tuple[float, float], control: str = "roll", number: int = 1, **fields: Any) -> Data:
    return {"control": control, "channel": number, "stations": [list(station) for station in stations], **fields}


def flap(*couplings: Data, **parts: Any) -> Setup:
    return setup(**{"controls": [stick(), lever()], "surfaces": [surface()], "couplings": list(couplings), **parts})


def test_jump_is_steeper_than_10_for_1() -> None:
    assert told(flap(line((0, 0), (5, 50))), "jump") == []
    finding = one(flap(line((0, 0), (4.9, 50))), "jump")
    assert (finding.severity, finding.where) == ("caution", "couplings/roll/1/*")
    assert finding.text == (
        "The response of flap to roll stick jumps by 50 % of travel between 0 % and 4.9 %: "
        "10.2 % for 1 % of the control."
    )


def test_jump_downwards_and_behind_an_expo_counts_too() -> None:
    assert told(flap(line((0, 50), (4.9, 0))), "jump") != []
    end = line((90, 0), (100, 90))
    assert told(flap(end), "jump") == []
    assert told(flap({**end, "expo_pct": 50}), "jump") != []


def test_a_jump_is_told_with_its_own_step_and_behind_a_switch() -> None:
    """The steepest of three pieces; the switch comes first among the couplings and is no matter."""
    made = setup(
        controls=[switch("arm", (0, 1)), stick()],
        surfaces=[surface()],
        couplings=[line((0, 0), (1, 50), control="arm"), line((-100, 0), (0, 2), (2, 42), (100, 50))],
    )
    assert "jumps by 40 % of travel between 0 % and 2 %: 20 %" in one(made, "jump").text


def test_a_fine_step_is_told_in_full() -> None:
    made = stepped(0.25, line((-100, 0), (100, 61.9)), line((-100, 0), (100, 0.1), control="lever"))
    assert told(made, "rounding") == []
    coarse = flap(line((-100, 0), (100, 63.1)), signal={"step_pct": 6.75})
    assert one(coarse, "rounding").text.startswith("Entered in steps of 6.75 %, ")


def test_places_next_to_each_other_are_told_apart() -> None:
    """A step is written as two stations: that both were at 50 % would be no help."""
    step = one(flap(line((-100, 0), (49.99, 0), (50, 40))), "jump").text
    assert "jumps by 40 % of travel between 49.99 % and 50 %:" in step
    assert (
        "jumps by less than 0.1 % of travel between 0 % and 0.001 %:"
        in one(flap(line((0, 0), (0.001, 0.02))), "jump").text
    )
    assert "bends at 49.99 %, where" in one(flap(line((-100, 0), (49.99, 0), (100, 40))), "curve-points").text
    brake = flap(line((-100, 50), (-99.99, 0), control="lever"))
    assert "brakes from −100 to −99.99 %" in one(brake, "uncompensated-brake").text


def test_a_switch_may_jump() -> None:
    made = setup(
        controls=[switch("step", (0, 1))], surfaces=[surface()], couplings=[line((0, 0), (1, 50), control="step")]
    )
    assert told(made, "jump") == []


FIVE = [(-100, 0), (-50, 20), (0, 10), (50, 30), (100, -20)]


def test_curve_points_counts_the_bends() -> None:
    assert told(flap(line(*FIVE)), "curve-points") == []
    free = {"signal": {"curve_points": 5, "curve_free_x": True}}
    finding = one(flap(line(*sorted([*FIVE, (75, 0)])), **free), "curve-points")
    assert (finding.severity, finding.where) == ("note", "couplings/roll/1/*")
    assert "needs 6 stations; the transmitter's curve has 5" in finding.text


def test_curve_points_off_the_fixed_grid() -> None:
    late = line((-100, 0), (-30, 0), (100, 50))
    assert "bends at −30 %" in one(flap(late), "curve-points").text
    assert told(flap(late, signal={"curve_free_x": True}), "curve-points") == []
    assert told(flap(line((-100, 0), (-50, 0), (100, 50))), "curve-points") == []


def test_a_station_on_a_straight_line_needs_no_entry() -> None:
    assert told(flap(line((-100, -50), (-30, -15), (100, 50))), "curve-points") == []


def test_a_response_that_ends_early_bends_there() -> None:
    assert "bends at 80 %" in one(flap(line((-100, 0), (80, 50))), "curve-points").text
    assert told(flap(line((-100, 0), (50, 50))), "curve-points") == []


def test_the_positions_of_a_switch_are_no_curve() -> None:
    made = setup(
        controls=[switch("step", (-100, -30, 100))],
        surfaces=[surface()],
        couplings=[line((-100, 0), (-30, 50), (100, 20), control="step")],
    )
    assert told(made, "curve-points") == []


def stepped(step: float, *couplings: Data, **parts: Any) -> Setup:
    return flap(*couplings, signal={"step_pct": step}, **parts)


def test_rounding_is_half_a_millimetre() -> None:
    # 0.3 degrees for 1 %, chord 50 mm: 2 % are 0.52 mm at 60 %, 1.9 % are 0.49 mm.
    assert told(stepped(5, line((-100, 0), (100, 61.9))), "rounding") == []
    finding = one(stepped(5, line((-100, 0), (100, 62))), "rounding")
    assert (finding.severity, finding.where) == ("note", "surfaces/flap")
    assert finding.at == {"roll": 100.0}
    assert finding.text == "Entered in steps of 5 %, flap is 0.52 mm off with roll stick full right."


def test_rounding_goes_away_from_zero() -> None:
    made = stepped(5, line((-100, -62.5), (100, 62.5)))
    rounded = rounded_setup(made)
    assert rounded is not None
    assert rounded.couplings[0].stations == ((-100.0, -65.0), (100.0, 65.0))
    assert len(told(made, "rounding")) == 1


def test_nothing_to_round_is_no_other_setup() -> None:
    assert rounded_setup(stepped(5, line((-100, -65), (100, 65)))) is None


def test_a_response_that_rounds_to_nothing_is_compared_over_however_many_stations() -> None:
    """Of three controls with 41 stations each not every combination is looked at; what is left of it is constant."""
    fine = coupling("roll", 1, *(0.4 * (-1) ** n for n in range(41)))
    fine["fades"] = [fade(key, *(100.0 - 20.0 * (n % 2) for n in range(41))) for key in ("lever", "knob")]
    board = surface(chord_mm=500, linkage={"kind": "unmeasured", "deg_per_1000_us": 300})
    made = stepped(1, fine, controls=[stick(), lever(), stick("knob")], surfaces=[board])
    finding = one(made, "rounding")
    # 0.4 % is 2 µs, and these turn half a metre by 0.6°.
    assert "5.24 mm" in finding.text


def test_rounding_of_fades_and_stances() -> None:
    faded = line((-100, -100), (100, 100), fades=[fade("lever", 43, 100)])
    assert one(stepped(10, faded), "rounding").at["lever"] == -100.0
    assert told(stepped(1, faded), "rounding") == []
    parts: Data = {
        "controls": [stick(), switch("mode", (-100, 100))],
        "phases": [phase("cruise", "mode", -100), phase("thermal", "mode", 100, {"1": 13})],
    }
    assert one(stepped(5, line((-100, -100), (100, 100)), **parts), "rounding").at["mode"] == 100.0
    assert told(stepped(1, line((-100, -100), (100, 100)), **parts), "rounding") == []


def test_rounding_of_the_expo_shows_between_the_ends() -> None:
    made = stepped(10, line((-100, -120), (100, 120), expo_pct=34.9))
    assert 40 < abs(one(made, "rounding").at["roll"]) < 80


def braked(elevator: Data | None, **parts: Any) -> Setup:
    return setup(
        **{
            "controls": [lever(), stick("pitch", "pitch")],
            "surfaces": [surface(), surface("elevator", 2, role="elevator")],
            "couplings": [
                line((-100, 90), (100, 0), control="lever"),
                coupling("pitch", 2, 50, -50),
                *([elevator] if elevator else []),
            ],
            **parts,
        }
    )


def test_uncompensated_brake_is_the_range_that_nothing_follows() -> None:
    assert told(braked(line((-100, 10), (100, 0), control="lever", number=2)), "uncompensated-brake") == []
    finding = one(braked(line((-100, 10), (0, 0), control="lever", number=2)), "uncompensated-brake")
    assert (finding.severity, finding.where) == ("note", "controls/lever")
    assert "brakes from 0 to 100 %, and no pitch surface follows" in finding.text
    assert "from −100 to 100 %" in one(braked(None), "uncompensated-brake").text


def test_uncompensated_brake_begins_where_the_brake_does() -> None:
    late = [line((-100, 90), (0, 0), control="lever"), line((-100, 10), (0, 0), control="lever", number=2)]
    assert told(braked(None, couplings=late), "uncompensated-brake") == []


def test_a_pitch_response_that_is_faded_out_everywhere_follows_nothing() -> None:
    follower = line((-100, 10), (100, 0), control="lever", number=2)
    assert told(braked({**follower, "fades": [fade("pitch", 0, 100)]}), "uncompensated-brake") == []
    assert told(braked({**follower, "fades": [fade("pitch", 0, 0)]}), "uncompensated-brake") != []


def test_uncompensated_brake_in_one_phase_names_it() -> None:
    follower = line((-100, 10), (100, 0), control="lever", number=2)
    parts: Data = {
        "controls": [lever(), stick("pitch", "pitch"), switch("mode", (-100, 100))],
        "phases": [phase("cruise", "mode", -100), phase("landing", "mode", 100)],
    }
    flat = line((-100, 0), (100, 0), control="lever", number=2, phase="landing")
    whole = braked(follower, **parts)
    assert told(whole, "uncompensated-brake") == []
    finding = one(whole.changed(couplings=[*whole.couplings, flat]), "uncompensated-brake")
    assert "in landing" in finding.text
    assert finding.at["mode"] == 100.0


@pytest.mark.parametrize("role", ["elevator", "other", "elevon"])
def test_what_is_no_brake_needs_nothing(role: str) -> None:
    made = setup(
        controls=[lever()], surfaces=[surface(role=role)], couplings=[line((-100, 90), (100, 0), control="lever")]
    )
    assert told(made, "uncompensated-brake") == []
