"""Surfaces that go the wrong way, and Y-leads that cannot go the right one."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

import numpy as np

from ..differences import Difference
from ..document import Control, Coupling, Surface
from ..envelope import Positions
from ..language import later, say
from ..positions import standing_words, with_positions
from ..purposes import BOTH_WAYS, wanted_way
from ..wording import capital, lowered, together, way_words
from .finding import Examined, Finding, Severity
from .words import PURPOSES, moved, named

WRONG_MM = 0.5
"""A movement against its purpose is told above this."""


def wrong_way(examined: Examined) -> Iterator[Finding]:
    """A control at an end moves a surface against its purpose by more than 0.5 mm, the other controls held anywhere.

    Compared with the control at rest, in every phase. Standing still is not wrong, nor is a fade: where a control takes
    away from what another one moves, the surface goes back, but it is not this control that moves it. Roll, pitch and
    yaw are looked at from both ends, brake and camber at the end at which they act fully.
    """
    for surface in examined.setup.surfaces:
        for control in examined.setup.controls:
            for use in control.uses:
                way = wanted_way(use.purpose, surface)
                if way:
                    worst = _worst(examined, surface, control, _ends(control, use.purpose, use.full, way))
                    if worst is not None:
                        yield _told(examined, surface, control, use.purpose, worst)


class _Wrong(NamedTuple):
    movement: Difference
    end: float
    way: int
    fixed: Positions


def _ends(control: Control, purpose: str, full: float, way: int) -> list[tuple[float, int]]:
    """The ends to look at, each with the way that is wanted there."""
    ends = [(full, way)]
    if purpose in BOTH_WAYS:
        low, high = control.ends
        ends.append((low if full == high else high, -way))
    return [(end, wanted) for end, wanted in ends if end != control.rest]


def _worst(examined: Examined, surface: Surface, control: Control, ends: list[tuple[float, int]]) -> _Wrong | None:
    found: list[_Wrong] = []
    own = control.key == examined.rig.phase_control
    for place in (None,) if own else examined.places:
        for end, way in ends:
            moved, still = (
                examined.with_driver(surface.channel, place, control, driving=position, fading=end)
                for position in (end, control.rest)
            )
            if moved.same_as(still) or examined.never_further(surface, moved, still, -way, WRONG_MM):
                continue
            against = examined.most_above(examined.throw(surface, moved, -way), examined.throw(surface, still, -way))
            fixed = {control.key: end} if own else examined.at(place, {control.key: end})
            found.append(_Wrong(against, end, way, fixed))
    worst = max(found, key=lambda one: one.movement.value, default=None)
    return worst if worst is not None and worst.movement.value > WRONG_MM else None


def _told(examined: Examined, surface: Surface, control: Control, purpose: str, wrong: _Wrong) -> Finding:
    severity: Severity = "caution" if purpose == "brake" and surface.role == "aileron" else "warning"
    at = {**wrong.movement.at(), **wrong.fixed}
    others = {key: position for key, position in at.items() if key != control.key}
    told = {
        "surface": named(surface),
        "throw": moved(-wrong.way * wrong.movement.value, surface),
        "way": way_words(wrong.way, surface.role),
        "control": lowered(control.label),
        "position": standing_words(control, wrong.end),
    }
    if others:
        where = with_positions(examined.setup, others)
        text = say("{surface} goes {throw}, not {way}, when {control} goes {position}, {where}.", where=where, **told)
    else:
        text = say("{surface} goes {throw}, not {way}, when {control} goes {position}.", **told)
    return Finding(severity, "wrong-way", f"surfaces/{surface.key}", capital(text), at)


def shared_channel(examined: Examined) -> Iterator[Finding]:
    """A left and a right surface on one channel, coupled for a purpose that needs what a Y-lead cannot do.

    A longer pulse moves both the same way or both apart, as their linkages are; a purpose that wants it otherwise can
    be right on one side only, whatever the response.
    """
    for channel in examined.setup.channels:
        sides = [one for one in examined.setup.surfaces_on(channel.number) if one.side != "centre"]
        for left, right in combinations(sorted(sides, key=lambda one: one.side), 2):
            if left.side != right.side:
                yield from _impossible(examined, left, right)


def _impossible(examined: Examined, left: Surface, right: Surface) -> Iterator[Finding]:
    together_way = _direction(examined, left) * _direction(examined, right)
    told: list[str] = []
    for coupling in examined.setup.couplings:
        control = examined.setup.control(coupling.control)
        if coupling.channel != left.channel or not _acts(coupling, control):
            continue
        for use in control.uses:
            wanted = wanted_way(use.purpose, left) * wanted_way(use.purpose, right)
            if wanted and wanted != together_way and use.purpose not in told:
                told.append(use.purpose)
    if told:
        sides = {"left": named(left), "right": named(right), "channel": left.channel}
        purposes = together(say(PURPOSES[purpose]) for purpose in told)
        text = say(_SAME_WAY if together_way > 0 else _OPPOSITE_WAYS, purposes=purposes, **sides)
        yield Finding("warning", "shared-channel", f"channels/{left.channel}", capital(text), {})


_SAME_WAY = later(
    "{left} and {right} share channel {channel} and can only move the same way, "
    "but {purposes} needs them to move otherwise."
)
_OPPOSITE_WAYS = later(
    "{left} and {right} share channel {channel} and can only move opposite ways, "
    "but {purposes} needs them to move otherwise."
)


def _direction(examined: Examined, surface: Surface) -> int:
    """+1 where more travel lowers the surface (rudder: left) about its centre, −1 where it raises it."""
    before, after = examined.motions[surface.key].deflection_deg(np.array([-0.5, 0.5]))
    return int(np.sign(after - before))


def _acts(coupling: Coupling, control: Control) -> bool:
    reached = coupling.response(np.array(control.positions or coupling.response.x))
    return bool(np.ptp(reached) > 0.0)
