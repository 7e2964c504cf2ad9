"""What jumps when the pilot changes the phase."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import combinations, permutations
from typing import NamedTuple

import numpy as np

from ..differences import Difference, Value
from ..document import Device, Surface
from ..language import say
from ..positions import phase_words, with_controls
from ..throws import Array
from ..wording import capital, number, size
from .finding import RUNNING_PCT, Examined, Finding
from .words import degrees, named, or_more

JUMP_DEG = 15.0
"""A change of phase that moves a surface by more than this is told."""

_MOST_CHANGES = 16
"""Of the changes between two phases, those that may move a surface most are looked at: all, up to six phases."""


class _Change(NamedTuple):
    jump: Difference
    before: float
    after: float

    @property
    def size(self) -> float:
        return self.jump.value


def phase_jump(examined: Examined) -> Iterator[Finding]:
    """A change of phase that moves a surface by more than 15 degrees or starts a motor, the controls held anywhere."""
    for surface in examined.setup.surfaces:
        worst = _widest_move(examined, surface)
        if worst is not None:
            yield _told(examined, surface, worst)
    for device in examined.motors:
        worst = next((change for change in _starts(examined, device) if change.size > RUNNING_PCT), None)
        if worst is not None:
            at = worst.jump.at()
            starts = say("{device} starts, at {level} %,", device=device.label, level=size(worst.size))
            text = _when_it_changes(examined, starts, worst)
            yield Finding("caution", "phase-jump", f"devices/{device.key}", text, examined.at(worst.after, at))


def _changes(examined: Examined) -> list[float]:
    """The phase control's positions that differ in their phase."""
    return [place for place in examined.places if place is not None]


def _widest_move(examined: Examined, surface: Surface) -> _Change | None:
    """The change of phase that moves a surface most, where that is more than 15 degrees."""
    worst: _Change | None = None
    # The ends of both phases bound what a change can do: the most promising first, and none that cannot win.
    for bound, before, after in sorted(_bounds(examined, surface), reverse=True)[:_MOST_CHANGES]:
        told = JUMP_DEG if worst is None else worst.size
        if bound <= told:
            break
        totals = [examined.total(surface.channel, place) for place in (before, after)]
        apart = max(map(abs, examined.travels.apart(*totals)))
        if examined.motions[surface.key].most_moved_deg(apart) <= told:
            continue
        here, there = (examined.deflection(surface, total) for total in totals)
        forth_and_back = examined.most_apart(there, here)
        change = _Change(forth_and_back[0], before, after)
        back = _Change(forth_and_back[1], after, before)
        wider = max(change, back, key=lambda one: one.size)
        if wider.size > told:
            worst = wider
    return worst


def _bounds(examined: Examined, surface: Surface) -> Iterator[tuple[float, float, float]]:
    """For every two places that differ: no change between them moves the surface further [degrees]."""
    motion = examined.motions[surface.key]
    spans = {}
    for place in _changes(examined):
        low, high = examined.travels.peaks(examined.total(surface.channel, place))
        turns = motion.turns_within(low.value, high.value)
        spans[place] = motion.deflection_deg(np.array([low.value, high.value, *turns]))
    for before, after in combinations(spans, 2):
        if not examined.total(surface.channel, before).same_as(examined.total(surface.channel, after)):
            one, other = spans[before], spans[after]
            yield float(max(one.max() - other.min(), other.max() - one.min())), before, after


def _told(examined: Examined, surface: Surface, change: _Change) -> Finding:
    setup, at = examined.setup, change.jump.at()
    before, after = (examined.travels.phase_at(place) for place in (change.before, change.after))
    # A switch that moves a surface from one position to the next of the same phase does so at once.
    seconds = next((one.transition_s for one in setup.phases if one.key == after and after != before), 0.0)
    told = {"surface": named(surface), "angle": or_more(degrees(change.size, surface), change.jump)}
    if seconds:
        moves = say("{surface} moves by {angle} in {seconds} s", seconds=number(seconds), **told)
    else:
        moves = say("{surface} moves by {angle} at once", **told)
    text = _when_it_changes(examined, moves, change)
    return Finding("caution", "phase-jump", f"surfaces/{surface.key}", capital(text), examined.at(change.after, at))


def _when_it_changes(examined: Examined, happens: str, change: _Change) -> str:
    """The sentence of what happens when the phase changes, and where the controls stand then."""
    setup, at = examined.setup, change.jump.at()
    before, after = phase_words(setup, change.before), phase_words(setup, change.after)
    if not at:
        return say(
            "{happens} when the phase changes from {before} to {after}.", happens=happens, before=before, after=after
        )
    return say(
        "{happens} when the phase changes from {before} to {after}, {where}.",
        happens=happens,
        before=before,
        after=after,
        where=with_controls(setup, at),
    )


def _starts(examined: Examined, device: Device) -> Iterator[_Change]:
    """By change of phase: the level [%] at which a motor that stood still then runs."""
    for before, after in permutations(_changes(examined), 2):
        first, second = examined.total(device.channel, before), examined.total(device.channel, after)
        if first.same_as(second):
            continue
        bends = np.array([device.off_pct, device.full_pct])
        # A motor that runs before must not count: its level before weighs more than any level after.
        still = Value(first, partial(_running, examined, device, weight=1e6), bends)
        runs = Value(second, partial(examined.level, device), bends)
        yield _Change(examined.most_above(runs, still), before, after)


def _running(examined: Examined, device: Device, travel: Array, *, weight: float) -> Array:
    return np.where(examined.level(device, travel) > RUNNING_PCT, weight, 0.0)
