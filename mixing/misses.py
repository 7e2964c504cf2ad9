"""Which throws a model cannot give that another one gave: with each control alone, and with all of them together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from .carrier import Carrier
from .differences import Value, differences
from .document import Control, Setup, Surface
from .language import say
from .motion import Motion
from .positions import with_positions
from .rig import Rig
from .throws import Array
from .travels import Travels
from .wording import throw_words

TELL_MM = 0.5
"""Differences up to this much are within what a ruler reads on a model."""
_MORE_MM = 0.1
"""What misses by no more than this beyond what was told already is not told again."""


class Miss(NamedTuple):
    """A throw that could not be carried over."""

    surface: str
    """Key of the surface on the model that it was carried to."""
    where: str
    """Where the controls stand, in words: "with aileron stick full right, in cruise"."""
    wanted_mm: float
    got_mm: float
    text: str
    """One sentence without its full stop."""


def between(before: Rig, after: Rig, carriers: Sequence[Carrier]) -> Iterator[Miss]:
    """What differs by more than `TELL_MM` between two models with the same controls and phases.

    In every phase each control alone is looked at, at every station and end; then all of them together anywhere, as
    exactly as the audit does: of that the worst is told, a surface each, where it is more than what was told of it.
    """
    told: dict[str, float] = {}
    for miss in _alone(before, after, carriers):
        told[miss.surface] = max(told.get(miss.surface, 0.0), abs(miss.wanted_mm - miss.got_mm))
        yield miss
    travels = Travels(before), Travels(after)
    for carrier in carriers:
        yield from _together(travels, carrier, told.get(carrier.target.key, 0.0))


def along(
    setup: Setup, surface: Surface, at: Sequence[Mapping[str, float]], wanted: Array, got: Array
) -> Iterator[Miss]:
    """The worst miss of a surface among positions of its controls, where it is one.

    Parameters
    ----------
    at : (N,) positions by control
    wanted, got : (N,) throws there [mm]
    """
    worst = int(np.argmax(np.abs(wanted - got)))
    if abs(wanted[worst] - got[worst]) > TELL_MM:
        yield _miss(setup, surface, at[worst], float(wanted[worst]), float(got[worst]))


def places_of(setup: Setup, control: Control) -> Array:
    """Ends, rest and stations of a control, (N,) rising [%]; a switch's positions."""
    if control.positions:
        return np.array(control.positions)
    own = [x for coupling in setup.couplings if coupling.control == control.key for x, _ in coupling.stations]
    return np.unique(np.array([*control.ends, control.rest, *own]))


def _alone(before: Rig, after: Rig, carriers: Sequence[Carrier]) -> Iterator[Miss]:
    setup = before.setup
    for phase in [{one.control: one.position} for one in setup.phases] or [{}]:
        rest = before.at(phase).travel_pct, after.at(phase).travel_pct
        known = {}
        for carrier in carriers:
            wanted, got = _throws(carrier, *rest)
            known[carrier.target.key] = abs(float(wanted - got))
            yield from along(setup, carrier.target, [phase], np.atleast_1d(wanted), np.atleast_1d(got))
        for control in setup.controls:
            if control.key == before.phase_control:
                continue
            places = places_of(setup, control)
            travels = [rig.at({**phase, control.key: places}).travel_pct for rig in (before, after)]
            at = [{control.key: place, **phase} for place in places.tolist()]
            for carrier in carriers:
                wanted, got = _throws(carrier, *travels)
                if np.max(np.abs(wanted - got)) > known[carrier.target.key] + _MORE_MM:
                    yield from along(setup, carrier.target, at, wanted, got)


def _throws(carrier: Carrier, before: Mapping[int, Array], after: Mapping[int, Array]) -> tuple[Array, Array]:
    return carrier.wanted_mm(before[carrier.source.channel]), carrier.got_mm(after[carrier.target.channel])


def _together(travels: tuple[Travels, Travels], carrier: Carrier, told_mm: float) -> Iterator[Miss]:
    """The worst miss of a surface in any phase, with its controls anywhere."""
    before, after = travels
    worst, found = max(told_mm + _MORE_MM, TELL_MM), None
    bends = [Motion(t.rig, one).bends for t, one in zip(travels, (carrier.source, carrier.target), strict=True)]
    for place in before.places:
        wanted = Value(before.sum(carrier.source.channel, place), carrier.wanted_mm, bends[0])
        got = Value(after.sum(carrier.target.channel, place), carrier.got_mm, bends[1])
        for difference in differences(before, wanted, got, both=True):
            if difference.value > worst:
                at = {**difference.at(), **before.fixed(place)}
                worst, found = difference.value, (at, float(wanted.at(at)), float(got.at(at)))
    if found is not None:
        yield _miss(before.setup, carrier.target, *found)


def _miss(setup: Setup, surface: Surface, at: Mapping[str, float], wanted: float, got: float) -> Miss:
    where = with_positions(setup, at)
    text = say(
        "{surface}, {where}: {wanted} wanted, {got} is what this model gives",
        surface=surface.label,
        where=where,
        wanted=throw_words(wanted, surface.role),
        got=throw_words(got, surface.role),
    )
    return Miss(surface.key, where, wanted, got, text)
