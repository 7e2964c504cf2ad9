"""Envelopes: the exact extremes of every channel and surface, and the positions of the controls that give them.

Exact for the compiled document, by these steps:

- Within one phase a channel's travel is a sum of products of polylines (`mixing.sums`); its extremes lie where every
  control stands at a station (`mixing.extremes`). Switches take their positions only.
- Sticks, levers and knobs move without a jump, so for each combination of the switches every travel between the
  lowest and the highest is attained.
- The limits hold the pulse, and a linkage is monotone between its turning points. A surface's extremes are therefore
  among the ends of these ranges and the turning points that lie within them.

Where the phase control stands decides the phase: a position without a phase is the first phase.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import product
from math import prod
from typing import NamedTuple

import numpy as np

from .document import Setup
from .extremes import Peak
from .motion import Motion
from .rig import Rig
from .sums import TravelSum
from .throws import Array
from .travels import Travels

MOST_SWITCHINGS = 4096
"""Combinations of switches that are looked at one by one, where a linkage turns."""

_SAME = 1e-12

Positions = dict[str, float]


@dataclass(frozen=True)
class Extent:
    """The lowest and highest of a value, and positions at which it is that.

    A control that is not in `low_at` or `high_at` is at rest there; the phase control is always in them. Where the same
    value is had at rest, the control is left out; of equal ones the end of its travel is named.
    """

    low: float
    low_at: Positions
    high: float
    high_at: Positions
    exact: bool = True
    """False where controls were so entangled that the search was ended: further extremes may exist."""


@dataclass(frozen=True)
class Envelope:
    """How far everything goes."""

    channels: Mapping[int, Extent]
    """By channel: the travel asked for, before the limits [%]."""
    surfaces: Mapping[str, Extent]
    """By surface: the deflection after limits and linkage [degrees], positive = trailing edge down (rudder: left)."""


def envelope(setup: Setup, phase: str | None = None) -> Envelope:
    """The extremes of every channel and surface.

    Parameters
    ----------
    setup : Setup
    phase : key of a phase, optional
        Only that phase, with the phase control at its position; otherwise all phases.

    Returns
    -------
    Envelope
        `Rig(setup).at(extent.low_at)` gives `extent.low`, and likewise for high.

    Raises
    ------
    PositionError
        No such phase.

    Examples
    --------
    >>> rudder = envelope(setup).surfaces["rudder"]
    >>> round(rudder.high, 1), rudder.high_at
    (38.0, {'roll': -100.0, 'yaw': -100.0, 'flightphase': 0.0})
    """
    travels = Travels(Rig(setup))
    return envelope_of(travels, travels.places_of(phase))


def envelope_of(travels: Travels, places: Sequence[float | None]) -> Envelope:
    """The envelope over these positions of the phase control."""
    channels = {
        channel.number: _Ends(_channel_candidates(travels, channel.number, places))
        for channel in travels.setup.channels
    }
    surfaces = {key: _Ends(surface_candidates(travels, motion, places)) for key, motion in travels.motions.items()}
    found = [*channels.values(), *surfaces.values()]
    frame = travels.rig.at(_columns(travels.setup, [at for ends in found for at in (ends.low_at, ends.high_at)]))
    rows = [frame.travel_pct[number] for number in channels] + [frame.deflection_deg[key] for key in surfaces]
    extents = [
        Extent(float(row[2 * index]), ends.low_at, float(row[2 * index + 1]), ends.high_at, ends.exact)
        for index, (ends, row) in enumerate(zip(found, rows, strict=True))
    ]
    return Envelope(
        channels=dict(zip(channels, extents, strict=False)),
        surfaces=dict(zip(surfaces, extents[len(channels) :], strict=True)),
    )


def _columns(setup: Setup, ats: list[Positions]) -> dict[str, Array]:
    return {control.key: np.array([at.get(control.key, control.rest) for at in ats]) for control in setup.controls}


class Candidate(NamedTuple):
    """A value that is attained, the travel that gives it, the positions, and whether nothing beyond it was missed."""

    value: float
    travel_pct: float
    at: Callable[[], Positions]
    exact: bool


class _Ends:
    """The lowest and highest of some candidates."""

    def __init__(self, candidates: Iterable[Candidate]) -> None:
        found = list(candidates)
        self.low_at = min(found, key=lambda candidate: candidate.value).at()
        self.high_at = max(found, key=lambda candidate: candidate.value).at()
        self.exact = all(candidate.exact for candidate in found)


def _channel_candidates(travels: Travels, number: int, places: Iterable[float | None]) -> Iterator[Candidate]:
    for place in places:
        total = travels.sum(number, place)
        for peak in travels.peaks(total):
            at = partial(_named, travels.fixed(place), total, peak.at, _SameTravel)
            yield Candidate(peak.value, peak.value, at, peak.exact)


def surface_candidates(travels: Travels, motion: Motion, places: Iterable[float | None]) -> list[Candidate]:
    """The deflections [degrees] among which a surface's extremes are."""
    found = []
    for place in places:
        total = travels.sum(motion.channel.number, place)
        alike = partial(_SameDeflection, motion)
        for peak, at in _travels_that_matter(travels, total, motion):
            found.append((peak, partial(_named, travels.fixed(place), total, at, alike)))
    values = motion.deflections(peak.value for peak, _ in found)
    return [Candidate(value, peak.value, named, peak.exact) for value, (peak, named) in zip(values, found, strict=True)]


class _SameTravel:
    """Whether other positions give the same travel."""

    def __init__(self, total: TravelSum, at: Positions) -> None:
        self._total = total
        self._wanted = total.value(at)

    def __call__(self, positions: Positions) -> bool:
        return _same(self._total.value(positions), self._wanted)


class _SameDeflection:
    """Whether other positions give the same deflection."""

    def __init__(self, motion: Motion, total: TravelSum, at: Positions) -> None:
        self._motion, self._total = motion, total
        self._travel = total.value(at)
        self._wanted = motion.deflections([self._travel])[0]

    def __call__(self, positions: Positions) -> bool:
        travel = self._total.value(positions)
        if travel == self._travel:
            return True
        if self._motion.certainly_differs(self._travel, travel):
            return False
        return _same(self._motion.deflections([travel])[0], self._wanted)


def _same(value: float, wanted: float) -> bool:
    return abs(value - wanted) <= _SAME * (1.0 + abs(wanted))


def _named(
    fixed: Positions,
    total: TravelSum,
    at: Positions | Callable[[], Positions],
    alike: Callable[[TravelSum, Positions], Callable[[Positions], bool]],
) -> Positions:
    found = dict(at() if callable(at) else at)
    return {**briefly(total, found, alike(total, found)), **fixed}


def _travels_that_matter(
    travels: Travels, total: TravelSum, motion: Motion
) -> Iterator[tuple[Peak, Positions | Callable[[], Positions]]]:
    """The ends of what the channel attains, and turning points of the linkage between them."""
    low, high = travels.peaks(total)
    if not motion.turns_within(low.value, high.value).size:
        yield from ((low, low.at), (high, high.at))
        return
    for held, complete in _switchings(total):
        low, high = travels.peaks(total.with_fixed(held))
        exact = complete and low.exact and high.exact
        start, end = {**low.at, **held}, {**high.at, **held}
        yield low._replace(exact=exact), start
        yield high._replace(exact=exact), end
        for turn in motion.turns_within(low.value, high.value).tolist():
            yield Peak(turn, {}, exact), partial(point_between, total, start, end, travel_pct=turn)


def _switchings(total: TravelSum) -> Iterator[tuple[Positions, bool]]:
    """Every combination of the positions of its switches; where there are too many, some, and False."""
    switches = [control for control in total.controls if control in total.switches]
    positions = [total.stations[control].tolist() for control in switches]
    complete = prod(len(values) for values in positions) <= MOST_SWITCHINGS
    for index, combination in enumerate(product(*positions)):
        if index >= MOST_SWITCHINGS:
            return
        yield dict(zip(switches, combination, strict=True)), complete


def point_between(total: TravelSum, start: Positions, end: Positions, *, travel_pct: float) -> Positions:
    """Positions on the straight way from `start` to `end` at which the travel is `travel_pct`, by bisection.

    The switches are the same at both ends, and the travel there lies on either side of what is asked for.
    """
    if not total.controls:
        return {}
    a = np.array([start.get(control, total.rests[control]) for control in total.controls])
    b = np.array([end.get(control, total.rests[control]) for control in total.controls])
    if total.value(dict(zip(total.controls, a.tolist(), strict=True))) > travel_pct:
        a, b = b, a

    def at(share: float) -> Positions:
        # Rounding must not carry a control past its end.
        between = np.clip(a + share * (b - a), np.minimum(a, b), np.maximum(a, b))
        return dict(zip(total.controls, between.tolist(), strict=True))

    near, far = 0.0, 1.0
    for _ in range(60):
        middle = (near + far) / 2.0
        near, far = (middle, far) if total.value(at(middle)) <= travel_pct else (near, middle)
    return at(near)


def tidied(total: TravelSum, at: Positions, value: Callable[[Positions], float]) -> Positions:
    """Positions that give the same value, said briefly; see `briefly`."""
    wanted = value(at)
    return briefly(total, at, lambda positions: _same(value(positions), wanted))


def briefly(total: TravelSum, at: Positions, alike: Callable[[Positions], bool]) -> Positions:
    """Positions as good as these, said briefly: what may as well be at rest is left out, and of equal positions an end
    is named."""
    for control in sorted(at):
        others = {key: position for key, position in at.items() if key != control}
        ends = () if control in total.switches else ({control: 100.0}, {control: -100.0})
        for position in ({}, *ends):
            simpler = {**others, **position}
            if alike(simpler):
                at = simpler
                break
    return at
