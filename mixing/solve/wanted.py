"""The best curve for wanted throws: near in millimetres at the surface, not in travel at the transmitter."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..document import Setup
from ..language import say
from ..response import Response
from ..rig import Rig
from ..throws import Array
from ..wording import control_label
from .along import base_travel
from .curve import Function, best_curve, evaluated
from .errors import SolveError
from .minimax import Samples, fixed_knots
from .travel import surface_of, travels_for

_SAMPLES = 801
_ROUNDS = 6
_LEAST_SLOPE = 0.05
"""Of the usual one: where a linkage nearly stands still, a travel counts at least so much."""


@dataclass(frozen=True)
class ThrowCurve:
    """A curve for wanted throws, and how near it comes."""

    response: Response
    """The stations (control %, travel %), not rounded; `with_response` puts it into a setup."""
    error_mm: float
    """The greatest difference from the wanted throw along the control [mm]."""
    error_at: float
    """The control position [%] of that."""
    sampled_error_mm: float
    """The same for as many evenly spaced points that meet the wanted throws exactly."""


def curve_for(
    setup: Setup,
    control: str,
    surface: str,
    wanted: Function,
    *,
    points: int | None = None,
    free_x: bool | None = None,
    phase: str | None = None,
) -> ThrowCurve:
    """The curve of N points that keeps a surface nearest to wanted throws along a control, others at rest.

    What the linkage makes of travel is reckoned with: the greatest error in mm is what is made small, by solving the
    linear problem of `best_curve` with the linkage's slopes as weights, anew about each solution (Gauss-Newton for
    the greatest error). It takes the place of what couples the control to the channel, as in `response_for`.

    Parameters
    ----------
    setup : Setup
    control, surface : keys; the control not a switch
    wanted : control % (array) → throw mm, positive = down (rudder: left); within reach from −100 to 100
    points, free_x : as in `best_curve`; those of the setup's transmitter where not given
    phase : key of a phase, optional; the phase at rest where not given

    Returns
    -------
    ThrowCurve
        Never further from the wanted throws than evenly spaced points that meet them.

    Raises
    ------
    Unattainable
        A wanted throw out of reach; the text says what would be needed.
    SolveError
        No such control or surface, a switch, a number of points out of range, a throw that is no number.

    Examples
    --------
    >>> curve = curve_for(setup, "lever", "right_flap", lambda x: (100 - x) / 5, points=5)
    >>> [round(travel, 1) for _, travel in curve.response.stations], round(curve.error_mm, 3)
    ([83.1, 62.4, 41.7, 20.9, 0.0], 0.006)
    """
    count = setup.signal.curve_points if points is None else points
    free = setup.signal.curve_free_x if free_x is None else free_x
    along = _Along(setup, control, surface, phase)
    throws = evaluated(wanted)
    knots = best_curve(lambda x: along.travel(throws(x), x), count, free).response.x
    x = np.unique(np.concatenate([np.linspace(-100.0, 100.0, _SAMPLES), knots, (knots[1:] + knots[:-1]) / 2.0]))
    even = np.linspace(-100.0, 100.0, count)
    plain = along.travel(throws(even), even)
    sampled, sampled_at = _worst(along, x, throws(x), np.interp(x, even, plain))
    ordinates, error, at = _fitted(along, x, throws(x), knots)
    if sampled < error:
        knots, ordinates, error, at = even, plain, sampled, sampled_at
    return ThrowCurve(Response(np.column_stack([knots, ordinates]).tolist()), error, at, sampled)


class _Along:
    """A surface along a control: from the coupling's travel to throws, and back."""

    def __init__(self, setup: Setup, control: str, surface: str, phase: str | None) -> None:
        kinds = {known.key: known.kind for known in setup.controls}
        if kinds.get(control) == "switch":
            text = say(
                "{control} is a switch; give a control that moves through", control=control_label(setup, control)
            )
            raise SolveError(text)
        self._where = setup, control, surface, phase
        self._surface = surface_of(setup, surface)
        self._rig = Rig(setup)
        self._channel = setup.channel(self._surface.channel)

    def _base(self, x: Array) -> tuple[Array, float]:
        setup, control, surface, phase = self._where
        return base_travel(setup, control, surface, x, phase=phase)

    def travel(self, throw: Array, x: Array) -> Array:
        """The coupling's travel [%] that gives throws [mm] at control positions [%]."""
        base, factor = self._base(x)
        return np.asarray((travels_for(self._where[0], self._surface.key, throw) - base) / factor)

    def throw(self, travel: Array, x: Array) -> Array:
        """Throws [mm] for the coupling's travel [%], through limits and linkage."""
        base, factor = self._base(x)
        pulse, _ = self._rig.pulse(self._channel, base + factor * travel)
        return self._rig.follow(self._surface, pulse).throw_mm(chord_mm=self._surface.chord_mm)

    def slope(self, travel: Array, x: Array) -> Array:
        """mm for 1 % of travel there, never quite 0."""
        step = 0.01
        slope = (self.throw(travel + step, x) - self.throw(travel - step, x)) / (2.0 * step)
        least = _LEAST_SLOPE * max(float(np.median(np.abs(slope))), 1e-9)
        return np.asarray(np.where(np.abs(slope) < least, np.copysign(least, slope), slope))


def _fitted(along: _Along, x: Array, wanted: Array, knots: Array) -> tuple[Array, float, float]:
    """Ordinates over fixed stations: solved about the exact travel first, then about each solution while it gains."""
    about = along.travel(wanted, x)
    best: tuple[Array, float, float] | None = None
    for _ in range(_ROUNDS):
        slope = along.slope(about, x)
        target = about - (along.throw(about, x) - wanted) / slope
        ordinates = fixed_knots(Samples(x, target, np.abs(slope)), knots)
        about = np.interp(x, knots, ordinates)
        error, at = _worst(along, x, wanted, about)
        if best is not None and error > best[1] * (1.0 - 1e-6):
            break
        best = ordinates, error, at
    assert best is not None
    return best


def _worst(along: _Along, x: Array, wanted: Array, travel: Array) -> tuple[float, float]:
    error = np.abs(along.throw(travel, x) - wanted)
    worst = int(np.argmax(error))
    return float(error[worst]), float(x[worst])
