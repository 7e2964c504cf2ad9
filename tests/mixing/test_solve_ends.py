"""A throw typed at one end of a control: what stays, what is scaled, what is refused."""

from typing import Any

import pytest

from mixing import Rig, Setup, solve
from mixing.document import Coupling
from tests.mixing.example import example_data

RATE = {"key": "rate", "label": "Rate switch", "kind": "switch", "plus": "down", "rest": -100,
        "positions": [-100, 100], "uses": []}  # fmt: skip


def setup_with(*stations: tuple[float, float], expo: float = 0.0, rest: float = 0.0, **more: Any) -> Setup:
    """The example with the elevator's response to the elevator stick as given."""
    data = example_data()
    data["controls"].append(RATE)
    for control in data["controls"]:
        if control["key"] == "pitch":
            control["rest"] = rest
    for one in data["couplings"]:
        if one["control"] == "pitch":
            one |= {"stations": [list(s) for s in stations], "expo_pct": expo, **more}
    return Setup.model_validate(data)


def response(setup: Setup) -> Coupling:
    return next(one for one in setup.couplings if one.control == "pitch" and one.channel == 4)


@pytest.mark.parametrize(
    ("stations", "rest", "end", "travel", "gives"),
    [
        # What stands at rest stays: a straight response becomes two halves.
        (((-100, 80), (100, -80)), 0, 100, -60, ((-100, 80), (0, 0), (100, -60))),
        # The other end likewise, and the halves that lie on one line are one again.
        (((-100, 80), (0, 0), (100, -60)), 0, -100, 60, ((-100, 60), (100, -60))),
        # A lever that rests at one end: straight stays straight, from there to the other end.
        (((-100, 95), (100, 0)), 100, -100, 60, ((-100, 60), (100, 0))),
        # At its rest end the other end stays.
        (((-100, 95), (100, 0)), 100, 100, 5, ((-100, 95), (100, 5))),
        # Up to a station where the response begins, nothing moves; beyond it the half is a straight line still.
        (((-100, -45), (0, 0), (100, 0)), 100, -100, -30, ((-100, -30), (0, 0), (100, 0))),
        # A bent half is scaled as a whole: by 40 / 80.
        (((-100, -10), (0, 0), (50, 20), (100, 80)), 0, 100, 40, ((-100, -10), (0, 0), (50, 10), (100, 40))),
        # Held beyond its last station: the held part moves with it.
        (((-100, -10), (0, 0), (60, 30)), 0, 100, 40, ((-100, -10), (0, 0), (60, 40))),
        # No station on that side at all: it begins at rest.
        (((-100, -45), (0, 0)), 0, 100, 30, ((-100, -45), (0, 0), (100, 30))),
        # The same where it rests to one side: the point at rest is needed no longer.
        (((-100, 80), (20, 8), (100, -60)), 20, -100, 110, ((-100, 110), (100, -60))),
        # Where only the held beginning lies at rest.
        (((20, 0), (60, 10), (100, 40)), 0, 100, 80, ((20, 0), (60, 20), (100, 80))),
    ],
)  # fmt: skip
def test_one_end(
    stations: tuple[tuple[float, float], ...], rest: float, end: float, travel: float,
    gives: tuple[tuple[float, float], ...],
) -> None:  # fmt: skip
    before = setup_with(*stations, rest=rest)
    # The lever adds nothing at rest, so the channel's travel is the response's.
    after = solve.with_end(before, "pitch", "elevator", end, travel)
    assert response(after).stations == gives
    assert float(Rig(after).at({"pitch": end}).travel_pct[4]) == pytest.approx(travel, abs=1e-9)
    if rest != end:
        at_rest = [float(Rig(setup).at({}).travel_pct[4]) for setup in (before, after)]
        assert at_rest[0] == pytest.approx(at_rest[1], abs=1e-9)


def test_expo_keeps_its_shape() -> None:
    before = setup_with((-100, 80), (100, -80), expo=40)
    after = solve.with_end(before, "pitch", "elevator", 100, -60)
    assert response(after).expo_pct == 40
    half = [float(Rig(setup).at({"pitch": 50}).travel_pct[4]) for setup in (before, after)]
    assert half[1] / half[0] == pytest.approx(60 / 80, abs=1e-3)


def test_expo_of_a_control_that_rests_between() -> None:
    before = setup_with((-100, 80), (100, -80), expo=40, rest=30)
    after = solve.with_end(before, "pitch", "elevator", 100, -60)
    for position, tolerance in ((30, 0.06), (-40, 0.06), (-100, 1e-9)):
        travels = [float(Rig(setup).at({"pitch": position}).travel_pct[4]) for setup in (before, after)]
        assert travels[1] == pytest.approx(travels[0], abs=tolerance), position


def test_what_others_add_at_rest_is_taken_off() -> None:
    data = example_data()
    data["phases"][1]["stance"]["4"] = 6
    after = solve.with_end(Setup.model_validate(data), "pitch", "elevator", 100, -60, phase="thermal")
    assert response(after).stations[-1] == (100, -66)


def test_a_response_that_comes_back_has_no_end_to_scale() -> None:
    with pytest.raises(solve.SolveError, match=r"comes back to 0 % at its end.*set its stations"):
        solve.with_end(setup_with((-100, 80), (0, 0), (50, 30), (100, 0)), "pitch", "elevator", 100, 40)


def test_where_nothing_was_coupled() -> None:
    after = solve.with_end(setup_with((-100, 80), (100, -80)), "yaw", "elevator", 100, 10)
    assert [(c.control, c.stations) for c in after.couplings if c.channel == 4 and c.control == "yaw"] == [
        ("yaw", ((-100, 0), (0, 0), (100, 10)))
    ]
    assert solve.with_end(after, "roll", "elevator", 100, 0) is after, "nothing asked of nothing is nothing"


def test_a_phase_of_its_own() -> None:
    before = setup_with((-100, 80), (100, -80))
    after = solve.with_end(before, "pitch", "elevator", 100, -60, phase="thermal", own=True)
    assert {c.phase for c in after.couplings if (c.control, c.channel) == ("pitch", 4)} == {None, "thermal"}
    assert float(Rig(after).at({"pitch": 100}, phase="cruise").travel_pct[4]) == pytest.approx(-80)
    assert float(Rig(after).at({"pitch": 100}, phase="thermal").travel_pct[4]) == pytest.approx(-60)


def test_a_switch_has_a_station_at_each_position() -> None:
    data = example_data()
    data["controls"].append({**RATE, "positions": [-100, 0, 100], "rest": 0})
    data["couplings"].append({"control": "rate", "channel": 4, "phase": None, "stations": [[-100, 0], [100, 10]],
                              "expo_pct": 0, "fades": []})  # fmt: skip
    after = solve.with_end(Setup.model_validate(data), "rate", "elevator", 0, 8)
    assert next(c for c in after.couplings if c.control == "rate").stations == ((-100, 0), (0, 8), (100, 10))


class TestRates:
    def setup(self) -> Setup:
        return setup_with((-100, 80), (100, -80), fades=[{"control": "rate", "stations": [[-100, 100], [100, 60]]}])

    def test_the_part_that_is_let_through(self) -> None:
        after = solve.with_rate(self.setup(), "pitch", "elevator", 100, -40, switch="rate", at=100)
        assert response(after).fades[0].stations == ((-100, 100), (100, 50))
        assert response(after).stations == ((-100, 80), (100, -80))
        travel = Rig(after).at({"pitch": [-100, 100], "rate": 100}).travel_pct[4]
        assert travel.tolist() == pytest.approx([40, -40])

    def test_what_others_add_may_be_just_the_opposite(self) -> None:
        """A stance of 40 and a response of −80: half of all is −40, as far the other way."""
        phases = [one.model_dump() for one in self.setup().phases]
        phases[1]["stance"] = {4: 40}
        before = self.setup().changed(phases=phases)
        after = solve.with_rate(before, "pitch", "elevator", 100, -20, switch="rate", at=100, phase="thermal")
        assert float(Rig(after).at({"pitch": 100, "rate": 100}, phase="thermal").travel_pct[4]) == pytest.approx(-20)

    def test_more_than_all(self) -> None:
        with pytest.raises(solve.SolveError, match=r"0 to 100 %.*−80 % travel.*this would need 112.5 %"):
            solve.with_rate(self.setup(), "pitch", "elevator", 100, -90, switch="rate", at=100)

    def test_against_its_way(self) -> None:
        with pytest.raises(solve.SolveError, match=r"this would need −12.5 %"):
            solve.with_rate(self.setup(), "pitch", "elevator", 100, 10, switch="rate", at=100)

    def test_a_switch_that_fades_nothing(self) -> None:
        with pytest.raises(solve.SolveError, match="Rate switch does not fade what Rudder stick does here"):
            solve.with_rate(self.setup(), "yaw", "rudder", 100, 10, switch="rate", at=100)

    def test_a_response_that_does_nothing(self) -> None:
        fades = [{"control": "rate", "stations": [[-100, 100], [100, 60]]}]
        before = setup_with((-100, 80), (0, 0), (100, 0), fades=fades)
        with pytest.raises(solve.SolveError, match="does nothing at this end"):
            solve.with_rate(before, "pitch", "elevator", 100, 10, switch="rate", at=100)


def test_a_copy_keeps_nothing_that_was_computed() -> None:
    coupling = response(setup_with((-100, 80), (100, -80)))
    assert float(coupling.response(100)) == -80
    copied = coupling.model_copy(update={"stations": ((-100.0, 0.0), (100.0, 9.0))})
    assert float(copied.response(100)) == 9


def test_a_middle_and_an_end_of_nothing_carry_no_sign() -> None:
    after = solve.with_end(setup_with((-100, 80), (0, 0), (50, -10), (100, -80)), "pitch", "elevator", -100, -0.0)
    assert response(after).stations[:2] == ((-100, 0), (0, 0))
    assert "-0.0" not in str(response(after).stations)
