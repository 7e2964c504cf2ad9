"""Pairs whose two sides are edited as one: what is typed on one side is given to the other."""

from collections.abc import Container
from dataclasses import dataclass

import numpy as np

from hangar.pictures.words import together
from mixing import Setup
from mixing.document import Coupling, Surface
from mixing.misses import TELL_MM
from mixing.rig import Rig
from mixing.solve.ends import TRAVEL_DIGITS
from mixing.transplant import mirror, partner

_ALIKE_PCT = 1.0
"""Travels this near each other mirror: linkages that were measured are never quite alike."""


@dataclass(frozen=True)
class Tie:
    """A pair, and whether its sides are edited as one."""

    name: str
    label: str
    surfaces: tuple[Surface, Surface]
    tied: bool


def ties(setup: Setup, chosen: Container[str] | None = None) -> list[Tie]:
    """Every pair on channels of its own; tied as `chosen` names them, else where its couplings and stances mirror."""
    found = []
    for surface in setup.surfaces:
        other = partner_of(setup, surface)
        if other is not None and setup.surfaces.index(surface) < setup.surfaces.index(other):
            name, label = f"tie-{surface.key}", together((surface.label, other.label))
            tied = name in chosen if chosen is not None else mirrors(setup, surface, other)
            found.append(Tie(name, label, (surface, other), tied))
    return found


def partner_of(setup: Setup, surface: Surface) -> Surface | None:
    """The surface on the other side, on another channel; None where there is none."""
    try:
        other = partner(setup, surface)
    except KeyError:
        return None
    return other if other.channel != surface.channel else None


def mirrors(setup: Setup, one: Surface, other: Surface) -> bool:
    """Whether the two sides do the same with every control, and stand alike in every phase."""
    frames = [Rig(setup).at({}, phase=phase.key) for phase in setup.phases]
    if any(abs(float(f.throw_mm[one.key] - f.throw_mm[other.key])) > TELL_MM for f in frames):
        return False
    places = {(c.control, c.phase) for c in setup.couplings if c.channel in (one.channel, other.channel)}
    return all(is_mirrored(setup, (one, other), control, phase) for control, phase in places)


def other_side(setup: Setup, channel: int) -> tuple[Surface, Surface] | None:
    """The surface that has this channel to itself, and its partner, which has one too; None where there is no pair."""
    here = setup.surfaces_on(channel)
    other = partner_of(setup, here[0]) if len(here) == 1 else None
    return (here[0], other) if other is not None and len(setup.surfaces_on(other.channel)) == 1 else None


def mirrored(setup: Setup, surface: Surface, control: str, phase: str | None) -> Coupling:
    """The coupling that makes the other side do what this surface does."""
    coupling, _misses = mirror(setup, surface=surface.key, control=control, phase=phase)
    stations = tuple((float(x) + 0.0, float(np.round(y, TRAVEL_DIGITS)) + 0.0) for x, y in coupling.stations)
    return coupling.model_copy(update={"stations": stations})


def is_mirrored(setup: Setup, sides: tuple[Surface, Surface], control: str, phase: str | None) -> bool:
    """Whether a control makes both sides do the same, which it also does where it moves neither."""
    known = {c.channel: c for c in setup.couplings if (c.control, c.phase) == (control, phase)}
    mine, theirs = (known.get(surface.channel) for surface in sides)
    if mine is None or theirs is None:
        return mine is theirs
    return _alike(mirror(setup, surface=sides[0].key, control=control, phase=phase)[0], theirs)


def _alike(wanted: Coupling, given: Coupling) -> bool:
    x = np.union1d(wanted.response.x, given.response.x)
    apart = np.max(np.abs(wanted.response(x) - given.response(x)))
    return bool(apart <= _ALIKE_PCT) and wanted.fades == given.fades
