"""What a response asks of the transmitter and of the servo, and whether the nose is held while braking."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..differences import Difference
from ..document import Control, Coupling, Setup
from ..language import say
from ..places import as_text, coupling_place
from ..positions import with_positions
from ..purposes import BRAKES, PITCH
from ..rounding import round_to_step
from ..throws import Array
from ..travels import Travels
from ..wording import capital, channel_label, length, lowered, number, size, together
from .finding import Examined, Finding
from .words import named, or_more, told_apart

STEEP = 10.0
"""Travel % per control % above which a response counts as a jump."""

ROUNDING_MM = 0.5

_SAME_PCT = 1e-6


def jump(examined: Examined) -> Iterator[Finding]:
    """A response steeper than 10 travel % per control %; a switch jumps by its nature and is left out."""
    for coupling in examined.setup.couplings:
        control = examined.setup.control(coupling.control)
        if control.positions:
            continue
        response = coupling.response
        slopes = np.abs(np.diff(response.travel) / np.diff(response.x))
        steepest = int(np.argmax(slopes))
        if slopes[steepest] > STEEP * (1.0 + 1e-9):
            start, end = told_apart(response.x[steepest : steepest + 2].tolist())
            step = abs(response.travel[steepest + 1] - response.travel[steepest])
            text = say(
                "{response} jumps by {step} % of travel between {start} % and {end} %: "
                "{slope} % for 1 % of the control.",
                response=_name(examined.setup, coupling),
                step=size(step),
                start=start,
                end=end,
                slope=number(slopes[steepest]),
            )
            yield Finding("caution", "jump", _where(coupling), text, {control.key: float(response.x[steepest])})


def curve_points(examined: Examined) -> Iterator[Finding]:
    """A response with more stations than the transmitter's curve has, or off its fixed grid.

    Counted are the ends and the stations at which the response bends: a station on a straight line needs no entry. The
    positions of a switch are no curve.
    """
    signal = examined.setup.signal
    grid = np.linspace(-100.0, 100.0, signal.curve_points)
    for coupling in examined.setup.couplings:
        if examined.setup.control(coupling.control).positions:
            continue
        needed = bends_of(coupling)
        off = [x for x in needed if np.min(np.abs(grid - x)) > _SAME_PCT]
        name, where = _name(examined.setup, coupling), _where(coupling)
        if len(needed) > signal.curve_points:
            text = say(
                "{response} needs {count} stations; the transmitter's curve has {points}.",
                response=name,
                count=len(needed),
                points=signal.curve_points,
            )
            yield Finding("note", "curve-points", where, text, {})
        elif off and not signal.curve_free_x:
            places = together(f"{told_apart([x, *grid])[0]} %" for x in off)
            text = say(
                "{response} bends at {places}, where the transmitter's curve of {points} points has none.",
                response=name,
                places=places,
                points=signal.curve_points,
            )
            yield Finding("note", "curve-points", where, text, {})


def bends_of(coupling: Coupling) -> list[float]:
    """The ends of the control's travel and the stations between them at which the response bends [%]."""
    ends = [-100.0, 100.0]
    stations = dict(coupling.stations)
    values = np.interp(ends, list(stations), list(stations.values()))
    points = sorted({**dict(zip(ends, values.tolist(), strict=True)), **stations}.items())
    bends = []
    for (x0, y0), (x1, y1), (x2, y2) in zip(points, points[1:], points[2:], strict=False):
        if abs(y1 - (y0 + (y2 - y0) * (x1 - x0) / (x2 - x0))) > _SAME_PCT:
            bends.append(x1)
    return [-100.0, *bends, 100.0]


def rounding(examined: Examined) -> Iterator[Finding]:
    """Rounding to the transmitter's step moves some throw by more than 0.5 mm, anywhere and in any phase."""
    rounded = rounded_setup(examined.setup)
    if rounded is None:
        return
    travels = Travels(type(examined.rig)(rounded))
    for surface in examined.setup.surfaces:
        worst: tuple[Difference, float | None] | None = None
        for place in examined.places:
            now, then = examined.total(surface.channel, place), travels.sum(surface.channel, place)
            if now.same_as(then) or examined.never_apart(surface, now, then, ROUNDING_MM):
                continue
            for off in examined.most_apart(examined.throw(surface, now), examined.throw(surface, then)):
                if off.value > (ROUNDING_MM if worst is None else worst[0].value):
                    worst = off, place
        if worst is not None:
            at = examined.at(worst[1], worst[0].at())
            text = say(
                "Entered in steps of {step} %, {surface} is {length} off {where}.",
                step=number(examined.setup.signal.step_pct, 2),
                surface=named(surface),
                length=or_more(length(worst[0].value, 2), worst[0]),
                where=with_positions(examined.setup, at),
            )
            yield Finding("note", "rounding", f"surfaces/{surface.key}", text, at)


def rounded_setup(setup: Setup) -> Setup | None:
    """The setup as entered: travel of stations and stances, factors of fades and expo rounded to the step.

    None where that is the setup itself.
    """
    step = setup.signal.step_pct
    values = np.array([
        *(value for coupling in setup.couplings for value in _entries(coupling)),
        *(travel for phase in setup.phases for travel in phase.stance.values()),
    ])  # fmt: skip
    entered = round_to_step(values, step)
    if np.array_equal(entered, values):
        return None
    left = iter(entered.tolist())

    def entry(low: float, high: float) -> float:
        return float(min(max(next(left), low), high))

    def line(stations: tuple[tuple[float, float], ...], low: float, high: float) -> list[tuple[float, float]]:
        return [(x, entry(low, high)) for x, _ in stations]

    couplings = [
        {
            **coupling.model_dump(),
            "stations": line(coupling.stations, -400.0, 400.0),
            "expo_pct": entry(-50.0, 100.0),
            "fades": [
                {"control": fade.control, "stations": line(fade.stations, 0.0, 100.0)} for fade in coupling.fades
            ],
        }
        for coupling in setup.couplings
    ]
    phases = [
        {**dict(phase), "stance": {number: entry(-400.0, 400.0) for number in phase.stance}} for phase in setup.phases
    ]
    return setup.changed(couplings=couplings, phases=phases)


def _entries(coupling: Coupling) -> Iterator[float]:
    """What of a coupling is rounded, in the order of the document."""
    yield from (travel for _, travel in coupling.stations)
    yield coupling.expo_pct
    for fade in coupling.fades:
        yield from (factor for _, factor in fade.stations)


def uncompensated_brake(examined: Examined) -> Iterator[Finding]:
    """A range of a brake control in which a surface brakes and no pitch surface follows the same control."""
    for control, _ in examined.controls_with("brake"):
        told: set[tuple[tuple[float, float], ...]] = set()
        for phase in examined.phases:
            ranges = _uncompensated(examined, control, phase)
            if ranges and ranges not in told:
                told.add(ranges)
                yield _lonely(examined, control, phase, ranges)


def _uncompensated(examined: Examined, control: Control, phase: str | None) -> tuple[tuple[float, float], ...]:
    """The ranges of the control, neighbouring ones joined."""
    braking, pitching = _lines(examined, control, phase, BRAKES), _lines(examined, control, phase, PITCH)
    if not braking:
        return ()
    stations = [
        np.array(control.positions or (-100.0, 100.0)),
        *(coupling.response.x for coupling in braking + pitching),
    ]
    x = np.array(control.positions) if control.positions else np.unique(np.concatenate(stations))
    alone = _moving(braking, x) & ~_moving(pitching, x)
    ranges: list[tuple[float, float]] = []
    for (start, end), lonely in zip(pairwise(x.tolist()), alone, strict=True):
        if lonely and ranges and ranges[-1][1] == start:
            ranges[-1] = ranges[-1][0], end
        elif lonely:
            ranges.append((start, end))
    return tuple(ranges)


def _lines(examined: Examined, control: Control, phase: str | None, roles: frozenset[str]) -> list[Coupling]:
    """The control's couplings to surfaces of these roles, unless a fade is 0 everywhere."""
    channels = {surface.channel for surface in examined.setup.surfaces if surface.role in roles}
    return [
        coupling
        for coupling in examined.rig.couplings(phase)
        if coupling.control == control.key
        and coupling.channel in channels
        and all(np.any(fade.factor.travel > 0.0) for fade in coupling.fades)
    ]


def _moving(couplings: list[Coupling], x: Array) -> NDArray[np.bool_]:
    """Between which neighbouring positions any of these responses moves."""
    moving = np.zeros(len(x) - 1, dtype=np.bool_)
    for coupling in couplings:
        moving |= np.abs(np.diff(coupling.response(x))) > _SAME_PCT
    return moving


def _lonely(
    examined: Examined, control: Control, phase: str | None, ranges: tuple[tuple[float, float], ...]
) -> Finding:
    told = {
        "control": lowered(control.label),
        "ranges": together(say("{start} to {end} %", start=start, end=end) for start, end in map(told_apart, ranges)),
    }
    label = next((lowered(one.label) for one in examined.setup.phases if one.key == phase), "")
    if label:
        text = say(
            "{control} brakes from {ranges}, in {phase}, and no pitch surface follows it there: "
            "expect the nose to rise or drop.",
            phase=label,
            **told,
        )
    else:
        text = say(
            "{control} brakes from {ranges}, and no pitch surface follows it there: expect the nose to rise or drop.",
            **told,
        )
    at = {control.key: ranges[0][0]}
    if examined.rig.phase_control is not None:
        at[examined.rig.phase_control] = next(one.position for one in examined.setup.phases if one.key == phase)
    return Finding("note", "uncompensated-brake", f"controls/{control.key}", capital(text), at)


def _where(coupling: Coupling) -> str:
    return as_text(coupling_place(coupling))


def _name(setup: Setup, coupling: Coupling) -> str:
    ends = {
        "moved": lowered(channel_label(setup, coupling.channel)),
        "control": lowered(setup.control(coupling.control).label),
    }
    phase = next((one for one in setup.phases if one.key == coupling.phase), None)
    if phase is None:
        return say("The response of {moved} to {control}", **ends)
    return say("The response of {moved} to {control} in {phase}", phase=lowered(phase.label), **ends)
