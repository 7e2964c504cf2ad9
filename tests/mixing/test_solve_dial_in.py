"""The dial-in list: what a pilot enters, in the transmitter's own conventions, and what it gives."""

from dataclasses import FrozenInstanceError, replace
from typing import Any

import numpy as np
import pytest

from mixing import Conventions, Rig, Setup
from mixing.conventions import UNPROVEN_MARK
from mixing.solve import Entry, dial_in

from . import building
from .example import example, example_data

PROVEN = Conventions(lever_forward="plus", expo_positive="softens", centre_unit="us", reversal="before")


def listed(setup: Setup, conventions: Conventions = PROVEN) -> dict[tuple[int, str, str], Entry]:
    return {(entry.channel, entry.kind, entry.label): entry for entry in dial_in(setup, conventions)}


def with_signal(**signal: Any) -> Setup:
    data = example_data()
    data["signal"].update(signal)
    return Setup.model_validate(data)


def test_every_entry_is_there_in_the_order_of_the_channels() -> None:
    setup = example()
    entries = dial_in(setup, PROVEN)
    assert [entry.channel for entry in entries] == sorted(entry.channel for entry in entries)
    kinds = [entry.kind for entry in entries]
    for kind in ("reversal", "centre", "limits", "failsafe"):
        assert kinds.count(kind) == len(setup.channels)
    assert kinds.count("ends") + kinds.count("curve") == len(setup.couplings)
    assert kinds.count("expo") == sum(coupling.expo_pct != 0 for coupling in setup.couplings)
    assert kinds.count("fade") == sum(len(coupling.fades) for coupling in setup.couplings)
    assert kinds.count("stance") == sum(len(phase.stance) for phase in setup.phases)


def test_a_straight_response_is_its_end_values_and_explains_slope_and_middle() -> None:
    flap = listed(example())[6, "ends", "Right flap, left lever"]
    assert flap.figures == ((-100, 95), (100, 0))
    assert flap.enter == "+95 % at −100, 0 % at +100"
    slope_and_middle = "or as slope −48 % and middle +48 %: Right flap 46.3 mm down at −100, neutral at +100"
    assert flap.explanation == slope_and_middle
    assert flap.gives == "Right flap 45.8 mm down at −100, neutral at +100"
    assert flap.error_mm == 0


def test_two_straight_halves_are_three_values_without_slope_and_middle() -> None:
    aileron = listed(example())[1, "ends", "Right aileron, aileron stick"]
    assert aileron.figures == ((-100, 45), (0, 0), (100, -70))
    assert "slope" not in aileron.explanation


def test_figures_are_rounded_to_the_step_and_their_throws_are_those_of_the_rounding() -> None:
    """With a step of 10 % the flap's 95 becomes 100, halves going away from zero, and so do its millimetres."""
    setup = with_signal(step_pct=10)
    flap = listed(setup)[6, "ends", "Right flap, left lever"]
    assert flap.figures == ((-100, 100), (100, 0))
    data = example_data()
    for coupling in data["couplings"]:
        if (coupling["control"], coupling["channel"]) == ("lever", 6):
            coupling["stations"][0][1] = 100
    rounded = float(Rig(Setup.model_validate(data)).at({"lever": -100}).throw_mm["right_flap"])
    exact = float(Rig(setup).at({"lever": -100}).throw_mm["right_flap"])
    assert f"{rounded:.1f} mm down at −100" in flap.gives
    assert flap.error_mm == pytest.approx(rounded - exact)


def test_each_entry_gives_what_the_whole_document_with_it_gives() -> None:
    """Worked out for its channel alone; here with all channels, checked as a document."""
    setup = with_signal(step_pct=7)
    told = 0
    for entry in dial_in(setup, PROVEN):
        if entry.kind not in ("ends", "curve"):
            continue
        of = [one.place == (entry.control, entry.channel, entry.phase) for one in setup.couplings]
        entered = [
            {**one.model_dump(), "stations": entry.figures} if mine else one
            for one, mine in zip(setup.couplings, of, strict=True)
        ]
        at = {entry.control: [x for x, _ in entry.figures]}
        frame = Rig(setup.changed(couplings=entered)).at(at, phase=entry.phase or None)
        surfaces = [one.key for one in setup.surfaces_on(entry.channel)]
        assert [list(moved.values) for moved in entry.moved[: len(surfaces)]] == [
            frame.throw_mm[key].tolist() for key in surfaces
        ]
        told += len(surfaces)
    assert told > 8


def test_a_curve_that_fits_the_grid_is_entered_as_it_is() -> None:
    data = example_data()
    stations = [[-100, -100], [50, -100], [100, 100]]
    next(each for each in data["couplings"] if each["channel"] == 3)["stations"] = stations
    motor = listed(Setup.model_validate(data))[3, "curve", "Motor, right slider"]
    assert motor.figures == ((-100, -100), (-50, -100), (0, -100), (50, -100), (100, 100))
    assert motor.gives == "Motor 0 % at −100, 0 % at −50, 0 % at 0, 0 % at +50, 100 % at +100"


def bent_flap(**signal: Any) -> Setup:
    data = example_data()
    data["signal"].update(signal)
    next(each for each in data["couplings"] if (each["control"], each["channel"]) == ("lever", 6))["stations"] = [
        [-100, 95],
        [-20, 60],
        [100, 0],
    ]
    return Setup.model_validate(data)


def test_a_curve_that_does_not_fit_is_the_nearest_one_and_says_how_near() -> None:
    setup = bent_flap()
    flap = listed(setup)[6, "curve", "Right flap, left lever"]
    assert len(flap.figures) == setup.signal.curve_points
    assert "the nearest curve of 5 points" in flap.explanation
    x, y = np.array(flap.figures).T
    lever = np.linspace(-100, 100, 401)
    channel = setup.channel(6)
    pulses = Rig(setup).pulse(channel, np.interp(lever, x, y))[0]
    surface = setup.surface("right_flap")
    entered = Rig(setup).follow(surface, pulses).throw_mm(chord_mm=surface.chord_mm)
    off = np.abs(entered - Rig(setup).at({"lever": lever}).throw_mm["right_flap"]).max()
    assert flap.error_mm == pytest.approx(off, abs=0.1)


def test_free_points_stand_where_the_response_bends() -> None:
    flap = listed(bent_flap(curve_free_x=True))[6, "curve", "Right flap, left lever"]
    assert flap.figures == ((-100, 95), (-20, 60), (100, 0))
    assert flap.error_mm == 0


def test_conventions_turn_what_they_touch_and_nothing_else() -> None:
    turned = Conventions(lever_forward="minus", expo_positive="sharpens", centre_unit="pct", reversal="after")
    plain, other = listed(example()), listed(example(), turned)
    assert other[6, "ends", "Right flap, left lever"].figures == ((-100, 0), (100, 95))
    assert other[6, "ends", "Right flap, left lever"].gives == "Right flap neutral at −100, 45.8 mm down at +100"
    assert plain[6, "ends", "Right flap, left lever"].gives == "Right flap 45.8 mm down at −100, neutral at +100"
    assert other[4, "expo", "Elevator, elevator stick"].enter == "−20 %"
    assert other[4, "centre", "Elevator"].enter == "0 %"
    same = (1, "ends", "Right aileron, aileron stick")
    assert other[same] == plain[same]


@pytest.mark.parametrize(("reversal", "expected"), [("before", (-120, 80)), ("after", (-80, 120))])
def test_limits_of_a_reversed_channel_change_sides_where_they_hold_the_travel(
    reversal: Any, expected: tuple[float, float]
) -> None:
    data = example_data()
    data["channels"][4]["high_us"] = 1900
    conventions = Conventions("plus", "softens", "us", reversal)
    limits = listed(Setup.model_validate(data), conventions)[5, "limits", "Rudder"]
    assert tuple(value for _, value in limits.figures) == expected


def test_slope_turns_with_the_sign_of_the_lever() -> None:
    turned = listed(example(), Conventions("minus", "softens", "us", "before"))[6, "ends", "Right flap, left lever"]
    assert turned.explanation.startswith("or as slope +48 % and middle +48 %: Right flap neutral at −100, 46.3 mm")


def test_limits_say_where_they_hold_the_surface_and_what_rounding_them_costs() -> None:
    data = example_data()
    data["channels"][5]["high_us"] = 1847
    limits = listed(Setup.model_validate(data))[6, "limits", "Right flap"]
    assert limits.figures == ((-100, -120), (100, 69))
    surface = example().surface("right_flap")
    asked, held = surface.linkage.follow([1847, 1845], chord_mm=50).throw_mm(chord_mm=50)
    assert limits.gives.endswith(f"and {held:.1f} mm down")
    assert limits.error_mm == pytest.approx(asked - held)


def test_a_moved_centre_is_entered_in_the_transmitters_unit() -> None:
    data = example_data()
    data["channels"][3]["centre_us"] = 1523
    setup = Setup.model_validate(data)
    in_us = listed(setup)[4, "centre", "Elevator"]
    assert in_us.enter == "1523 µs"
    assert in_us.error_mm == 0
    in_pct = listed(setup, Conventions("plus", "softens", "pct", "before"))[4, "centre", "Elevator"]
    assert in_pct.enter == "+5 %"
    assert 0 < in_pct.error_mm < 0.2


def test_what_is_unproven_is_marked_and_nothing_else() -> None:
    entries = dial_in(example())
    marked = {(entry.kind, entry.label) for entry in entries if entry.mark == UNPROVEN_MARK}
    assert ("ends", "Right flap, left lever") in marked
    assert ("expo", "Elevator, elevator stick") in marked
    assert ("ends", "Elevator, elevator stick") not in marked
    assert not any(entry.mark for entry in dial_in(example(), PROVEN))


def test_stances_and_phase_couplings_give_their_throws_in_their_phase() -> None:
    entries = listed(example())
    frame = Rig(example()).at({}, phase="thermal")
    assert f"{float(frame.throw_mm['right_flap']):.1f} mm down" in entries[6, "stance", "Right flap, thermal"].gives
    thermal = entries[6, "ends", "Right flap, aileron stick, in thermal"]
    at_left = float(Rig(example()).at({"roll": -100}, phase="thermal").throw_mm["right_flap"])
    assert f"Right flap {at_left:.1f} mm down at −100" in thermal.gives


def test_a_failsafe_says_where_the_surfaces_go() -> None:
    data = example_data()
    data["channels"][5]["failsafe"] = 60.4
    data["channels"][0]["failsafe"] = None
    entries = listed(Setup.model_validate(data))
    flap = entries[6, "failsafe", "Right flap"]
    assert flap.enter == "+60 %"
    assert flap.gives.endswith("mm down")
    assert flap.error_mm > 0
    assert entries[1, "failsafe", "Right aileron"].enter == "not set: set it"
    assert entries[3, "failsafe", "Motor"].gives == "Motor 0 %"


def test_entering_the_list_gives_the_document_back() -> None:
    """Every rounded figure put into the document at once: no throw moves, as this example holds whole figures only."""
    data = example_data()
    for entry in dial_in(example(), PROVEN):
        if entry.kind not in ("ends", "curve"):
            continue
        for coupling in data["couplings"]:
            control = next(each for each in data["controls"] if each["key"] == coupling["control"])
            in_phase = entry.label.endswith("in thermal") == (coupling["phase"] == "thermal")
            if coupling["channel"] == entry.channel and control["label"].lower() in entry.label.lower() and in_phase:
                coupling["stations"] = [list(point) for point in entry.figures]
    entered, exact = Rig(Setup.model_validate(data)), Rig(example())
    places = {"roll": np.linspace(-100, 100, 9)[:, None], "lever": np.linspace(-100, 100, 9)}
    for key, throw in exact.at(places).throw_mm.items():
        np.testing.assert_allclose(entered.at(places).throw_mm[key], throw, atol=1e-9)


def moved_centre(centre: float, low: float = 900, high: float = 2100, **fields: Any) -> Setup:
    data = example_data()
    data["signal"]["limit_pct"] = 125
    data["channels"][5].update(centre_us=centre, low_us=low, high_us=high, **fields)
    return Setup.model_validate(data)


def test_a_limit_that_the_transmitter_cannot_take_says_what_it_can() -> None:
    """From a centre of 1450 µs, 2100 µs are 130 % away; with 125 % the channel ends at 2075 µs."""
    setup = moved_centre(1450)
    limits = listed(setup)[6, "limits", "Right flap"]
    assert limits.figures == ((-100, -110), (100, 125))
    assert limits.explanation == (
        "900 … 2100 µs; 2100 µs would need +130 %, the transmitter takes at most 125 %, which ends at 2075 µs; "
        "a centre of 1475 µs or more would do"
    )
    surface = setup.surface("right_flap")
    asked, possible = surface.linkage.follow([2100, 2075], chord_mm=50).throw_mm(chord_mm=50)
    assert limits.error_mm == pytest.approx(asked - possible)
    assert limits.gives.endswith(f"and {possible:.1f} mm down")


def test_a_centre_that_would_do_does() -> None:
    for centre, advised in ((1450, 1475), (1550, 1525)):
        assert f"a centre of {advised} µs or" in listed(moved_centre(centre))[6, "limits", "Right flap"].explanation
        within = listed(moved_centre(advised))[6, "limits", "Right flap"]
        assert within.explanation == "900 … 2100 µs"
        assert within.error_mm == 0


def test_limits_out_of_range_of_a_reversed_channel_are_told_as_they_are_entered() -> None:
    conventions = Conventions("plus", "softens", "us", "after")
    limits = listed(moved_centre(1450, reversed=True), conventions)[6, "limits", "Right flap"]
    assert limits.figures == ((-100, -125), (100, 110))
    assert "2100 µs would need −130 %" in limits.explanation


def test_a_limit_between_two_steps_is_the_lower_one_that_the_transmitter_takes() -> None:
    data = example_data()
    data["signal"].update(step_pct=10, limit_pct=125)
    data["channels"][5].update(low_us=900, high_us=2125)
    limits = listed(Setup.model_validate(data))[6, "limits", "Right flap"]
    assert limits.figures == ((-100, -120), (100, 120))
    assert limits.explanation == "900 … 2125 µs"


def test_both_limits_out_of_reach_of_any_centre() -> None:
    """Held within 125 % of the transmitter's centre or of their own, two limits can be 270 % apart."""
    setup = moved_centre(1430, low=850, high=2110)
    assert "no centre has both limits within reach" in listed(setup)[6, "limits", "Right flap"].explanation


def test_conventions_are_proven_when_all_are() -> None:
    assert PROVEN.proven
    assert not Conventions().proven
    assert not replace(PROVEN, lever_forward="unproven").proven
    assert not replace(PROVEN, expo_positive="unproven").proven
    assert not replace(PROVEN, centre_unit="unproven").proven
    assert not replace(PROVEN, reversal="unproven").proven
    with pytest.raises(FrozenInstanceError):
        PROVEN.reversal = "after"  # type: ignore[misc]


def test_an_entry_is_not_changed_behind_the_list() -> None:
    entry = dial_in(example())[0]
    with pytest.raises(FrozenInstanceError):
        entry.enter = "7 %"  # type: ignore[misc]


def test_the_error_of_an_entry_is_found_where_a_linkage_is_steep() -> None:
    """From 1540 to 1550 µs the surface goes 24 mm: 44 % is there earlier than the 40 % that are entered."""
    steep = {"kind": "measured", "points": [[1000, -5], [1540, -4], [1550, 20], [2000, 21]]}
    made = building.setup(
        signal={"step_pct": 10},
        controls=[building.stick()],
        surfaces=[building.surface(linkage=steep)],
        couplings=[building.coupling("roll", 1, -44, 44)],
    )
    entry = next(one for one in dial_in(made) if one.kind == "ends")
    x = np.linspace(-100, 100, 20_001)
    throws = [
        Rig(one).at({"roll": x}).throw_mm["flap"]
        for one in (made, made.changed(couplings=[building.coupling("roll", 1, -40, 40)]))
    ]
    assert entry.error_mm == pytest.approx(float(np.max(np.abs(throws[0] - throws[1]))), abs=0.6)
