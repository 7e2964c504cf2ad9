"""A first setup from the shape of a model: over everything that the page offers."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from hangar.setups.composed_couplings import couplings
from hangar.setups.composing import compose
from hangar.setups.shapes import Shape, fitted
from mixing import Rig, audit
from tests.hangar.shapes import EQUIPMENT, PLACES, bodies

FULL = Shape(
    wing="flaperons", inner_flaps=True, outer_flaps=True, spoilers=True, crow=True, nose="electric", release=True,
    retract=True, wheel_brake=True,
)  # fmt: skip


@pytest.mark.parametrize(("wing", "tail"), PLACES)
def test_every_body_is_sound(wing: str, tail: str) -> None:
    """Each with a motor and extras, in turn: nothing to warn of, nothing to be careful of, no channel left out."""
    for n, body in enumerate(bodies(wing, tail)):
        shape = replace(body, **EQUIPMENT[(n * 7 + len(wing) + len(tail)) % len(EQUIPMENT)])  # type: ignore[arg-type]
        setup = compose(shape)
        numbers = [channel.number for channel in setup.channels]
        assert numbers == list(range(1, len(numbers) + 1)), shape
        found = audit(setup, receiver_channels=len(numbers))
        assert not [one for one in found if one.severity != "note"], (shape, found)
        assert all(channel.failsafe is not None for channel in setup.channels)


@pytest.mark.parametrize(("wing", "tail"), PLACES)
def test_motor_and_extras_change_nothing_else(wing: str, tail: str) -> None:
    """So that what holds of a body with some equipment holds of it with any: channels alone may be other ones."""
    for body in bodies(wing, tail):
        alone = _moves(body)
        for equipment in EQUIPMENT:
            shape = replace(body, **equipment)  # type: ignore[arg-type]
            assert _moves(shape) == alone, shape
            devices = [part for part in fitted(shape) if part.device]
            surfaces = {part.channel for part in fitted(shape) if part.role}
            assert len({part.channel for part in devices} - surfaces) == len(devices)


def _moves(shape: Shape) -> list[Any]:
    """What the surfaces are, which share a channel, and what moves them, by name instead of number."""
    parts = fitted(shape)
    names: dict[int, str] = {}
    for part in parts:
        names.setdefault(part.channel, part.key)
    surfaces = [(replace(part, channel=0), names[part.channel]) for part in parts if part.role]
    moved = {part.channel for part in parts if part.role}
    told = [{**one, "channel": names[one["channel"]]} for one in couplings(shape, parts) if one["channel"] in moved]
    return [sorted(surfaces, key=str), sorted(told, key=str)]


@pytest.mark.parametrize("nose", ["none", "electric", "engine"])
@pytest.mark.parametrize("extras", [one for one in EQUIPMENT if one["nose"] == "none"], ids=str)
def test_each_equipment_is_sound(nose: str, extras: dict[str, Any]) -> None:
    for body in (FULL, Shape(wing="none", tail="v")):
        setup = compose(replace(body, **{**extras, "nose": nose}))
        assert not [one for one in audit(setup) if one.severity != "note"]


@pytest.mark.parametrize(("span_mm", "chord_mm"), [(None, 45), (300, 14), (1000, 22), (6000, 135), (100_000, 135)])
def test_chords_that_nobody_gave_are_assumed_from_the_span_and_say_so(span_mm: float | None, chord_mm: float) -> None:
    setup = compose(replace(FULL, span_mm=span_mm))
    assert all("assumed" in surface.measure_at for surface in setup.surfaces)
    assert all(surface.linkage.kind == "unmeasured" for surface in setup.surfaces)
    assert not [one for one in audit(setup) if one.severity != "note"]
    assert setup.surface("elevator").chord_mm == chord_mm


def test_what_kit_and_ruler_tell_is_taken() -> None:
    shape = replace(
        FULL, chords_mm={"aileron": 33.0, "rudder": 71.0}, cg_datum="front edge of the root rib", cg_range_mm=(60, 66),
        mass_g=870.0,
    )  # fmt: skip
    setup = compose(shape)
    flaperon, flap = setup.surface("right_flaperon"), setup.surface("right_inner_flap")
    assert (flaperon.chord_mm, flaperon.measure_at) == (33, "widest chord")
    assert (setup.surface("rudder").chord_mm, setup.surface("rudder").measure_at) == (71, "lower end")
    assert "chord of 50 mm assumed" in flap.measure_at
    balance = setup.balance
    assert (balance.cg_datum, balance.cg_low_mm, balance.cg_high_mm) == ("front edge of the root rib", 60, 66)
    assert [(load.label, load.mass_g, load.cg_mm) for load in balance.loads] == [
        ("Ready to fly (balance assumed: measure)", 870, 63)
    ]


def test_what_is_not_known_is_told() -> None:
    setup = compose(Shape())
    assert "not known" in setup.balance.cg_datum
    assert "mass and balance assumed" in setup.balance.loads[0].label
    assert "no linkage is measured" in setup.remarks


@pytest.mark.parametrize(
    ("shape", "channels"),
    [
        (Shape(), "Right aileron, Left aileron, Elevator, Rudder"),
        (Shape(nose="electric"), "Right aileron, Elevator, Motor, Rudder, Left aileron"),
        (Shape(wing="one", nose="engine"), "Both ailerons, Elevator, Throttle, Rudder"),
        (Shape(wing="none", nose="electric"), "Elevator, Motor, Rudder"),
        (Shape(wing="elevons", tail="none", rudder=False), "Right elevon, Left elevon"),
        (Shape(inner_flaps=True, flap_lead=True, spoilers=True, tail="v", release=True),
         "Right aileron, Left aileron, Left V-tail panel, Right V-tail panel, Both flaps, Both spoilers, Tow release"),
        (Shape(inner_flaps=True, outer_flaps=True, rudder=False),
         "Right aileron, Left aileron, Elevator, Right inner flap, Left inner flap, Right outer flap, Left outer flap"),
    ],
)  # fmt: skip
def test_channels_are_numbered_without_a_gap(shape: Shape, channels: str) -> None:
    assert ", ".join(channel.label for channel in compose(shape).channels) == channels


def test_one_servo_moves_both_ailerons_against_each_other() -> None:
    setup = compose(Shape(wing="one"))
    throws = Rig(setup).at({"roll": np.array([-100.0, 0.0, 100.0])}).throw_mm
    np.testing.assert_allclose(throws["right_aileron"], -throws["left_aileron"], atol=1e-9)
    assert throws["right_aileron"][2] < -3 < 3 < throws["right_aileron"][0]
    assert "no differential" in setup.remarks


def test_a_lost_signal_brakes_a_glider_and_never_runs_a_motor() -> None:
    glider, tug = compose(replace(FULL, nose="none")), compose(replace(FULL, nose="engine"))
    out = Rig(glider).at({"brake": -100})
    for channel in glider.channels:
        if glider.surfaces_on(channel.number):
            assert channel.failsafe == pytest.approx(float(out.travel_pct[channel.number])), channel.label
    for channel in tug.channels:
        if tug.surfaces_on(channel.number):
            assert channel.failsafe == 0, channel.label
    assert next(c for c in tug.channels if c.label == "Throttle").failsafe == -100
    assert next(c for c in tug.channels if c.label == "Undercarriage").failsafe == "last_position"


@pytest.mark.parametrize(
    ("shape", "at", "told"),
    [
        (Shape(tail="none"), "tail", "Nothing raises or lowers the nose"),
        (Shape(wing="none", rudder=False), "wing", "Nothing turns this model"),
        (Shape(wing="one", crow=True), "crow", "Only two ailerons"),
    ],
)
def test_what_cannot_fly_is_told_at_its_choice(shape: Shape, at: str, told: str) -> None:
    assert list(shape.problems()) == [at]
    assert shape.problems()[at].startswith(told)


def test_too_few_channels_are_told_with_what_would_do() -> None:
    shape = replace(Shape(), inner_flaps=True, outer_flaps=True)
    assert shape.problems(receiver_channels=8) == {}
    text = shape.problems(receiver_channels=7)["receiver_channels"]
    assert "takes 8 channels, and the receiver has 7" in text
    assert "one channel" in text
    assert replace(shape, flap_lead=True).problems(receiver_channels=6) == {}
