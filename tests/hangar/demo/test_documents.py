"""The demo's setups and the layouts: sound documents whose surfaces move the way a pilot expects."""

import json
from itertools import pairwise

import numpy as np
import pytest

from hangar.demo.club import FOLDER, first_setup, read_club, read_histories, read_history
from hangar.demo.events import Fit, Flight, Record
from mixing import Rig, Setup
from tests.hangar.demo.documents import (
    AT_FAULT,
    LAYOUT_KEYS,
    LAYOUTS,
    SLUGS,
    everywhere,
    layout,
    moved_by,
    moves,
    revisions,
    sound_setups,
)

SOUND = sound_setups()
UP, DOWN, RIGHT = -1, 1, -1

# What a pilot expects at the full end of each purpose, by role and side; what is not named here is free.
EXPECTED: dict[str, dict[tuple[str, str], int]] = {
    "roll": {
        (role, side): way
        for role in ("aileron", "elevon", "flaperon", "flap")
        for side, way in (("right", UP), ("left", DOWN))
    },
    "pitch": {
        ("elevator", "centre"): UP, ("elevator", "left"): UP, ("elevator", "right"): UP,
        ("canard", "centre"): DOWN,
        ("elevon", "left"): UP, ("elevon", "right"): UP,
        ("ruddervator", "left"): UP, ("ruddervator", "right"): UP,
        ("ruddervator_inverted", "left"): UP, ("ruddervator_inverted", "right"): UP,
    },
    "yaw": {
        ("rudder", "centre"): RIGHT, ("rudder", "left"): RIGHT, ("rudder", "right"): RIGHT,
        ("ruddervator", "left"): UP, ("ruddervator", "right"): DOWN,
        ("ruddervator_inverted", "left"): DOWN, ("ruddervator_inverted", "right"): UP,
    },
    "brake": {
        ("flap", "left"): DOWN, ("flap", "right"): DOWN,
        ("aileron", "left"): UP, ("aileron", "right"): UP,
        ("flaperon", "left"): UP, ("flaperon", "right"): UP,
        ("spoiler", "left"): UP, ("spoiler", "right"): UP,
    },
    "camber": {(role, side): DOWN for role in ("aileron", "flap", "flaperon") for side in ("left", "right")},
}  # fmt: skip

CASES = [
    pytest.param(setup, control.key, use.purpose, use.full, id=f"{name}, {use.purpose}")
    for name, setup in SOUND.items()
    for control in setup.controls
    for use in control.uses
    if use.purpose in EXPECTED
]


@pytest.mark.parametrize(("setup", "control", "purpose", "full"), CASES)
def test_each_control_moves_its_surfaces_the_right_way(setup: Setup, control: str, purpose: str, full: float) -> None:
    moved = moved_by(setup, control, full)
    other_end = moved_by(setup, control, -full)
    known = 0
    for surface in setup.surfaces:
        way = EXPECTED[purpose].get((surface.role, surface.side))
        if way is None or not moves(setup, control, surface.channel):
            continue
        known += 1
        assert np.max(moved[surface.key] * way) > 1.0, f"{surface.key} hardly moves"
        assert np.min(moved[surface.key] * way) > -0.5, f"{surface.key} moves against its purpose"
        if purpose in ("roll", "pitch", "yaw"):
            assert np.max(other_end[surface.key] * way) < 0.5, f"{surface.key} goes the same way at the other end"
            assert np.min(other_end[surface.key] * way) < -1.0, f"{surface.key} hardly moves at the other end"
    assert known, f"nothing answers to {purpose}"


@pytest.mark.parametrize("name", SOUND)
def test_every_stick_axis_that_a_model_has_is_used(name: str) -> None:
    purposes = {use.purpose for control in SOUND[name].controls for use in control.uses}
    roles = {surface.role for surface in SOUND[name].surfaces}
    assert ("pitch" in purposes) == bool(roles - {"rudder"}), "only a rudder alone leaves pitch to the model"
    assert ("roll" in purposes) == bool(roles & {"aileron", "elevon", "flaperon"})
    assert ("yaw" in purposes) == bool(roles & {"rudder", "ruddervator", "ruddervator_inverted"})


@pytest.mark.parametrize("name", SOUND)
def test_no_surface_comes_past_its_stop_and_no_channel_is_cut(name: str) -> None:
    setup = SOUND[name]
    frame = Rig(setup).at(everywhere(setup))
    for surface in setup.surfaces:
        deflection = frame.deflection_deg[surface.key]
        assert np.min(deflection) >= -surface.stop_up_deg, surface.key
        assert np.max(deflection) <= surface.stop_down_deg, surface.key
        assert not np.any(frame.blocked[surface.key]), surface.key
    assert not any(np.any(held) for held in frame.held.values())


@pytest.mark.parametrize("name", SOUND)
def test_with_everything_let_go_the_model_is_neutral_and_off(name: str) -> None:
    setup = SOUND[name]
    rest = Rig(setup).at({})
    stances = setup.phases[0].stance if setup.phases else {}
    for surface in setup.surfaces:
        if surface.channel not in stances:
            assert abs(float(rest.throw_mm[surface.key])) < 0.5, surface.key
    assert all(float(level) == 0.0 for level in rest.level_pct.values())


@pytest.mark.parametrize("name", SOUND)
def test_a_lost_signal_stops_the_motor_and_every_channel_has_a_failsafe(name: str) -> None:
    setup = SOUND[name]
    assert all(channel.failsafe is not None for channel in setup.channels)
    for device in setup.devices:
        if device.kind in ("electric_motor", "engine_throttle"):
            assert setup.channel(device.channel).failsafe == device.off_pct


@pytest.mark.parametrize("name", SOUND)
def test_a_motor_that_runs_has_its_switch_on_and_the_brake_in(name: str) -> None:
    setup = SOUND[name]
    positions = everywhere(setup)
    frame = Rig(setup).at(positions)
    for device in setup.devices:
        if device.kind not in ("electric_motor", "engine_throttle"):
            continue
        runs = frame.level_pct[device.key] > 0.0
        assert np.any(runs)
        switches = [
            key for key in positions
            if setup.control(key).kind == "switch" and np.all(positions[key][runs] == 100.0)
        ]  # fmt: skip
        assert switches, f"no switch holds {device.key} off"
        brakes = [c.key for c in setup.controls if c.use("brake") and c.use("power")]
        assert all(np.all(positions[key][runs] > 50.0) for key in brakes)


@pytest.mark.parametrize("slug", SLUGS)
def test_balance_lies_within_its_range(slug: str) -> None:
    balance = revisions(slug)[-1].balance
    assert all(balance.cg_low_mm <= load.cg_mm <= balance.cg_high_mm for load in balance.loads)


@pytest.mark.parametrize("slug", SLUGS)
def test_the_setup_carries_the_figures_of_the_transmitter_that_flies_it(slug: str) -> None:
    history = read_history(slug)
    figures = next(one.figures for one in read_club().transmitters if one.label == history.transmitter)
    for setup in revisions(slug):
        assert setup.signal.model_dump() == figures


@pytest.mark.parametrize("slug", SLUGS)
def test_every_travel_is_one_that_the_transmitter_can_be_told(slug: str) -> None:
    for setup in revisions(slug):
        entries = [travel for coupling in setup.couplings for _, travel in coupling.stations]
        entries += [travel for phase in setup.phases for travel in phase.stance.values()]
        assert all(float(travel / setup.signal.step_pct).is_integer() for travel in entries)


@pytest.mark.parametrize("slug", [slug for slug in SLUGS if slug != AT_FAULT])
def test_the_receiver_has_every_channel(slug: str) -> None:
    channels = {one.label: one.channels for one in read_club().receivers}
    fitted = [event.receiver for event in read_history(slug).events if isinstance(event, Fit)]
    assert fitted
    for setup in revisions(slug):
        assert all(setup.channels[-1].number <= channels[label] for label in fitted)


@pytest.mark.parametrize("slug", SLUGS)
def test_every_revision_changes_something(slug: str) -> None:
    setups = revisions(slug)
    assert 3 <= len(setups) <= 7
    assert all(before.digest() != after.digest() for before, after in pairwise(setups))


@pytest.mark.parametrize("slug", SLUGS)
def test_every_flight_is_of_a_load_that_its_revision_has(slug: str) -> None:
    for event in read_history(slug).events:
        if isinstance(event, Flight):
            loads = {load.key for load in revisions(slug)[event.revision - 1].balance.loads}
            assert event.load in loads


def test_no_airframe_repeats() -> None:
    histories = read_histories()
    for field in ("slug", "name", "mark"):
        values = [getattr(history, field).casefold() for history in histories]
        assert len(values) == len(set(values)), field
    assert len(histories) >= 10


def test_each_airframe_has_a_document_and_each_document_an_airframe() -> None:
    assert sorted(path.stem for path in FOLDER.glob("*.json")) == sorted(SLUGS)
    for slug in SLUGS:
        assert read_history(slug).slug == slug
        assert first_setup(slug) == revisions(slug)[0]


def test_one_beginners_model_is_not_measured_and_all_others_are() -> None:
    kinds = {slug: {surface.linkage.kind for surface in revisions(slug)[-1].surfaces} for slug in SLUGS}
    assert [slug for slug, found in kinds.items() if "unmeasured" in found] == ["lugworm"]
    assert {"measured", "four_bar"} <= set.union(*kinds.values())


def test_the_marks_cannot_be_taken_for_real_ones() -> None:
    assert all(history.mark.startswith("DEMO ") for history in read_histories())
    assert all(one.operator_number[:5] in ("", "DEMO-") for one in read_club().members)


def test_the_layouts_in_the_index_are_those_in_the_folder() -> None:
    index = json.loads((LAYOUTS / "index.json").read_text(encoding="utf-8"))
    assert sorted(LAYOUT_KEYS) == sorted(path.stem for path in LAYOUTS.glob("*.json") if path.stem != "index")
    assert len(LAYOUT_KEYS) >= 12
    assert len({entry["title"] for entry in index}) == len(index)
    for entry in index:
        assert set(entry) == {"key", "title", "description"}
        assert entry["description"].endswith(".")
        assert entry["description"].count(". ") == 0, "one sentence"


@pytest.mark.parametrize("key", LAYOUT_KEYS)
def test_a_layout_is_cautious_and_says_that_nothing_is_measured(key: str) -> None:
    setup = layout(key)
    assert all(surface.linkage.kind == "unmeasured" for surface in setup.surfaces)
    assert "placeholder" in setup.balance.cg_datum
    frame = Rig(setup).at(everywhere(setup))
    for surface in setup.surfaces:
        # A flap as a brake goes far; all else stays well short of its stop, whatever the real linkage turns out to be.
        if surface.role not in ("flap", "spoiler"):
            assert np.max(np.abs(frame.deflection_deg[surface.key])) <= 23.0, surface.key


def test_one_servo_for_both_ailerons_moves_them_against_each_other() -> None:
    setup = layout("one_aileron_servo")
    right, left = (setup.surface(f"{side}_aileron") for side in ("right", "left"))
    assert right.channel == left.channel
    rolled = Rig(setup).at({"roll": np.linspace(-100, 100, 21)})
    np.testing.assert_allclose(rolled.throw_mm["right_aileron"], -rolled.throw_mm["left_aileron"], atol=1e-9)


def test_the_showpiece_runs_its_motor_in_the_top_quarter_and_brakes_in_the_lower_half() -> None:
    setup = revisions("tidewrack")[-1]
    assert setup.channels[-1].number == 7
    lever = np.linspace(-100.0, 100.0, 201)
    frame = Rig(setup).at({"lever": lever, "arm": 100.0})
    np.testing.assert_array_equal(frame.level_pct["motor"] > 0.0, lever > 50.0)
    np.testing.assert_array_equal(frame.throw_mm["right_flap"] > 0.1, lever < 0.0)
    assert float(frame.throw_mm["right_flap"][0]) == pytest.approx(40.0, abs=0.5)
    assert float(frame.throw_mm["right_aileron"][0]) == pytest.approx(-10.0, abs=0.5)
    assert float(frame.throw_mm["elevator"][0]) == pytest.approx(2.5, abs=0.2)
    motor = next(c for c in setup.couplings if c.control == "lever" and c.channel == 3)
    assert len(motor.stations) == 5
    assert np.all(Rig(setup).at({"lever": lever, "arm": -100.0}).level_pct["motor"] == 0.0)


def test_the_revision_that_dived_had_far_more_down_elevator_with_the_brake() -> None:
    elevator = [float(Rig(setup).at({"lever": -100.0}).throw_mm["elevator"]) for setup in revisions("tidewrack")]
    assert elevator[3] == pytest.approx(6.0, abs=0.2)
    assert max(elevator[:3] + elevator[4:]) < 3.0
    assert revisions("tidewrack")[4] == revisions("tidewrack")[2]


def test_the_one_at_fault_says_so_and_is_at_fault() -> None:
    setup = revisions(AT_FAULT)[-1]
    assert "on purpose" in setup.remarks
    brake = moved_by(setup, "lever", -100.0)
    assert np.min(brake["right_flap"]) > 10.0
    assert np.max(brake["left_flap"]) < -10.0, "the left flap goes up"
    assert setup.channel(3).failsafe is None
    others = [event for event in read_history(AT_FAULT).events if isinstance(event, Record)]
    assert len(others) == len(revisions(AT_FAULT))
