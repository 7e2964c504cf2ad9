"""A setup for a sister model: another airframe's throws, without what belongs to that one model."""

from typing import Any

import mixing
from mixing import Rig, Setup
from mixing.document import Channel, Surface
from mixing.transplant import Transplanted

_LEAST_RATE, _MOST_RATE = 1.0, 400.0


def sister_of(setup: Setup) -> Transplanted:
    """The throws of `setup` on a model of the same kind that nobody has measured yet, and what cannot be kept.

    Chords, stops, controls, phases and what sits on which channel are the same. Every linkage is assumed, straight,
    at the mean rate of the other model's; reversal, centres, limits and failsafe are as on a new transmitter memory.
    Raises mixing's SetupError where the throws cannot be had so.
    """
    rig = Rig(setup)
    onto = setup.changed(
        channels=[_fresh(setup, channel) for channel in setup.channels],
        surfaces=[{**surface.model_dump(), "linkage": _assumed(rig, surface)} for surface in setup.surfaces],
        remarks="",
    )
    carried = mixing.transplant(setup, onto=onto)
    return Transplanted(carried.setup.changed(remarks=""), carried.misses)


def _fresh(setup: Setup, channel: Channel) -> dict[str, Any]:
    signal = setup.signal
    reach = signal.limit_pct / 100 * signal.per_100_us
    return {
        **channel.model_dump(), "reversed": False, "centre_us": signal.centre_us, "failsafe": None,
        "low_us": signal.centre_us - reach, "high_us": signal.centre_us + reach,
    }  # fmt: skip


def _assumed(rig: Rig, surface: Surface) -> dict[str, Any]:
    """A linkage not measured yet, at the mean rate of this one; the servo sits so that no reversal is needed."""
    signal = rig.setup.signal
    ends = [signal.centre_us - signal.per_100_us, signal.centre_us + signal.per_100_us]
    low, high = rig.follow(surface, ends).deflection_deg.tolist()
    rate = (high - low) / (2 * signal.per_100_us) * 1000
    lowers = (rate > 0) != rig.setup.channel(surface.channel).reversed
    return {
        "kind": "unmeasured", "deg_per_1000_us": min(max(abs(rate), _LEAST_RATE), _MOST_RATE),
        "longer_pulse": "lowers" if lowers else "raises",
    }  # fmt: skip
