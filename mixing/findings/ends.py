"""How far things go: stops, reach, limits, and servos that hardly move."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..document import Channel, Surface
from ..envelope import Extent, Positions, surface_candidates
from ..language import say
from ..linkage import WIDEST_DEG, FourBar, Measured
from ..positions import with_positions
from ..throws import throw_mm
from ..wording import both, capital, channel_words, number, size, throw_words, together
from .finding import Examined, Finding
from .words import degrees, moved, named

LITTLE_US = 500.0
"""A surface whose whole envelope uses less of the pulse range than this wastes its servo: half of 1000 µs."""

_SAME_DEG = 1e-6


def past_stop(examined: Examined) -> Iterator[Finding]:
    """A surface beyond its stop, anywhere; one finding a surface, its worse side first.

    "Estimated" where the linkage is not measured, or the pulse lies beyond the readings of the ruler.
    """
    for surface in examined.setup.surfaces:
        extent = examined.envelope.surfaces[surface.key]
        sides = [
            (extent.high - surface.stop_down_deg, extent.high, surface.stop_down_deg, extent.high_at),
            (-surface.stop_up_deg - extent.low, extent.low, surface.stop_up_deg, extent.low_at),
        ]
        beyond = sorted((side for side in sides if side[0] > _SAME_DEG), key=lambda side: -side[0])
        if beyond:
            how_far = both([_past(examined, surface, *side) for side in beyond])
            text = say("{surface} goes {how_far}.", surface=named(surface), how_far=how_far)
            yield Finding("warning", "past-stop", f"surfaces/{surface.key}", capital(text), beyond[0][3])


def _past(examined: Examined, surface: Surface, over: float, reached: float, stop: float, at: Positions) -> str:
    throw = float(throw_mm(deflection_deg=reached, chord_mm=surface.chord_mm))
    words = throw_words(throw, surface.role)
    return say(
        "{angle}, {over}° past its stop of {stop}° ({throw}), {where}",
        angle=degrees(reached, surface),
        over=size(over),
        stop=number(stop),
        throw=say("{throw}, estimated", throw=words) if is_estimated(examined, surface, at) else words,
        where=with_positions(examined.setup, at),
    )


def is_estimated(examined: Examined, surface: Surface, at: Positions) -> bool:
    """Whether what a surface does at these positions was never measured: no linkage, or beyond the readings."""
    linkage = surface.linkage
    if isinstance(linkage, Measured):
        low, high = linkage.measured_us
        pulse = float(examined.rig.at(at).pulse_us[surface.channel])
        return not low - 1e-6 <= pulse <= high + 1e-6
    return linkage.kind == "unmeasured"


def unreachable(examined: Examined) -> Iterator[Finding]:
    """A pulse that occurs and that the linkage cannot follow: past its reach, or the surface past 90 degrees."""
    for surface in examined.setup.surfaces:
        motion = examined.motions[surface.key]
        candidates = surface_candidates(examined.travels, motion, examined.places)
        blocked = motion.blocked(candidate.travel_pct for candidate in candidates)
        first = next((one for one, cannot in zip(candidates, blocked, strict=True) if cannot), None)
        if first is not None:
            at = first.at()
            pulse = float(motion.pulse_us(first.travel_pct))
            text = say(
                "{surface} cannot follow its servo at {pulse} µs, {where}: {reason}.",
                surface=named(surface),
                pulse=number(pulse, 0),
                where=with_positions(examined.setup, at),
                reason=_reason(surface, first.value),
            )
            yield Finding("warning", "unreachable", f"surfaces/{surface.key}", capital(text), at)


def _reason(surface: Surface, reached: float) -> str:
    angle = degrees(reached, surface)
    if isinstance(surface.linkage, FourBar) and abs(reached) < WIDEST_DEG - 1e-6:
        return say("the pushrod comes in line with the horn at {angle}, where the linkage binds", angle=angle)
    return say("it would have to turn further than {angle}", angle=angle)


def held(examined: Examined) -> Iterator[Finding]:
    """A channel that is asked for more than its limits let through."""
    for channel in examined.setup.channels:
        extent = examined.envelope.channels[channel.number]
        parts = [
            (over, _cut(examined, channel, asked, at), at)
            for asked, at in ((extent.low, extent.low_at), (extent.high, extent.high_at))
            if (over := _over(examined, channel, asked)) > 0.0
        ]
        if parts:
            parts.sort(key=lambda part: -part[0])
            cuts = both([part[1] for part in parts])
            name = channel_words(examined.setup, channel.number)
            text = say("{channel} is cut by its limits: {cuts}.", channel=name, cuts=cuts)
            yield Finding("caution", "held", f"channels/{channel.number}", capital(text), parts[0][2])


def _over(examined: Examined, channel: Channel, asked: float) -> float:
    """How much of the travel asked for is cut [%]; 0 where the rig calls it not held."""
    sent, cut = examined.rig.pulse(channel, asked)
    return abs(asked - float(examined.rig.travel_of_pulse(channel, sent))) if cut else 0.0


def _cut(examined: Examined, channel: Channel, asked: float, at: Positions) -> str:
    rig, setup = examined.rig, examined.setup
    sent = float(rig.pulse(channel, asked)[0])
    left = float(rig.travel_of_pulse(channel, sent))
    lost = []
    free = sent + (asked - left) * (-1.0 if channel.reversed else 1.0) * setup.signal.per_100_us / 100.0
    for surface in setup.surfaces_on(channel.number):
        ends = np.asarray(rig.follow(surface, np.array([sent, free])).deflection_deg)
        throws = throw_mm(deflection_deg=ends, chord_mm=surface.chord_mm)
        throw = moved(float(throws[1] - throws[0]), surface)
        lost.append(say("{surface} loses {throw}", surface=named(surface), throw=throw))
    told = {"where": with_positions(setup, at), "given": number(left), "asked": number(asked)}
    if not lost:
        return say("{where} it gives {given} % of the {asked} % asked for", **told)
    return say("{where} it gives {given} % of the {asked} % asked for, and {lost}", lost=together(lost), **told)


def little_travel(examined: Examined) -> Iterator[Finding]:
    """A surface whose whole envelope uses under half of 1000 µs: a shorter servo arm would be stronger and finer."""
    for surface in examined.setup.surfaces:
        extent: Extent = examined.envelope.channels[surface.channel]
        low, high = sorted(examined.motions[surface.key].pulse_us(np.array([extent.low, extent.high])).tolist())
        if high - low < LITTLE_US - 1e-6:
            text = say(
                "{surface} uses only {used} of 1000 µs: "
                "a shorter servo arm or a longer horn would move it with more force and finer steps.",
                surface=named(surface),
                used=number(high - low, 0),
            )
            yield Finding("note", "little-travel", f"surfaces/{surface.key}", capital(text), {})


def entangled(examined: Examined) -> Iterator[Finding]:
    """A channel whose controls act on each other in so many ways that the search for its extremes was ended."""
    for channel in examined.setup.channels:
        surfaces = [examined.envelope.surfaces[one.key] for one in examined.setup.surfaces_on(channel.number)]
        if not all(extent.exact for extent in (examined.envelope.channels[channel.number], *surfaces)):
            text = say(
                "{channel} depends on so many controls together that not every combination "
                "was looked at: its ends may lie further out than said here.",
                channel=channel_words(examined.setup, channel.number),
            )
            yield Finding("caution", "entangled", f"channels/{channel.number}", capital(text), {})
