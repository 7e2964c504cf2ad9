"""What two setups do differently at the ends of their controls."""

from hangar.setups.matrix import Cell, Difference, alike, differences
from mixing import Setup
from tests.mixing.example import example, example_data


def test_a_place_where_nothing_moved_before_is_told_from_nothing() -> None:
    """A moved centre shows at every place, also where the phase switch alone moved no surface: there it was 0 mm."""
    data = example_data()
    data["channels"][3]["centre_us"] = 1550
    found = differences(example(), Setup.model_validate(data))
    at_switch = [one for one in found if one.place == "Phase switch Cruise"]
    assert [one.label for one in at_switch] == ["Elevator"]
    assert at_switch[0].before is not None
    assert at_switch[0].before.still
    assert all(one.before and one.after for one in found)


def test_the_same_setup_differs_nowhere() -> None:
    assert differences(example(), example()) == []


def test_places_where_the_same_changes_are_told_together() -> None:
    """A moved centre of the elevator: at every stick that does not move it, it goes from and to the same figures."""
    data = example_data()
    data["channels"][3]["centre_us"] = 1550
    found = differences(example(), Setup.model_validate(data))
    told = alike(found)
    together = next(places for places, _ in told if "Phase switch Cruise" in places)
    assert {"Aileron stick left", "Aileron stick right", "Rudder stick left"} <= set(together)
    assert not {"Elevator stick back", "Elevator stick forward"} & set(together)
    again = [
        (place, one.label, one.before, one.after) for places, changes in told for place in places for one in changes
    ]
    assert len(told) < len(found) / 2
    assert sorted(map(repr, again)) == sorted(repr((one.place, one.label, one.before, one.after)) for one in found)


def test_places_that_differ_in_one_figure_stay_apart() -> None:
    """One cell of two must not hide behind the other that is the same."""
    still, up, more = Cell("0 mm", still=True), Cell("2.0 mm", "↑", "up"), Cell("3.0 mm", "↑", "up")
    here, there = Difference("Lever back", "Elevator", still, up), Difference("Lever forward", "Elevator", still, up)
    besides = Difference("Lever forward", "Left flap", still, more)
    assert alike([here, there, besides]) == [(("Lever back",), [here]), (("Lever forward",), [there, besides])]
