"""Surfaces that should match: right and left, and every one its neutral."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..differences import Difference
from ..document import Control, Surface
from ..language import later, say
from ..positions import with_positions
from ..sums import TravelSum
from ..wording import capital, length, throw_words
from .finding import Examined, Finding
from .words import named, or_more

UNEVEN_MM = 1.0
NEUTRAL_MM = 0.5

_SURELY = 0.95
"""Between the places at which two linkages are compared they may differ by a little more."""


def uneven(examined: Examined) -> Iterator[Finding]:
    """A pair whose right at x and left at x differ by more than 1 mm, anywhere and in any phase.

    Controls for roll and yaw stand at −x for the left one: that is the model in a mirror. Rudders swing to one side
    together, so of a pair of rudders the mirrored left one counts with the other sign.
    """
    pairs: dict[str, dict[str, Surface]] = {}
    for surface in examined.setup.surfaces:
        if surface.pair is not None:
            pairs.setdefault(surface.pair, {})[surface.side] = surface
    for pair in pairs.values():
        if len(pair) == 2:
            finding = _uneven(examined, pair["right"], pair["left"])
            if finding is not None:
                yield finding


def _uneven(examined: Examined, right: Surface, left: Surface) -> Finding | None:
    swapped = _swapped(examined)
    best: tuple[Difference, float | None] | None = None
    for place in examined.places:
        ours, theirs = examined.total(right.channel, place), examined.total(left.channel, place)
        if not _can_mirror(theirs, swapped):
            continue
        sign = -1.0 if right.role == "rudder" else 1.0
        mirrored = theirs.mirrored(swapped)
        if _surely_even(examined, (right, left), (ours, mirrored), sign):
            continue
        for apart in examined.most_apart(examined.throw(right, ours), examined.throw(left, mirrored, sign)):
            if apart.value > (UNEVEN_MM if best is None else best[0].value):
                best = apart, place
    return None if best is None else _told(examined, right, left, *best)


def _surely_even(
    examined: Examined, pair: tuple[Surface, Surface], totals: tuple[TravelSum, TravelSum], sign: float
) -> bool:
    """Whether right and left are so alike that they surely differ by less than 1 mm, without looking at every position.

    What their linkages make of the same travel (or of the opposite one, where only one channel is reversed) and what
    the difference in travel can move the left one add up to a bound.
    """
    right, left = (examined.motions[surface.key] for surface in pair)
    for turned in (1.0, -1.0):
        theirs = totals[1] if turned > 0.0 else totals[1].negated()
        apart = max(map(abs, examined.travels.apart(totals[0], theirs)))
        moved = left.most_moved_mm(apart)
        if moved < UNEVEN_MM and moved + right.most_unlike_mm(left, turned, sign) < _SURELY * UNEVEN_MM:
            return True
    return False


def _swapped(examined: Examined) -> frozenset[str]:
    """The controls that a mirror turns round. Not the one that chooses the phase: both sides are in the same."""
    return frozenset(
        control.key
        for control in examined.setup.controls
        if (control.use("roll") or control.use("yaw")) and control.key != examined.rig.phase_control
    )


def _can_mirror(total: TravelSum, swapped: frozenset[str]) -> bool:
    """Whether every switch that is to be turned round has its positions on both sides."""
    return all(
        set(total.stations[control].tolist()) == {-position + 0.0 for position in total.stations[control].tolist()}
        for control in swapped.intersection(total.controls) & total.switches
    )


def _told(examined: Examined, right: Surface, left: Surface, widest: Difference, place: float | None) -> Finding:
    at, setup, rig = examined.at(place, widest.at()), examined.setup, examined.rig
    whole = {control.key: at.get(control.key, control.rest) for control in setup.controls}
    mirrored = {**whole, **{key: _turned_round(setup.control(key), whole[key]) for key in _swapped(examined)}}
    here, there = float(rig.at(whole).throw_mm[right.key]), float(rig.at(mirrored).throw_mm[left.key])
    apart = abs(here + there if right.role == "rudder" else here - there)
    text = say(
        _UNEVEN_MIRRORED if mirrored != whole else _UNEVEN_THERE,
        right=named(right),
        here=throw_words(here, right.role),
        where=with_positions(setup, at),
        left=named(left),
        there=throw_words(there, left.role),
        apart=or_more(length(apart), widest),
    )
    return Finding("caution", "uneven", f"surfaces/{right.key}", capital(text), at)


def _turned_round(control: Control, position: float) -> float:
    """The position on a control's other side; a switch that has none there moves nothing on that side."""
    other = -position + 0.0
    return other if not control.positions or other in control.positions else position


_UNEVEN_MIRRORED = later("{right} is {here} {where}, but {left} is {there} in the mirrored position: {apart} apart.")
_UNEVEN_THERE = later("{right} is {here} {where}, but {left} is {there} there: {apart} apart.")


def off_neutral(examined: Examined) -> Iterator[Finding]:
    """A surface off neutral by more than 0.5 mm with all controls at rest and stances left out, in any phase.

    The phase control counts as at rest too: what it moves by itself is a stance by another name.
    """
    for surface in examined.setup.surfaces:
        travels = [examined.travels.without_stance(surface.channel, phase) for phase in examined.phases]
        throws = examined.motions[surface.key].throw_mm(travels)
        worst = float(throws[np.argmax(np.abs(throws))])
        if abs(worst) > NEUTRAL_MM:
            text = say(
                "{surface} stands {throw} with all controls at rest, stances left out: it is not in its neutral.",
                surface=named(surface),
                throw=throw_words(worst, surface.role),
            )
            yield Finding("caution", "off-neutral", f"surfaces/{surface.key}", capital(text), {})
