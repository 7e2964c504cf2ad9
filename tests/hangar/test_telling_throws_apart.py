"""What two setups do differently at the ends of their controls."""

from hangar.setups.matrix import differences
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
