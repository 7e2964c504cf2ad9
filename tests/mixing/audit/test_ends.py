"""past-stop, unreachable, held, little-travel: each, and its nearest neighbour that has none."""

from typing import Any

import numpy as np
import pytest

from mixing import Setup

from ..building import channel, coupling, lever, motor, setup, stick, surface
from .told import one, told

LONG_ARM = {"kind": "four_bar", "arm_mm": 14, "horn_mm": 10, "pivot_mm": [100, 0], "servo_deg_per_1000_us": 90}


def flap(*values: float, channels: tuple[dict[str, Any], ...] = (), **fields: Any) -> Setup:
    return setup(
        controls=[stick("camber")], channels=channels, surfaces=[surface(**fields)],
        couplings=[coupling("camber", 1, *values)],
    )  # fmt: skip


def test_past_stop_begins_beyond_the_stop() -> None:
    assert told(flap(-50, 50, stop_up_deg=15, stop_down_deg=15), "past-stop") == []
    finding = one(flap(-50, 50, stop_up_deg=15, stop_down_deg=14), "past-stop")
    assert finding.severity == "warning"
    assert finding.at == {"camber": 100.0}
    assert finding.text == (
        "Flap goes 15° down, 1° past its stop of 14° (13.1 mm down, estimated), with camber stick full right."
    )


def test_past_stop_is_one_finding_a_surface_the_worse_side_first() -> None:
    finding = one(flap(-50, 50, stop_up_deg=10, stop_down_deg=14), "past-stop")
    assert finding.at == {"camber": -100.0}
    assert "15° up, 5° past its stop of 10°" in finding.text
    assert "and 15° down, 1° past its stop of 14°" in finding.text


def test_past_stop_says_where_no_ruler_was() -> None:
    def read(low: float, high: float) -> str:
        points = [[low, (low - 1500) / 50], [high, (high - 1500) / 50]]
        made = flap(-100, 100, stop_up_deg=8, stop_down_deg=80, linkage={"kind": "measured", "points": points})
        return one(made, "past-stop").text

    assert "estimated" not in read(1000, 2000)
    assert "(10 mm up, estimated)" in read(1010, 2000)


def test_past_stop_sums_the_controls() -> None:
    def made(stop: float) -> Setup:
        return setup(
            controls=[stick("roll"), lever()],
            surfaces=[surface(stop_up_deg=stop)],
            couplings=[coupling("roll", 1, 40, -40), coupling("lever", 1, -45, 0, 0)],
        )

    assert told(made(25.5), "past-stop") == []
    assert one(made(25.4), "past-stop").at == {"roll": 100.0, "lever": -100.0}


def test_unreachable_begins_where_the_linkage_binds() -> None:
    linkage = flap(0, 0, linkage=LONG_ARM).surfaces[0].linkage
    last = linkage.reach()[0] / 90 * 200  # type: ignore[union-attr]
    assert -120 < last < -80
    assert told(flap(last + 0.1, 0, linkage=LONG_ARM), "unreachable") == []
    finding = one(flap(last - 0.1, 0, linkage=LONG_ARM), "unreachable")
    assert finding.severity == "warning"
    assert finding.at == {"camber": -100.0}
    assert "the pushrod comes in line with the horn" in finding.text


def test_unreachable_is_also_a_surface_past_90_degrees() -> None:
    quick = {"kind": "unmeasured", "deg_per_1000_us": 179}
    quicker = {"kind": "unmeasured", "deg_per_1000_us": 181}
    assert told(flap(-100, 100, linkage=quick), "unreachable") == []
    assert "further than 90° " in one(flap(-100, 100, linkage=quicker), "unreachable").text


def test_held_says_what_is_lost() -> None:
    tight = channel(1, low_us=1300, high_us=2000)
    assert told(flap(-40, 100, channels=(tight,)), "held") == []
    finding = one(flap(-50, 100, channels=(tight,)), "held")
    assert finding.severity == "caution"
    assert finding.where == "channels/1"
    assert finding.at == {"camber": -100.0}
    assert finding.text == (
        "Channel 1 (flap) is cut by its limits: with camber stick full left it gives −40 % of the −50 % asked for, "
        "and flap loses 2.6 mm up."
    )


def test_held_tells_both_ends_and_knows_reversed_channels() -> None:
    text = one(flap(-60, 120, channels=(channel(1, low_us=1000, high_us=1750, reversed=True),)), "held").text
    assert "100 % of the 120 % asked for" in text
    assert "flap loses 5 mm up" in text
    assert "−50 % of the −60 % asked for" in text
    assert "flap loses 2.6 mm down" in text


def test_held_is_told_of_a_motor_too() -> None:
    def made(full: float) -> Setup:
        return setup(
            controls=[stick("power")], channels=[channel(9, low_us=1000, high_us=1950)], devices=[motor()],
            couplings=[coupling("power", 9, -100, full)],
        )  # fmt: skip

    assert told(made(90), "held") == []
    assert one(made(91), "held").where == "channels/9"


@pytest.mark.parametrize("centre", [1500, 1450])
def test_little_travel_is_under_half_of_1000_us(centre: float) -> None:
    def made(travel: float) -> Setup:
        return flap(-travel, travel, channels=(channel(1, centre_us=centre),))

    assert told(made(50), "little-travel") == []
    finding = one(made(49.8), "little-travel")
    assert finding.severity == "note"
    assert "498 of 1000 µs" in finding.text


def test_little_travel_counts_what_the_limits_leave() -> None:
    assert one(flap(-100, 100, channels=(channel(1, low_us=1400, high_us=1600),)), "little-travel").where == (
        "surfaces/flap"
    )


def test_entangled_is_told_where_the_search_was_ended() -> None:
    rng = np.random.default_rng(5)

    def wavy(low: float, high: float) -> list[list[float]]:
        return np.column_stack([np.linspace(-100, 100, 100), rng.uniform(low, high, 100)]).tolist()  # type: ignore[no-any-return]

    keys = [f"control_{index}" for index in range(7)]

    def made(fading: int) -> Setup:
        return setup(
            controls=[stick(key) for key in keys],
            surfaces=[surface()],
            couplings=[
                {"control": key, "channel": 1, "stations": wavy(-20, 20),
                 "fades": [{"control": other, "stations": wavy(0, 100)} for other in keys if other != key][:fading]}
                for key in keys
            ],
        )  # fmt: skip

    assert told(made(1), "entangled") == []
    assert one(made(6), "entangled").where == "channels/1"
