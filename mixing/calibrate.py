"""From readings to numbers: a ruler's readings to a measured linkage, a pilot's observations to a compensation curve.

Both keep apart what was seen and what was not: residuals, play, gaps and ends where nothing is known are told.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .document import MOST_STATIONS, NARROWEST_PCT, Setup
from .language import say
from .linkage import Measured
from .response import Response
from .rig import Rig
from .solve.along import base_travel, coupling_of
from .solve.travel import surface_of, travels_for
from .throws import Array
from .wording import given, given_length, length_fixed, length_unit, signed, signed_length

WIDEST_MISFIT_MM = 1.0
"""A reading that lies further than this from the linkage that fits them all was misread, or the linkage slips."""

SAME_PLACE_PCT = 2.0
"""Observations whose control positions are this close are of one place."""

WIDEST_GAP_PCT = 50.0
"""Between observations further apart than this nobody knows; the curve is straight there and says so."""

_NOTHING_MM = 1e-9
"""So much is what is left of nothing in a sum of floats."""


class CalibrationError(ValueError):
    """Readings or observations that give no curve; the text names the one to look at."""


class Calibrated(NamedTuple):
    """A linkage from readings."""

    linkage: Measured
    residuals_mm: tuple[float, ...]
    """Each reading minus what the linkage gives, in the order of the readings [mm]."""
    spread_mm: float
    """The widest spread of readings at one pulse [mm]; 0 where none was repeated."""
    play_mm: float | None
    """By how much readings at one pulse differ between coming from shorter pulses and from longer ones, on the average
    of the pulses that were read from both sides [mm]; None where none was. An estimate: a ruler reads half a mm."""


class Observation(NamedTuple):
    """What a flight showed at one position of a control."""

    position: float
    """Where the control stood [%]."""
    needed_mm: float
    """The throw that was needed in addition, positive = down [mm]."""
    seen: float = 1.0
    """How often, or how surely: a weight above 0."""


class Compensation(NamedTuple):
    """A curve of additional throw along a control."""

    response: Response
    """Stations (control %, additional throw mm), end values held."""
    unknown: tuple[str, ...]
    """What the observations do not tell, a sentence each."""


def linkage(measurements: Sequence[tuple[float, float]]) -> Calibrated:
    """A measured linkage from readings on the bench.

    Readings at one pulse are averaged; where they came from both sides, each side counts as much, so that the play of
    the linkage is halved. From which side a reading comes is told by the reading before it. Where the averages turn
    back by no more than rulers do, they are fitted by least squares under the condition that throws rise (or fall) all
    the way: isotonic regression by pooling adjacent violators (R. E. Barlow et al., Statistical Inference under Order
    Restrictions, 1972, from memory).

    Parameters
    ----------
    measurements : [(pulse [µs], throw [mm]), ...]
        At least two different pulses, in the order in which they were read, repeated as often as they were.

    Returns
    -------
    Calibrated

    Raises
    ------
    CalibrationError
        Fewer than two pulses, something that is no number, throws that do not change, or a reading more than
        `WIDEST_MISFIT_MM` away from the linkage that fits them all: the text names it.

    Examples
    --------
    >>> linkage([(1000, -9), (1500, 0), (2000, 10), (1500, 1)]).linkage.points
    ((1000.0, -9.0), (1500.0, 0.5), (2000.0, 10.0))
    """
    table = np.asarray(measurements, dtype=np.float64).reshape(-1, 2)
    if not np.all(np.isfinite(table)):
        raise CalibrationError(
            say("a reading is not a number; give a pulse in µs and a throw in {unit}", unit=length_unit())
        )
    pulses, members = np.unique(table[:, 0], return_inverse=True)
    if len(pulses) < 2:
        text = say("there are readings at {count} pulse; give readings at two pulses at least", count=len(pulses))
        raise CalibrationError(text)
    counts = np.bincount(members).astype(np.float64)
    means = np.bincount(members, weights=table[:, 1]) / counts
    sides = _sides(table, members)
    both = ~np.isnan(sides).any(axis=0)
    means = np.where(both, sides.mean(axis=0), means)
    play = float(np.mean(np.abs(sides[1, both] - sides[0, both]))) if np.any(both) else None
    sign = 1.0 if np.sum(counts * (pulses - pulses.mean()) * (means - means.mean())) >= 0.0 else -1.0
    throws = sign * _pooled(sign * means, counts)
    fitted = Measured(points=tuple(zip(pulses.tolist(), throws.tolist(), strict=True)))
    residuals = table[:, 1] - fitted.throw_mm(table[:, 0])
    worst = int(np.argmax(np.abs(residuals)))
    if abs(residuals[worst]) > WIDEST_MISFIT_MM:
        pulse, throw = table[worst]
        text = say(
            "the reading of {throw} at {pulse} µs turns back against its neighbours: "
            "the others put it near {others}; read it again",
            throw=signed_length(throw),
            pulse=given(pulse),
            others=signed_length(throw - residuals[worst]),
        )
        raise CalibrationError(text)
    return Calibrated(fitted, tuple(residuals.tolist()), _spread(table[:, 1], members), play)


def _pooled(y: Array, weights: Array) -> Array:
    """The rising values nearest to `y`; where neighbours turn back they share their mean, a hair apart."""
    blocks: list[tuple[float, float, int]] = []
    for value, weight in zip(y.tolist(), weights.tolist(), strict=True):
        blocks.append((weight, weight * value, 1))
        while len(blocks) > 1 and blocks[-2][1] / blocks[-2][0] >= blocks[-1][1] / blocks[-1][0]:
            (w1, v1, n1), (w2, v2, n2) = blocks[-2:]
            blocks[-2:] = [(w1 + w2, v1 + v2, n1 + n2)]
    means = [total / weight for weight, total, _ in blocks]
    if len(means) < 2:
        raise CalibrationError(say("the throws do not change with the pulse: was the surface connected?"))
    hair = min(0.001, float(np.min(np.diff(means))) / (2.0 * len(y)))
    sizes = [size for _, _, size in blocks]
    return np.concatenate(
        [mean + hair * (np.arange(size) - (size - 1) / 2.0) for mean, size in zip(means, sizes, strict=True)]
    )


def _sides(table: Array, members: NDArray[np.intp]) -> Array:
    """Mean throws at each pulse, (2, pulses): read coming from shorter pulses, and from longer ones; NaN where never.

    A reading repeated without moving comes from the same side again.
    """
    moves = np.sign(np.diff(table[:, 0], prepend=table[0, 0]))
    last = np.maximum.accumulate(np.where(moves != 0.0, np.arange(len(moves)), 0))
    side = moves[last]
    sums = np.full((2, int(members.max()) + 1), np.nan)
    for row, sign in enumerate((1.0, -1.0)):
        own = members[side == sign]
        counts = np.bincount(own, minlength=sums.shape[1])
        totals = np.bincount(own, weights=table[side == sign, 1], minlength=sums.shape[1])
        sums[row] = np.where(counts > 0, totals / np.maximum(counts, 1), np.nan)
    return sums


def _spread(throws: Array, members: NDArray[np.intp]) -> float:
    spreads = [np.ptp(throws[members == place]) for place in np.unique(members)]
    return float(max(spreads))


def compensation(observations: Iterable[Observation | tuple[float, ...]], *, stowed: float = 100.0) -> Compensation:
    """A curve of additional throw along a control from what flights showed.

    Observations of one place are averaged by how often they were seen; with the control stowed nothing is needed.
    Between places the curve is straight, so it is monotone where they are; beyond the last it holds.

    Parameters
    ----------
    observations : Observation or (position [%], needed [mm]) or (position, needed, seen)
    stowed : position at which the control does nothing [%]

    Returns
    -------
    Compensation

    Raises
    ------
    CalibrationError
        No observation, a position outside −100 … 100, a weight that is not above 0, something that is no number.

    Examples
    --------
    >>> compensation([(0, 3), (-60, 5)]).response([100, 50, 0, -30]).tolist()
    [0.0, 1.5, 3.0, 4.0]
    """
    seen = [Observation(*observation) for observation in observations]
    if not seen:
        raise CalibrationError(say("there is no observation; give a position and the throw that was needed there"))
    for each in seen:
        if not np.all(np.isfinite(each)) or abs(each.position) > 100.0 or each.seen <= 0.0:
            text = say(
                "an observation at {position} % of {throw}, seen {seen} times: "
                "give a position within −100 … 100, a throw in {unit} and a weight above 0",
                position=given(each.position),
                throw=given_length(each.needed_mm),
                seen=given(each.seen),
                unit=length_unit(),
            )
            raise CalibrationError(text)
    places = _places(sorted(seen), stowed)
    if len(places) == 1:
        text = say(
            "every observation is at {position} %, where the control is stowed; give one away from it",
            position=given(stowed),
        )
        raise CalibrationError(text)
    stations = [(position, needed) for position, needed, _ in places]
    return Compensation(Response(stations), tuple(_unknown(places, stowed)))


_Place = tuple[float, float, float]


def _places(seen: list[Observation], stowed: float) -> list[_Place]:
    """By rising position: (position, needed, spread); the stowed one among them, where nothing is needed."""
    groups: list[list[Observation]] = []
    for each in seen:
        if groups and each.position - groups[-1][0].position <= SAME_PLACE_PCT:
            groups[-1].append(each)
        else:
            groups.append([each])
    places = [(stowed, 0.0, 0.0)]
    for group in groups:
        position, needed, weights = np.array(group).T
        at = float(np.average(position, weights=weights))
        if abs(at - stowed) > SAME_PLACE_PCT:
            places.append((at, float(np.average(needed, weights=weights)), float(np.ptp(needed))))
    return sorted(places)


def _unknown(places: list[_Place], stowed: float) -> Iterable[str]:
    for (low, _, _), (high, _, _) in pairwise(places):
        if high - low > WIDEST_GAP_PCT:
            told = {"low": signed(low), "high": signed(high)}
            yield say("Between {low} and {high} % nothing was seen; the curve is straight there.", **told)
    for end, held in ((-100.0, places[0]), (100.0, places[-1])):
        if held[0] != end:
            yield say("Beyond {end} % nothing was seen; the last value is held.", end=signed(held[0]))
    for at, needed, spread in places:
        if spread > WIDEST_MISFIT_MM:
            yield say(
                "At {position} % the flights differ by {spread}; {mean} is their mean.",
                position=signed(at),
                spread=f"{length_fixed(spread)} {length_unit()}",
                mean=signed_length(needed),
            )
    if len(places) == 2:
        yield say("One place only was seen; that nothing is needed at {stowed} % is assumed.", stowed=signed(stowed))


def compensated(
    setup: Setup, control: str, surface: str, wanted: Compensation, *, phase: str | None = None
) -> Response:
    """The response of a control on a surface's channel that adds a compensation to the throws of today.

    It has the stations of both, and those of an expo that was there, so that it keeps its shape between them; where
    nothing more is needed it stays as it was, whatever the linkage makes of it.

    Parameters
    ----------
    setup : Setup
    control, surface : keys, such as the brake lever and the elevator
    wanted : Compensation
    phase : key of a phase, optional

    Returns
    -------
    Response
        Stations (control %, travel %), not rounded; at the stations of both the throws are met exactly, save where
        these are more than a document holds: then those that bend it least are left out.

    Raises
    ------
    Unattainable, SolveError
        See `solve.response_for`.

    Examples
    --------
    >>> wanted = compensation([(0, 3), (-60, 5)])
    >>> [(x, round(travel, 1)) for x, travel in compensated(setup, "lever", "elevator", wanted).stations]
    [(-100.0, 50.5), (-60.0, 48.1), (0.0, 29.1), (100.0, 0.0)]
    """
    channel = surface_of(setup, surface).channel
    old = coupling_of(setup, control, channel, phase)
    line = old.response if old is not None else Response.from_ends(0.0, 0.0)
    x = _well_apart(np.clip(np.concatenate([[-100.0, 100.0], line.x, wanted.response.x]), -100.0, 100.0))
    base, factor = base_travel(setup, control, surface, x, phase=phase)
    today = Rig(setup).at({control: x}, phase=phase).throw_mm[surface]
    added, travel = wanted.response(x), line(x)
    moved = np.abs(added) > _NOTHING_MM
    travel[moved] = (travels_for(setup, surface, (today + added)[moved]) - base[moved]) / factor
    return Response(_thinned(np.column_stack([x, travel])).tolist())


def _well_apart(x: Array) -> Array:
    """Control positions [%] in order, without those nearer to the next than stations of a document may be."""
    places = np.unique(x)
    kept = places[np.diff(places, append=np.inf) >= NARROWEST_PCT]
    kept[0] = places[0]
    return kept


def _thinned(stations: Array) -> Array:
    """As many stations (control %, travel %) as a document holds: without those that bend the response least."""
    while len(stations) > MOST_STATIONS:
        x, travel = stations.T
        share = (x[1:-1] - x[:-2]) / (x[2:] - x[:-2])
        bend = np.abs(travel[:-2] + share * (travel[2:] - travel[:-2]) - travel[1:-1])
        stations = np.delete(stations, int(np.argmin(bend)) + 1, axis=0)
    return stations
