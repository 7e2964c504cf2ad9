"""Travel ↔ pulse against the open protocol that writes it down; sources in cases/pulse.json."""

import json
from pathlib import Path

import numpy as np
import pytest

from mixing import Response, Rig, Setup, SetupError
from mixing.document import Channel

from .reference import assert_close, cases

CASES = cases("pulse")
EXAMPLE = Path(__file__).parent.parent / "mixing" / "data" / "electric_glider.json"


@pytest.fixture
def rig() -> Rig:
    return Rig(Setup.from_text(EXAMPLE.read_text(encoding="utf-8")))


def wide(*, reverse: bool = False) -> Channel:
    return Channel(number=1, label="Any", reversed=reverse, centre_us=1500, low_us=700, high_us=2300)


def test_pulse_of_a_travel(rig: Rig) -> None:
    case = CASES["H03"]
    pulse, held = rig.pulse(wide(), case["inputs"]["percent"])
    assert_close(pulse, case["expected"], case)
    assert not held.any()


def test_travel_of_a_pulse_is_bipolar(rig: Rig) -> None:
    case = CASES["H02"]
    travel = rig.travel_of_pulse(wide(), case["inputs"]["us"])
    assert_close(travel, case["expected"]["percent"], case)
    assert_close(100 * travel, case["expected"]["scaled"], case, 1e-9)


def test_a_device_counts_from_0_to_100(rig: Rig) -> None:
    """The protocol's one-sided scale, 1000 µs = 0 %, 2000 µs = 100 %, is the level of a motor from off to full."""
    case = CASES["H01"]
    inside = np.array(case["inputs"]["us"])
    power = (inside - 1500) / 5
    assert_close(rig.at({"power": power}).level_pct["motor"], case["expected"], case, 1e-9)


def test_halves_of_a_microsecond_stay(rig: Rig) -> None:
    """Nothing is rounded to whole µs on the way; who prints them decides, halves up or to even."""
    case = CASES["H04"]
    travel = (np.array(case["inputs"]["us"]) - 1500) / 5
    assert_close(rig.pulse(wide(), travel)[0], case["inputs"]["us"], case, 1e-9)


def test_ends_of_unequal_length_are_two_straight_halves() -> None:
    """Limits of 1100 and 1950 µs about a centre of 1480: each half is a straight line of its own."""
    case = CASES["H05"]
    ends = Response(list(zip(case["inputs"]["ends"], [-100, 0, 100], strict=True)))
    assert_close(ends(case["inputs"]["us"]), case["expected"], case)


@pytest.mark.parametrize("name", ["UINT16_MAX", "override_release"])
def test_values_that_are_no_pulses_are_refused(name: str) -> None:
    document = json.loads(EXAMPLE.read_text(encoding="utf-8"))
    document["channels"][0]["centre_us"] = CASES["H06"]["expected"][name]
    with pytest.raises(SetupError, match=r"channels\[0\]\.centre_us"):
        Setup.from_text(json.dumps(document))
