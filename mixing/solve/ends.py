"""A wanted travel at one end of a control, or at one position of a rate switch, with the shape of the response kept."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..document import Control, Coupling, Fade, Setup
from ..language import say
from ..response import Response, behind_expo
from ..rig import Rig
from ..wording import control_label, number, signed
from .along import base_travel, coupling_of
from .errors import SolveError
from .travel import surface_of

TRAVEL_DIGITS = 2
"""Travels are solved to 0.01 %: less than any servo follows, and short enough to read."""
_FACTOR_DIGITS = 2
_SAME_PCT = 1e-6

Stations = list[tuple[float, float]]


def with_end(
    setup: Setup, control: str, surface: str, position: float, travel_pct: float, *, phase: str | None = None,
    own: bool = False,
) -> Setup:  # fmt: skip
    """The setup whose channel has a wanted travel at an end of a control (or a position of a switch), others at rest.

    What other controls at rest and the stance add is taken off, and the fades at rest are reckoned with, as in
    `response_for`. What the channel does with the control at rest stays. On the way from there to the end a straight
    response stays straight and one that bends is scaled as a whole; the other side of rest is left alone.

    Parameters
    ----------
    control, surface : keys
    position : −100 or 100; any of its positions for a switch
    travel_pct : wanted of the surface's channel in all [%]
    phase : key of a phase, optional; the phase at rest where not given
    own : whether the phase gets a coupling of its own where it has none yet

    Raises
    ------
    Unattainable
        The coupling is faded out while its fading controls are at rest.
    SolveError
        A response that comes back to where it began: its end says nothing of its shape.
    SetupError
        A travel that no document can hold.

    Examples
    --------
    >>> higher = with_end(setup, "pitch", "elevator", 100, -60)
    >>> next(one.stations for one in higher.couplings if one.control == "pitch")
    ((-100.0, 80.0), (0.0, 0.0), (100.0, -60.0))
    """
    channel = surface_of(setup, surface).channel
    part = setup.control(control)
    base, factor = base_travel(setup, control, surface, np.array([position]), phase=phase)
    wanted = round((travel_pct - float(base[0])) / factor, TRAVEL_DIGITS) + 0.0
    old = coupling_of(setup, control, channel, phase)
    if old is None and wanted == 0.0:
        return setup
    start = old if old is not None else _flat(part, channel)
    stations = _switched(start, part, position, wanted) if part.positions else _ended(start, part, position, wanted)
    new = start.model_copy(
        update={
            "stations": tuple(stations),
            "phase": phase if own else start.phase,
            "expo_pct": 0.0 if part.positions else start.expo_pct,
        }
    )
    return setup.changed(couplings=[*(c for c in setup.couplings if c.place != new.place), new.model_dump()])


def with_rate(
    setup: Setup, control: str, surface: str, position: float, travel_pct: float, *, switch: str, at: float,
    phase: str | None = None,
) -> Setup:  # fmt: skip
    """The setup in which a switch that fades a coupling lets through what gives a wanted travel with the switch there.

    Parameters
    ----------
    control, surface : keys; what couples the two is faded by `switch`
    position : of the control [%]
    travel_pct : wanted of the surface's channel in all, with the switch at `at` and all other controls at rest [%]

    Raises
    ------
    SolveError
        The switch does not fade it, or would have to let through less than nothing or more than all.

    Examples
    --------
    >>> switch = {"key": "rate", "label": "Rates", "kind": "switch", "plus": "up"}
    >>> switch |= {"rest": 100, "positions": [-100, 100]}
    >>> fade = {"control": "rate", "stations": [[-100, 50], [100, 100]]}
    >>> pitch = {"control": "pitch", "channel": 4, "stations": [[-100, 80], [100, -80]], "fades": [fade]}
    >>> others = [one for one in setup.couplings if one.control != "pitch"]
    >>> rated = setup.changed(controls=[*setup.controls, switch], couplings=[*others, pitch])
    >>> calmer = with_rate(rated, "pitch", "elevator", 100, -32, switch="rate", at=-100)
    >>> [one.fades[0].stations for one in calmer.couplings if one.control == "pitch"]
    [((-100.0, 40.0), (100.0, 100.0))]
    """
    channel = surface_of(setup, surface).channel
    old = coupling_of(setup, control, channel, phase)
    fade = next((one for one in old.fades if one.control == switch), None) if old is not None else None
    names = {"control": control_label(setup, control), "switch": control_label(setup, switch)}
    if old is None or fade is None:
        raise SolveError(
            say("{switch} does not fade what {control} does here; open the response and add the fade", **names)
        )
    there = {control: position, switch: at}
    base = float(_travel(setup, old, None, channel, there, phase))
    whole = float(_travel(setup, old, _let_through(old, setup.control(switch), at, 100.0), channel, there, phase))
    if abs(whole - base) < _SAME_PCT:
        text = say(
            "{control} does nothing at this end, so no part of it can be let through; give it a throw first",
            control=names["control"],
        )
        raise SolveError(text)
    share = round(100.0 * (travel_pct - base) / (whole - base), _FACTOR_DIGITS) + 0.0
    if not 0.0 <= share <= 100.0:
        text = say(
            "{switch} lets through 0 to 100 % of the response, which is {travel} % travel here; this would need "
            "{share} %: raise the throw at the other position of {switch} first",
            switch=names["switch"],
            travel=number(whole),
            share=number(share),
        )
        raise SolveError(text)
    new = _let_through(old, setup.control(switch), at, share)
    return setup.changed(couplings=[*(c for c in setup.couplings if c is not old), new])


def _travel(
    setup: Setup, old: Coupling, new: Coupling | None, channel: int, there: dict[str, float], phase: str | None
) -> float:
    """The travel of the channel with another coupling, or none, in the place of `old`."""
    # A general coupling must not step in where the phase's own is taken out.
    others = [c for c in setup.couplings if (c.control, c.channel) != (old.control, old.channel)]
    changed = setup.changed(couplings=[*others, *([new] if new is not None else [])])
    return float(Rig(changed).at(dict(there), phase=phase).travel_pct[channel])


def _let_through(coupling: Coupling, switch: Control, at: float, factor: float) -> Coupling:
    """The coupling whose fade by a switch lets through `factor` % at one of its positions."""
    fades = []
    for fade in coupling.fades:
        if fade.control == switch.key:
            places = {position: float(fade.factor(position)) for position in switch.positions or ()}
            fades.append(Fade(control=switch.key, stations=tuple(sorted({**places, at: factor}.items()))))
        else:
            fades.append(fade)
    return coupling.model_copy(update={"fades": tuple(fades)})


def _flat(control: Control, channel: int) -> Coupling:
    low, high = control.ends
    return Coupling(control=control.key, channel=channel, stations=((low, 0.0), (high, 0.0)))


def _switched(coupling: Coupling, switch: Control, position: float, travel: float) -> Stations:
    """A station at every position that is needed: between its positions a switch never stands."""
    given = {each: float(coupling.response(each)) for each in switch.positions or ()}
    return _needed(sorted({**given, position: travel}.items()))


def _ended(coupling: Coupling, control: Control, position: float, travel: float) -> Stations:
    """The stations with a new travel at one end, the side between rest and that end scaled with it."""
    way = 1.0 if position > 0.0 else -1.0
    points = sorted((way * x, y) for x, y in coupling.stations)
    rest = way * float(behind_expo(control.rest, coupling.expo_pct))
    # Where the control rests at this very end, the other end is what stays.
    pivot = rest if rest < 100.0 else -100.0
    stays = float(Response(points)(pivot))
    below, above = [p for p in points if p[0] < pivot], [p for p in points if p[0] > pivot]
    inner = _scaled(above[:-1], stays, above[-1][1], travel) if above else []
    last = (above[-1][0] if above else 100.0, travel)
    turn = [(pivot, stays)] if len(above) < len(points) else []
    done = _without(pivot, [*below, *turn, *inner, last])
    return sorted((way * x + 0.0, y + 0.0) for x, y in done)


def _scaled(inner: Stations, stays: float, before: float, after: float) -> Stations:
    if all(abs(y - stays) < _SAME_PCT for _, y in inner):
        return inner
    if abs(before - stays) < _SAME_PCT:
        text = say(
            "this response bends and comes back to {travel} % at its end, so it cannot be scaled by its end; "
            "open the response and set its stations",
            travel=signed(stays),
        )
        raise SolveError(text)
    ratio = (after - stays) / (before - stays)
    return [(x, round(stays + (y - stays) * ratio, TRAVEL_DIGITS)) for x, y in inner]


def _without(x: float, points: Stations) -> Stations:
    """The points without the one at x where it lies on the straight line between its neighbours."""
    place = next((n for n, point in enumerate(points) if point[0] == x), None)
    if place is None or place in (0, len(points) - 1) or not _on_line(*points[place - 1 : place + 2]):
        return points
    return [*points[:place], *points[place + 1 :]]


def _needed(points: Sequence[tuple[float, float]]) -> Stations:
    kept = list(points)
    for x, _ in points[1:-1]:
        kept = _without(x, kept)
    return kept


def _on_line(before: tuple[float, float], here: tuple[float, float], after: tuple[float, float]) -> bool:
    share = (here[0] - before[0]) / (after[0] - before[0])
    return abs(before[1] + share * (after[1] - before[1]) - here[1]) < _SAME_PCT
