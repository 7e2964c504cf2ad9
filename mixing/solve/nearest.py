"""The curve for a response that bends where the transmitter has no point: nearest in mm at the model."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ..document import Coupling, Setup, Surface
from ..response import Response
from ..rig import Rig
from ..throws import Array
from .along import at_rest
from .curve import best_curve
from .knots import free_knots
from .minimax import Samples, fixed_knots

Points = tuple[tuple[float, float], ...]

_SAMPLES = 801
_ROUNDS = 6
_LEAST_SLOPE = 0.05
"""Of the usual one: where a surface is held or nearly stands still, a travel counts at least so much."""
_STEP_PCT = 0.01


class Nearest(NamedTuple):
    """A curve in the place of a response."""

    points: Points
    """(control %, travel %), not rounded."""
    error_mm: float | None
    """The greatest difference in throw along the control, the others at rest [mm]; None where no surface moves."""
    error_pct: float
    """The greatest difference in travel along the control [%]."""


def nearest_curve(setup: Setup, coupling: Coupling) -> Nearest:
    """The curve of the transmitter's points that keeps a channel's surfaces nearest to what a response asks of them.

    What the linkages make of travel is reckoned with, the other controls at rest in a phase where the coupling works:
    the linear problem of `best_curve` is solved with mm per % of travel as weights, anew with those of each solution.
    Where the fades take all of it at rest it counts as not faded. A channel without surfaces is kept near in travel.

    Parameters
    ----------
    setup : Setup
    coupling : one of its couplings, of a control that moves through

    Returns
    -------
    Nearest
        Never further off in mm than the best curve in travel, or as many evenly spaced points on the response.
    """
    line, count, free = Response(coupling.stations), setup.signal.curve_points, setup.signal.curve_free_x
    plain = best_curve(line, count, free)
    even = np.linspace(-100.0, 100.0, count)
    candidates = [(plain.response.x, plain.response.travel), (even, line(even))]
    x = np.linspace(-100.0, 100.0, _SAMPLES)
    x = np.unique(np.concatenate([x, np.clip(line.x, -100.0, 100.0), plain.response.x, even]))
    moved = _Moved(setup, coupling, x) if setup.surfaces_on(coupling.channel) else None
    if moved is None:
        return _as_nearest(line, x, plain.response.x, plain.response.travel, None)
    knots = plain.response.x
    if free and count > 2:
        knots, _ = free_knots(Samples(x, line(x), moved.weight(line(x), line(x))), count)
    candidates += [_fitted(moved, line, x, knots), _fitted(moved, line, x, plain.response.x)]
    off = [moved.error_mm(np.interp(x, *candidate), line(x)) for candidate in candidates]
    best = int(np.argmin(off))
    return _as_nearest(line, x, *candidates[best], off[best])


def _as_nearest(line: Response, x: Array, knots: Array, values: Array, error_mm: float | None) -> Nearest:
    off = float(np.max(np.abs(np.interp(x, knots, values) - line(x))))
    return Nearest(tuple(zip(knots.tolist(), values.tolist(), strict=True)), error_mm, off)


def _fitted(moved: _Moved, line: Response, x: Array, knots: Array) -> tuple[Array, Array]:
    """Values at fixed points: with the weights of the response itself first, then with those of each solution."""
    middles = (knots[1:] + knots[:-1]) / 2.0
    every = np.unique(np.concatenate([x, knots, middles]))
    travel = line(x)
    best, least = line(knots), np.inf
    for _ in range(_ROUNDS):
        weight = np.interp(every, x, moved.weight(travel, line(x)))
        values = fixed_knots(Samples(every, line(every), weight), knots)
        travel = np.interp(x, knots, values)
        error = moved.error_mm(travel, line(x))
        if error >= least * (1.0 - 1e-6):
            break
        best, least = values, error
    return knots, best


class _Moved:
    """What a channel's surfaces do along a control for the travel of one coupling, at positions (N,) of its curve."""

    def __init__(self, setup: Setup, coupling: Coupling, x: Array) -> None:
        self._rig = Rig(setup)
        self._channel = setup.channel(coupling.channel)
        self._surfaces = setup.surfaces_on(coupling.channel)
        phase = _phase_of(self._rig, coupling)
        control = setup.control(coupling.control)
        place = coupling.control, coupling.channel
        others = tuple(one for one in setup.couplings if (one.control, one.channel) != place)
        # Expo comes before the curve: the curve's positions are where expo has carried the control.
        softened = Response.from_ends(-100.0, 100.0).with_expo(coupling.expo_pct)
        at = np.interp(x, softened.travel, softened.x)
        frame = Rig(setup.model_copy(update={"couplings": others})).at({control.key: at}, phase=phase)
        self._base = frame.travel_pct[coupling.channel]
        rest = at_rest(setup, phase)
        faded = float(np.prod([fade.factor(rest[fade.control]) / 100.0 for fade in coupling.fades]))
        self._factor = faded or 1.0

    def _throw(self, surface: Surface, travel: Array) -> Array:
        pulse, _ = self._rig.pulse(self._channel, self._base + self._factor * travel)
        return self._rig.follow(surface, pulse).throw_mm(chord_mm=surface.chord_mm)

    def _off_mm(self, travel: Array, wanted: Array) -> Array:
        """How far the surface that is furthest off is from where the wanted travel has it."""
        off = [np.abs(self._throw(one, travel) - self._throw(one, wanted)) for one in self._surfaces]
        return np.asarray(np.max(off, axis=0))

    def error_mm(self, travel: Array, wanted: Array) -> float:
        """The greatest difference along the control."""
        return float(np.max(self._off_mm(travel, wanted)))

    def weight(self, travel: Array, wanted: Array) -> Array:
        """mm for 1 % of travel on the way from the wanted travel to another, never quite 0."""
        apart = np.abs(travel - wanted)
        near = self._off_mm(wanted + _STEP_PCT, wanted - _STEP_PCT) / (2.0 * _STEP_PCT)
        slope = np.where(apart > _STEP_PCT, self._off_mm(travel, wanted) / np.maximum(apart, _STEP_PCT), near)
        return np.maximum(slope, _LEAST_SLOPE * max(float(np.median(near)), 1e-9))


def _phase_of(rig: Rig, coupling: Coupling) -> str | None:
    """A phase in which a coupling works: its own, or the first that has no other in its place."""
    return next((phase.key for phase in rig.setup.phases if coupling in rig.couplings(phase.key)), None)
