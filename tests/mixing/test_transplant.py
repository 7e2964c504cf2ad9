"""The same throws on the other side, on a rebuilt model and on a sister model."""

from typing import Any

import numpy as np
import pytest

from mixing import Rig, Setup
from mixing.misses import TELL_MM
from mixing.transplant import mirror, transplant, with_failsafes

from . import building
from .example import example, example_data

UNSEEN_MM = 0.01
"""By so much rounding a travel to what a pilot can read may move a throw."""
NARROW_DEG = 0.03
"""What that is in degrees on the narrowest surface here, of 20 mm."""


def rebuilt(**linkage: Any) -> Setup:
    """The example with other linkages: shorter arms on the ailerons, or what is given."""
    data = example_data()
    for surface in data["surfaces"][:2]:
        surface["linkage"] = {**surface["linkage"], "arm_mm": 9, **linkage}
    return Setup.model_validate(data)


def test_a_model_as_it_was_keeps_its_document() -> None:
    carried = transplant(example(), onto=example())
    assert carried.misses == ()
    assert carried.setup.controls == example().controls
    before, after = Rig(example()), Rig(carried.setup)
    positions = {"roll": np.linspace(-100, 100, 9), "lever": np.linspace(100, -100, 9)}
    for key, throw in before.at(positions).throw_mm.items():
        np.testing.assert_allclose(after.at(positions).throw_mm[key], throw, atol=1e-6)


def test_a_shorter_arm_gets_more_travel_for_the_same_throw() -> None:
    carried = transplant(example(), onto=rebuilt())
    before, after = Rig(example()), Rig(carried.setup)
    for place in ({"roll": 100}, {"roll": -100}, {"lever": -100}):
        was, now = before.at(place), after.at(place)
        assert float(now.throw_mm["right_aileron"]) == pytest.approx(
            float(was.throw_mm["right_aileron"]), abs=UNSEEN_MM
        )
        assert abs(float(now.travel_pct[1])) > abs(float(was.travel_pct[1])) * 1.15
    thermal_was, thermal_now = before.at({}, phase="thermal"), after.at({}, phase="thermal")
    was_mm, now_mm = (float(one.throw_mm["left_aileron"]) for one in (thermal_was, thermal_now))
    assert now_mm == pytest.approx(was_mm, abs=UNSEEN_MM)


def decimals(setup: Setup) -> int:
    """The most decimals of any travel."""
    travels = [
        *(travel for coupling in setup.couplings for _, travel in coupling.stations),
        *(travel for phase in setup.phases for travel in phase.stance.values()),
    ]
    return max(len(f"{travel:.9f}".rstrip("0").partition(".")[2]) for travel in travels)


@pytest.mark.parametrize("arm_mm", [7.3, 9.1, 13.7])
def test_solved_travels_are_short_and_their_throws_met(arm_mm: float) -> None:
    carried = transplant(example(), onto=rebuilt(arm_mm=arm_mm))
    assert decimals(carried.setup) <= 3
    before, after = Rig(example()), Rig(carried.setup)
    missed = {miss.where for miss in carried.misses}
    # In thermal a stance is under the general couplings: arms of other lengths add these up a little differently.
    for control in example().controls:
        at = {control.key: np.array(control.positions or control.ends)} if control.key != "flightphase" else {}
        if any(where.startswith(control.label) for where in missed):
            continue
        was, now = before.at(at).throw_mm, after.at(at).throw_mm
        for key in ("right_aileron", "left_aileron"):
            np.testing.assert_allclose(now[key], was[key], atol=UNSEEN_MM)


def test_where_a_hundredth_moves_too_much_a_travel_is_finer() -> None:
    """A board of half a metre that turns 90 degrees for 1000 µs: 0.005 % would be 0.02 mm."""
    data = example_data()
    for surface in data["surfaces"][:2]:
        surface.update(chord_mm=500, linkage={"kind": "unmeasured", "deg_per_1000_us": 90})
    wide = Setup.model_validate(data)
    carried = transplant(example(), onto=wide)
    assert decimals(carried.setup) > 2
    was, now = (Rig(one).at({"roll": 100}).throw_mm["right_aileron"] for one in (example(), carried.setup))
    assert float(now) == pytest.approx(float(was), abs=UNSEEN_MM)


def test_on_a_model_as_it_was_every_figure_stays_as_it_was_written() -> None:
    data = example_data()
    data["couplings"][0]["stations"] = [[-100, -33.3333337], [100, 33.3333337]]
    setup = Setup.model_validate(data)
    assert transplant(setup, onto=setup).setup == setup


def test_on_a_model_as_it_was_a_motor_and_what_is_not_in_the_document_stay_to_the_last_figure() -> None:
    made = building.setup(
        controls=[building.stick()],
        channels=[building.channel(7)],
        devices=[building.motor(9, off_pct=-80, full_pct=60)],
        couplings=[building.coupling("roll", 9, -80, 5.228675842285156), building.coupling("roll", 7, -50, 33.3)],
    )
    assert transplant(made, onto=made).setup == made


def test_a_leaning_arm_keeps_the_stations_and_bends_between_them() -> None:
    carried = transplant(example(), onto=rebuilt(arm_mm=12, arm_neutral_deg=25))
    before, after = Rig(example()), Rig(carried.setup)
    roll = np.array([-100.0, -50.0, 0.0, 50.0, 100.0])
    was = before.at({"roll": roll}).throw_mm["right_aileron"]
    now = after.at({"roll": roll}).throw_mm["right_aileron"]
    np.testing.assert_allclose(now[::2], was[::2], atol=UNSEEN_MM)
    assert 0.05 < np.abs(now - was).max() < 1.0


def test_what_cannot_be_reached_is_told_with_what_is_reached() -> None:
    """A 6 mm arm would need more pulse than the channel's limits let through."""
    carried = transplant(example(), onto=rebuilt(arm_mm=5))
    misses = {(miss.surface, miss.where): miss for miss in carried.misses}
    miss = misses["right_aileron", "with aileron stick full right, in cruise"]
    got = float(Rig(carried.setup).at({"roll": 100}).throw_mm["right_aileron"])
    assert miss.got_mm == pytest.approx(got, abs=1e-6)
    assert abs(miss.wanted_mm) > abs(miss.got_mm) + TELL_MM
    told = "with aileron stick full right, in cruise: 19.1 mm up wanted, 13.5 mm up is what this model gives"
    assert miss.text == f"Right aileron, {told}"


def test_a_sister_model_keeps_its_own_centres_channels_and_reversal() -> None:
    """The sister has her ailerons on channels 8 and 9, one of them reversed, and a larger elevator."""
    data = example_data()
    for channel, number in zip(data["channels"][:2], (8, 9), strict=True):
        channel.update(number=number, reversed=number == 8, centre_us=1520)
    for surface, number in zip(data["surfaces"][:2], (8, 9), strict=True):
        surface["channel"] = number
        surface["key"] = "outer_" + surface["key"]
    data["surfaces"][0]["linkage"]["longer_pulse"] = "pulls"
    data["surfaces"][2]["chord_mm"] = 60
    data["couplings"] = []
    data["phases"][1]["stance"] = {}
    sister = Setup.model_validate(data)
    carried = transplant(example(), onto=sister)
    assert carried.setup.channels == sister.channels
    assert {coupling.channel for coupling in carried.setup.couplings} == {3, 4, 5, 6, 7, 8, 9}
    before, after = Rig(example()), Rig(carried.setup)
    for place in ({"roll": 100}, {"lever": -100}, {"pitch": 100}):
        was, now, stands = before.at(place), after.at(place), after.at({})
        for old, new in (("right_aileron", "outer_right_aileron"), ("left_aileron", "outer_left_aileron")):
            # The 20 µs of her centre stand for nearly 2 degrees of neutral, which count from there.
            turned = now.deflection_deg[new] - stands.deflection_deg[new]
            assert float(turned) == pytest.approx(float(was.deflection_deg[old]), abs=NARROW_DEG)
        assert float(now.throw_mm["elevator"]) == pytest.approx(float(was.throw_mm["elevator"]), abs=UNSEEN_MM)


def test_a_label_with_a_hyphen_keeps_it() -> None:
    data = example_data()
    for surface in data["surfaces"][:2]:
        surface["label"] = "V-" + surface["label"]
        surface["linkage"] = {**surface["linkage"], "arm_mm": 5}
    carried = transplant(example(), onto=Setup.model_validate(data))
    texts = [miss.text for miss in carried.misses if miss.surface == "right_aileron"]
    assert texts
    assert all(text.startswith("V-Right aileron, ") for text in texts)


def test_a_surface_that_the_other_model_lacks_is_told() -> None:
    data = example_data()
    data["surfaces"] = [surface for surface in data["surfaces"] if surface["key"] != "rudder"]
    data["couplings"] = []
    carried = transplant(example(), onto=Setup.model_validate(data))
    assert any("Rudder is not on this model" in miss.text for miss in carried.misses)
    assert all(coupling.channel != 5 for coupling in carried.setup.couplings)


def test_a_motor_with_another_off_keeps_its_level() -> None:
    data = example_data()
    data["devices"][0].update(off_pct=-110, full_pct=90)
    carried = transplant(example(), onto=Setup.model_validate(data))
    power = np.linspace(-100, 100, 5)
    np.testing.assert_allclose(
        Rig(carried.setup).at({"power": power}).level_pct["motor"],
        Rig(example()).at({"power": power}).level_pct["motor"],
    )


@pytest.mark.parametrize(("control", "against"), [("roll", True), ("lever", False)])
def test_mirroring_gives_the_other_side_the_same_throws(control: str, against: bool) -> None:
    data = example_data()
    data["surfaces"][1]["linkage"].update(arm_mm=10, longer_pulse="pulls")
    data["channels"][1]["reversed"] = True
    setup = Setup.model_validate(data)
    coupling, misses = mirror(setup, surface="right_aileron", control=control)
    assert misses == ()
    assert coupling.channel == 2
    others = [each for each in setup.couplings if (each.control, each.channel) != (control, 2)]
    frame = Rig(setup.changed(couplings=[*others, coupling])).at({control: np.array([-100.0, 0.0, 100.0])})
    left, right = frame.throw_mm["left_aileron"], frame.throw_mm["right_aileron"]
    np.testing.assert_allclose(left[::-1] if against else left, right, atol=UNSEEN_MM)


def test_mirroring_twice_comes_back() -> None:
    once, _ = mirror(example(), surface="right_aileron", control="roll")
    back, _ = mirror(example(), surface="left_aileron", control="roll")
    original = next(each for each in example().couplings if each.place == ("roll", 2, ""))
    np.testing.assert_allclose(once.stations, original.stations, atol=1e-9)
    assert back.channel == 1


def test_what_adds_up_with_the_stance_of_a_phase_is_carried_from_there() -> None:
    """A leaning arm gives another throw for the same travel away from its neutral: the phase stands 20 % down."""
    leaning = {"kind": "four_bar", "arm_mm": 12, "horn_mm": 14, "pivot_mm": [60, 0], "arm_neutral_deg": 20}

    def made(**fields: Any) -> Setup:
        return building.setup(
            controls=[building.stick(), building.switch("mode", (-100, 100))],
            surfaces=[building.surface(**fields)],
            phases=[building.phase("cruise", "mode", -100), building.phase("landing", "mode", 100, {"1": 20})],
            couplings=[building.coupling("roll", 1, -25, 25, phase="landing")],
        )

    carried = transplant(made(), onto=made(linkage=leaning))
    assert carried.misses == ()
    places = {"roll": [-100, 0, 100]}
    was, now = (Rig(each).at(places, phase="landing").throw_mm["flap"] for each in (made(), carried.setup))
    assert now[[0, 2]] == pytest.approx(was[[0, 2]], abs=UNSEEN_MM)


def test_a_miss_at_a_station_between_the_ends_is_told() -> None:
    peak = {"control": "roll", "channel": 1, "stations": [[-100, 0], [40, 90], [100, 0]]}
    made = building.setup(controls=[building.stick()], surfaces=[building.surface()], couplings=[peak])
    slower = building.surface(linkage={"kind": "unmeasured", "deg_per_1000_us": 40})
    onto = building.setup(controls=[building.stick()], surfaces=[slower])
    assert [miss.where for miss in transplant(made, onto=onto).misses] == ["with roll stick 40 % right"]


LEANING = {"kind": "four_bar", "arm_mm": 14, "horn_mm": 12, "pivot_mm": [60, 0], "arm_neutral_deg": 45}
"""An arm that leans far: down it turns the surface less and less, up more and more."""


def braked(linkage: dict[str, Any] | None = None) -> Setup:
    """A stick and a lever that both move one flap."""
    return building.setup(
        controls=[building.stick(), building.lever()],
        surfaces=[building.surface() | ({} if linkage is None else {"linkage": linkage})],
        couplings=[building.coupling("roll", 1, -40, 40), building.coupling("lever", 1, 60, 0)],
    )


def test_what_adds_up_to_another_throw_is_told_with_the_controls_that_do_it() -> None:
    """Each alone reaches its throw; together they ask for travel where this arm moves the flap much less."""
    carried = transplant(braked(), onto=braked(LEANING))
    miss = next(miss for miss in carried.misses if "lever" in miss.where and "stick" in miss.where)
    assert miss.where in (
        "with lever full back and roll stick full right", "with roll stick full right and lever full back"
    )  # fmt: skip
    at = {"roll": 100, "lever": -100}
    was, now = (float(Rig(one).at(at).throw_mm["flap"]) for one in (braked(), carried.setup))
    assert (miss.wanted_mm, miss.got_mm) == pytest.approx((was, now))
    assert abs(was - now) > 2.0
    steps = np.linspace(-100, 100, 41)
    grid = {"roll": steps[:, None], "lever": steps[None, :]}
    off = np.abs(Rig(carried.setup).at(grid).throw_mm["flap"] - Rig(braked()).at(grid).throw_mm["flap"])
    assert abs(miss.wanted_mm - miss.got_mm) >= off.max() - 0.1


def test_a_straight_response_is_bent_so_that_the_surface_rests_where_it_did() -> None:
    """Equal throws need unequal travels here: straight between the ends, the flap would stand down at rest."""
    carried = transplant(braked(), onto=braked(LEANING)).setup
    assert float(Rig(carried).at({}).throw_mm["flap"]) == pytest.approx(0.0, abs=UNSEEN_MM)
    places = [x for one in carried.couplings if one.control == "roll" for x, _ in one.stations]
    assert places == [-100, 0, 100]
    even = {"kind": "unmeasured", "deg_per_1000_us": 40}
    kept = transplant(braked(), onto=braked(even)).setup
    assert [len(one.stations) for one in kept.couplings] == [2, 2], "where it is even, nothing is added"


def test_what_bends_between_stations_is_told() -> None:
    """The ends are met; on the way an arm that leans gives another throw."""
    made = building.setup(
        controls=[building.stick(rest=-100)],
        surfaces=[building.surface()],
        couplings=[building.coupling("roll", 1, -100, 60)],
    )
    onto = building.setup(controls=[building.stick(rest=-100)], surfaces=[building.surface(linkage=LEANING)])
    miss = transplant(made, onto=onto).misses[-1]
    assert "% left" in miss.where or "% right" in miss.where
    assert abs(miss.wanted_mm - miss.got_mm) > 1.0


def test_a_throw_missed_with_all_controls_at_rest_is_told_once() -> None:
    """The landing phase stands where this flap cannot go: that is one miss, not one for each control."""

    def made(rate: float) -> Setup:
        return building.setup(
            controls=[building.stick(), building.lever(), building.switch("mode", (-100, 100))],
            surfaces=[building.surface(linkage={"kind": "unmeasured", "deg_per_1000_us": rate})],
            phases=[building.phase("cruise", "mode", -100), building.phase("landing", "mode", 100, {"1": 100})],
            couplings=[building.coupling("roll", 1, -10, 10), building.coupling("lever", 1, -10, 0)],
        )

    told = [miss.where for miss in transplant(made(60), onto=made(40)).misses]
    assert told[0] == "with all other controls at rest, in landing"
    assert len(told) == 2
    assert "full right, in landing" in told[1]


def test_mirroring_tells_only_what_the_control_asks_for() -> None:
    """Past 70 % the other arm cannot follow; a response that ends at 60 % never asks it to, one of 90 % does."""
    pair = building.left_and_right("flap", 1, 2)
    pair[1]["linkage"] = {"kind": "measured", "points": [[1150, -25], [1850, 25]]}

    def misses(travel: float) -> tuple[Any, ...]:
        made = building.setup(
            controls=[building.lever()],
            channels=[building.channel(1), building.channel(2, low_us=1150, high_us=1850)],
            surfaces=pair,
            couplings=[building.coupling("lever", 1, travel, 0)],
        )
        return mirror(made, surface="left_flap", control="lever")[1]

    assert misses(60) == ()
    (miss,) = misses(100)
    assert miss.where == "with lever full back"


def test_mirroring_needs_a_partner_and_a_coupling() -> None:
    with pytest.raises(KeyError, match="does not move channel 1 in Thermal"):
        mirror(example(), surface="right_aileron", control="roll", phase="thermal")
    with pytest.raises(KeyError, match="no partner"):
        mirror(example(), surface="rudder", control="yaw")
    with pytest.raises(KeyError, match="does not move channel 1"):
        mirror(example(), surface="right_aileron", control="yaw")


def test_a_miss_at_one_end_is_told_though_the_other_end_moves_further() -> None:
    """An arm that leans far to one side: the throw down is short, the longer one up is met."""
    carried = transplant(example(), onto=rebuilt(arm_mm=7, arm_neutral_deg=40))
    misses = {(miss.surface, miss.where): miss for miss in carried.misses}
    assert ("right_aileron", "with aileron stick full right, in cruise") not in misses
    miss = misses["right_aileron", "with aileron stick full left, in cruise"]
    assert (round(miss.wanted_mm, 1), round(miss.got_mm, 1)) == (12.4, 7.1)


def failsafes(setup: Setup, **told: Any) -> Setup:
    """The setup with other failsafes, by "ch" and the channel's number; all others not set."""
    channels = [{**channel.model_dump(), "failsafe": told.get(f"ch{channel.number}")} for channel in setup.channels]
    return setup.changed(channels=channels)


def test_no_failsafe_is_lost_on_the_way_back() -> None:
    then = failsafes(example(), ch1=-40.0, ch3=-100.0, ch4="last_position")
    now = failsafes(rebuilt(), ch3=None, ch5="signal_off")
    carried = with_failsafes(transplant(then, onto=now).setup, of=then)
    told = {channel.number: channel.failsafe for channel in carried.channels}
    assert (told[3], told[4], told[2]) == (-100.0, "last_position", None)
    assert told[5] == "signal_off", "what was not set then stays as it is today"


def test_a_failsafe_goes_to_the_same_throw_through_another_linkage() -> None:
    then, now = failsafes(example(), ch1=-40.0), rebuilt()
    told = with_failsafes(now, of=then).channel(1).failsafe
    assert isinstance(told, float)
    assert told < -45, "a shorter arm needs more travel"
    throws = []
    for setup, travel in ((then, -40.0), (now, told)):
        rig, surface = Rig(setup), setup.surface("right_aileron")
        pulse, _ = rig.pulse(setup.channel(1), travel)
        throws.append(float(rig.follow(surface, pulse).throw_mm(chord_mm=surface.chord_mm)))
    assert throws[1] == pytest.approx(throws[0], abs=UNSEEN_MM)


def test_a_failsafe_stays_within_the_limit_of_the_transmitter() -> None:
    then = failsafes(example(), ch1=-118.0)
    assert with_failsafes(rebuilt(arm_mm=5), of=then).channel(1).failsafe == -example().signal.limit_pct


def test_a_throw_longer_than_the_other_surface_can_swing_is_a_miss() -> None:
    """A narrow strip: no angle of it moves its edge by more than twice its chord."""
    data = example_data()
    for surface in data["surfaces"][:2]:
        surface["chord_mm"] = 5
    carried = transplant(example(), onto=Setup.model_validate(data))
    told = {miss.surface: miss for miss in carried.misses}
    for key in ("right_aileron", "left_aileron"):
        assert abs(told[key].wanted_mm) > 10 > abs(told[key].got_mm)


def test_a_side_that_stands_off_neutral_is_mirrored_from_where_it_stands() -> None:
    data = example_data()
    data["surfaces"][0]["linkage"]["neutral_us"] = 1540
    coupling, misses = mirror(Setup.model_validate(data), surface="right_aileron", control="roll")
    assert coupling.channel == 2
    assert misses == ()
