"""What two setups do differently at the ends of their controls."""

from hangar.setups.matrix import Cell, Difference, alike, differences, throw_matrix, throw_told
from mixing import Setup
from tests.mixing.building import coupling, stick
from tests.mixing.building import setup as made
from tests.mixing.building import surface as flap
from tests.mixing.example import example, example_data


def with_centre(centre_us: float = 1550) -> Setup:
    data = example_data()
    data["channels"][3]["centre_us"] = centre_us
    return Setup.model_validate(data)


def test_what_stands_elsewhere_is_told_at_rest_and_not_at_every_end() -> None:
    """A moved centre: where a control does not move the elevator, it stands as it does at rest, which was 0 mm."""
    found = differences(example(), with_centre())
    rest = [one for one in found if one.place == "All controls at rest"]
    assert [(one.label, one.phase) for one in rest] == [("Elevator", "cruise")]
    assert rest[0].before is not None
    assert rest[0].before.still
    places = {one.place.partition(",")[0] for one in found if one.label == "Elevator"}
    assert {"All controls at rest", "Elevator stick back", "Elevator stick forward"} <= places
    assert not {"Aileron stick left", "Rudder stick right", "Phase switch Cruise"} & places
    assert all(one.before and one.after for one in found)


def test_a_control_that_moves_nothing_any_more_leaves_the_surface_at_rest() -> None:
    """Its rows are gone, the flap is not: it goes to neutral, and what was neutral there is not told."""
    before = made(controls=[stick()], surfaces=[flap()], couplings=[coupling("roll", 1, 0, 0, 30)])
    for after in (made(controls=[stick()], surfaces=[flap()]), made(controls=[stick("yaw")], surfaces=[flap()])):
        (told,) = differences(before, after)
        assert (told.place, told.label) == ("Roll stick right", "Flap")
        assert told.before is not None
        assert told.after == Cell("0 mm", still=True)
        (back,) = differences(after, before)
        assert (back.place, back.before, back.after) == (told.place, told.after, told.before)


def test_the_phase_that_was_flown_can_come_first() -> None:
    setup = with_centre()
    rest, *others = (phase.key for phase in setup.phases)
    assert next(iter(differences(example(), setup))).phase == rest
    assert next(iter(differences(example(), setup, first=others[0]))).phase == others[0]


def test_a_phase_that_only_one_has_is_told_at_its_switch() -> None:
    data = example_data()
    gone = data["phases"].pop()
    data["couplings"] = [one for one in data["couplings"] if one["phase"] != gone["key"]]
    places = {one.place for one in differences(Setup.model_validate(data), example())}
    assert f"Phase switch {gone['label']}" in places


def test_all_that_differs_in_a_phase_is_told() -> None:
    """Whatever a change does to any surface at the ends of any control can be read off what is told."""
    before, after = example(), with_centre()
    read = 0
    for phase in after.phases:
        found = {(one.place.partition(",")[0], one.label): one for one in differences(before, after, first=phase.key)}
        was, now = (figures(setup, phase.key) for setup in (before, after))
        for place in was:
            if place in now and was[place] != now[place]:
                told = found.get(place) or found[("All controls at rest", place[1])]
                assert (told.before, told.after) == (was[place], now[place])
                read += 1
    assert read > 10


def figures(setup: Setup, phase: str) -> dict[tuple[str, str], Cell]:
    """What the throw matrix of a phase says, but where it chooses another phase."""
    rows = [row for row in throw_matrix(setup, phase).rows if row.control.key != setup.phases[0].control]
    return {(f"{row.control.label} {row.words}", column.label): cell for row in rows for column, cell in row.cells}


def test_the_same_setup_differs_nowhere() -> None:
    assert differences(example(), example()) == []


def test_places_where_the_same_changes_are_told_together() -> None:
    """A stick that lowers the flap at both its ends, and then lowers it further."""
    little, more = (
        made(controls=[stick()], surfaces=[flap()], couplings=[coupling("roll", 1, travel, 0, travel)])
        for travel in (20, 30)
    )
    (told,) = alike(differences(little, more))
    assert told[0] == ("Roll stick left", "Roll stick right")
    assert [(one.label, one.before, one.after) for one in told[1]] == [
        (
            "Flap",
            throw_told(little.surfaces[0], 5.22, estimated=True),
            Cell("7.8 mm", "↓", "down", notes=("estimated",)),
        )
    ]


def test_places_that_differ_in_one_figure_stay_apart() -> None:
    """One cell of two must not hide behind the other that is the same."""
    still, up, more = Cell("0 mm", still=True), Cell("2.0 mm", "↑", "up"), Cell("3.0 mm", "↑", "up")
    here, there = Difference("Lever back", "Elevator", still, up), Difference("Lever forward", "Elevator", still, up)
    besides = Difference("Lever forward", "Left flap", still, more)
    assert alike([here, there, besides]) == [(("Lever back",), [here]), (("Lever forward",), [there, besides])]
