"""The setup that the timings use: eight surfaces on four-bars, 16 couplings, four of them faded."""

from typing import Any

import numpy as np

from mixing import Setup

CONTROLS = ("roll", "pitch", "yaw", "lever", "camber")
SURFACES = (
    "right_aileron",
    "left_aileron",
    "right_flap",
    "left_flap",
    "elevator",
    "rudder",
    "right_spoiler",
    "left_spoiler",
)
FADE = {"control": "lever", "stations": [[-100, 60], [0, 100], [100, 100]]}


def wing() -> Setup:
    """Eight surfaces, each with a linkage of its own lengths."""
    return Setup.model_validate(
        {
            "balance": {
                "cg_datum": "leading edge", "cg_low_mm": 90, "cg_high_mm": 100,
                "loads": [{"key": "a", "label": "Battery", "mass_g": 2300, "cg_mm": 95}],
            },
            "controls": [{"key": key, "label": key, "kind": "stick", "plus": "right"} for key in CONTROLS],
            "channels": [
                {"number": number, "label": key, "low_us": 900, "high_us": 2100}
                for number, key in enumerate(SURFACES, start=1)
            ],
            "surfaces": [_surface(number, key) for number, key in enumerate(SURFACES, start=1)],
            "couplings": list(_couplings()),
        }
    )  # fmt: skip


def _surface(number: int, key: str) -> dict[str, Any]:
    side = key.partition("_")[0]
    return {
        "key": key, "label": key, "role": "other", "side": side if side in ("left", "right") else "centre",
        "channel": number, "chord_mm": 40 + number, "stop_up_deg": 60, "stop_down_deg": 60,
        "linkage": {
            "kind": "four_bar", "arm_mm": 10 + 0.5 * number, "horn_mm": 14 + 0.3 * number,
            "pivot_mm": [120 + 5 * number, number],
            "arm_neutral_deg": 3 * number - 12, "horn_neutral_deg": 8 - 2 * number,
        },
    }  # fmt: skip


def _couplings() -> Any:
    straight = [[-100, 60], [100, -60]]
    bent = [[-100, 45], [0, 0], [100, -70]]
    curve = [[-100, 40], [-50, 30], [0, 0], [50, -5], [100, -10]]
    for channel in (1, 2, 3, 4):
        yield {"control": "roll", "channel": channel, "stations": bent, "fades": [FADE]}
        yield {"control": "lever", "channel": channel, "stations": curve}
    for channel in (1, 2):
        yield {"control": "camber", "channel": channel, "stations": straight}
    yield {"control": "pitch", "channel": 5, "stations": straight}
    yield {"control": "lever", "channel": 5, "stations": curve}
    yield {"control": "yaw", "channel": 6, "stations": straight}
    yield {"control": "roll", "channel": 6, "stations": straight}
    for channel in (7, 8):
        yield {"control": "lever", "channel": channel, "stations": bent}


def positions(count: int) -> dict[str, Any]:
    """Random positions of every control, the same ones every time."""
    random = np.random.default_rng(7)
    return {key: random.uniform(-100, 100, count) for key in CONTROLS}


def plain(setup: Setup, at: dict[str, Any]) -> dict[str, Any]:
    """The same arithmetic as somebody would write it by hand for this one setup: the yardstick."""
    throws = {}
    for channel, surface in zip(setup.channels, setup.surfaces, strict=True):
        travel = 0.0
        for coupling in setup.couplings:
            if coupling.channel != channel.number:
                continue
            share = np.interp(at[coupling.control], coupling.response.x, coupling.response.travel)
            for fade in coupling.fades:
                share = share * np.interp(at[fade.control], fade.factor.x, fade.factor.travel) / 100
            travel = travel + share
        pulse = np.clip(channel.centre_us + 5 * travel, channel.low_us, channel.high_us)
        bar: Any = surface.linkage
        angle = np.radians(bar.arm_neutral_deg + (pulse - 1500) / 1000 * bar.servo_deg_per_1000_us)
        distance = np.hypot(*bar.pivot_mm)
        px, py = bar.arm_mm * np.sin(angle) - distance, bar.arm_mm * np.cos(angle)
        r = np.hypot(px, py)
        cosine = (bar.horn_mm**2 + r**2 - bar.rod_mm**2) / (2 * bar.horn_mm * r)
        horn = np.arctan2(px, py) + np.arccos(cosine)
        delta = horn - np.radians(bar.horn_neutral_deg)
        throws[surface.key] = 2 * surface.chord_mm * np.sin(delta / 2)
    return throws
