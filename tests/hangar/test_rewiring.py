"""Moving surfaces between channels: what goes along, what stays, and that a way back gives the same document."""

import json
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from hangar.setups.editing import Data
from hangar.setups.errors import WiringError
from hangar.setups.rewiring import channel_of, exchanged, on_channel, shared, turned, unshared
from mixing import Rig, Setup
from tests.factories import make_setup
from tests.mixing.strategies import positions_of, setups

FEW = settings(max_examples=40, deadline=None)


def read(data: Data) -> Setup:
    return Setup.from_text(json.dumps(data))


def free_number(setup: Setup) -> int:
    return next(n for n in range(1, setup.signal.channels + 1) if n not in {c.number for c in setup.channels})


def same_movements(before: Setup, after: Setup, positions: dict[str, float], *, but: str = "") -> None:
    """Every throw and level is what it was, of all parts but one."""
    was, now = Rig(before).at(positions), Rig(after).at(positions)
    for surface in before.surfaces:
        if surface.key != but:
            np.testing.assert_array_equal(was.throw_mm[surface.key], now.throw_mm[surface.key])
    for device in before.devices:
        np.testing.assert_array_equal(was.level_pct[device.key], now.level_pct[device.key])


def roomy(setup: Setup) -> Setup:
    return setup.changed(signal={**setup.signal.model_dump(), "channels": 16})


@FEW
@given(st.data())
def test_away_and_back_is_the_same_document(data: Any) -> None:
    setup = roomy(data.draw(setups()))
    numbers = [channel.number for channel in setup.channels]
    first = data.draw(st.sampled_from(numbers))
    second = data.draw(st.sampled_from([*numbers, free_number(setup)]))
    away = exchanged(setup.data(), first, second)
    same_movements(setup, read(away), data.draw(positions_of(setup)))
    assert read(exchanged(away, first, second)).text() == setup.text()


@FEW
@given(st.data())
def test_out_of_a_y_lead_and_back(data: Any) -> None:
    setup = roomy(data.draw(setups()))
    y_leads = [one for one in setup.surfaces if len(setup.surfaces_on(one.channel)) > 1]
    if not y_leads:
        return
    surface = data.draw(st.sampled_from(y_leads))
    free = free_number(setup)
    apart = read(unshared(setup.data(), surface.key, free))
    assert apart.surface(surface.key).channel == free
    same_movements(setup, apart, data.draw(positions_of(setup)))
    assert read(shared(apart.data(), surface.key, surface.channel)).text() == setup.text()


@FEW
@given(st.data())
def test_onto_a_y_lead_leaves_everything_else(data: Any) -> None:
    setup = data.draw(setups())
    pairs = [(a, b) for a in setup.surfaces for b in setup.surfaces if a.channel != b.channel]
    if not pairs:
        return
    surface, other = data.draw(st.sampled_from(pairs))
    after = read(shared(setup.data(), surface.key, other.channel))
    same_movements(setup, after, data.draw(positions_of(setup)), but=surface.key)
    assert after.channel(other.channel) == setup.channel(other.channel)
    assert [c for c in after.couplings if c.channel == other.channel] == [
        c for c in setup.couplings if c.channel == other.channel
    ]
    # A channel that nothing is plugged into any more is free again.
    still = on_channel(after.data(), surface.channel)
    assert bool(still) == any(c.number == surface.channel for c in after.channels)


@FEW
@given(st.data())
def test_reversed_twice_is_as_before(data: Any) -> None:
    setup = data.draw(setups())
    number = data.draw(st.sampled_from([channel.number for channel in setup.channels]))
    once = turned(setup.data(), number)
    assert read(once).channel(number).reversed != setup.channel(number).reversed
    assert read(turned(once, number)).text() == setup.text()


@pytest.fixture
def two() -> Data:
    """Two flaps by a Y-lead on channel 1, with a stance; an elevator of its own; a spare channel with a coupling."""
    elevator = make_setup().data()["surfaces"][0]
    flap = {**elevator, "role": "flap", "side": "left", "key": "left_flap", "label": "Left flap"}
    data = make_setup().data()
    data["surfaces"] = [flap, {**flap, "side": "right", "key": "right_flap", "label": "Right flap"}]
    switch = {"key": "flaps", "label": "Switch", "kind": "switch", "plus": "down", "rest": -100,
              "positions": [-100, 100], "uses": []}  # fmt: skip
    data["controls"].append(switch)
    data["phases"] = [
        {"key": "cruise", "label": "Cruise", "control": "flaps", "position": -100, "stance": {}, "transition_s": 0},
        {"key": "landing", "label": "Landing", "control": "flaps", "position": 100, "stance": {"1": 40, "3": 5},
         "transition_s": 0},
    ]  # fmt: skip
    data["channels"][0] |= {"reversed": True, "centre_us": 1512, "low_us": 1010, "high_us": 2020, "failsafe": 12}
    return data


def test_what_goes_along(two: Data) -> None:
    apart = unshared(two, "right_flap", 3)
    own, left = channel_of(apart, 3), channel_of(apart, 1)
    assert own == {**two["channels"][0], "number": 3, "label": "Right flap"}
    assert left == two["channels"][0]
    assert apart["phases"][1]["stance"] == {"1": 40, "3": 40}
    assert [one["channel"] for one in apart["couplings"]] == [1, 3, 2]
    assert [one["channel"] for one in two["surfaces"]] == [1, 1]


@pytest.mark.parametrize(
    ("work", "told"),
    [
        (lambda data: unshared(data, "right_flap", 2), "Channel 2 is taken"),
        (lambda data: unshared(data, "wheel", 3), "no surface “wheel”"),
        (lambda data: shared(data, "right_flap", 2), "moves no surface"),
        (lambda data: shared(data, "right_flap", 3), "moves no surface"),
        (lambda data: shared(data, "right_flap", 1), "is on channel 1 already"),
        (lambda data: turned(data, 9), "no channel 9"),
    ],
)
def test_what_cannot_be(two: Data, work: Any, told: str) -> None:
    with pytest.raises(WiringError, match=told):
        work(two)
