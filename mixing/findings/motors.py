"""Motors that could start: at rest, without a switch that holds them off, while braking."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice, product
from math import prod
from typing import NamedTuple

import numpy as np

from ..differences import Difference
from ..document import Control, Device, Surface
from ..envelope import Positions
from ..language import say
from ..positions import control_words, standing_words, with_positions
from ..purposes import BRAKES
from ..sums import TravelSum
from ..throws import Array
from ..wording import lowered, size, throw_words
from .finding import RUNNING_PCT, Examined, Finding
from .words import named

AWAY_MM = 0.5
"""A surface counts as braking where it is further than this from where it is at the lever's other end."""

_STEP_PCT = 5.0
_MOST_LOOKED_AT = 8
"""Of the positions at which the motor runs and the lever asks most of a surface, so many are looked at closely."""
_SHARED_PCT = np.linspace(-100.0, 100.0, 9)
"""Where else than at its stations a control is looked at that moves both the motor and what brakes."""
_MOST_COMBINATIONS = 81
"""Of the positions of all such controls together."""
_JUST_PCT = 0.01
"""How far beyond the point where a motor starts it is looked at."""


def motor_at_rest(examined: Examined) -> Iterator[Finding]:
    """A motor above off with all controls at rest, in any phase; or with any of its fades at 0, all else anywhere."""
    for device in examined.motors:
        found = next(_at_rest(examined, device), None) or next(_faded_out(examined, device), None)
        if found is not None:
            yield found


def _at_rest(examined: Examined, device: Device) -> Iterator[Finding]:
    for place in examined.places:
        level = float(examined.level(device, examined.total(device.channel, place).at({})))
        if level > RUNNING_PCT:
            at = examined.at(place, {})
            where = with_positions(examined.setup, at)
            text = say("{device} runs at {level} % {where}.", device=device.label, level=size(level), where=where)
            yield Finding("warning", "motor-at-rest", f"devices/{device.key}", text, at)


def _faded_out(examined: Examined, device: Device) -> Iterator[Finding]:
    """A fade of 0 is off: whatever other couplings the channel has, it must hold."""
    for place in examined.places:
        total = examined.total(device.channel, place)
        for fading, zeros in _zeros(examined, device, place, total):
            peak = examined.most_running(device, total, {fading.key: zeros})
            if peak.value > RUNNING_PCT:
                at = examined.at(place, {fading.key: float(zeros[0]), **peak.at})
                text = say(
                    "{device} can run at {level} % {where}, although its fade by {control} is 0 there.",
                    device=device.label,
                    level=size(peak.value),
                    where=with_positions(examined.setup, at),
                    control=lowered(fading.label),
                )
                yield Finding("warning", "motor-at-rest", f"devices/{device.key}", text, at)


def _zeros(
    examined: Examined, device: Device, place: float | None, total: TravelSum
) -> Iterator[tuple[Control, Array]]:
    """The controls that fade a motor, each with its stations at which the factor is 0."""
    for coupling in examined.rig.couplings(examined.travels.phase_at(place)):
        if coupling.channel != device.channel:
            continue
        for fade in coupling.fades:
            control = examined.setup.control(fade.control)
            held = examined.travels.fixed(place).get(control.key)
            stations = np.array(control.positions or np.union1d(fade.factor.x, [-100.0, 100.0]))
            stations = np.union1d(stations, total.stations.get(control.key, stations))
            zeros = stations[fade.factor(stations) == 0.0]
            zeros = zeros[zeros == held] if held is not None else zeros
            if zeros.size:
                yield control, zeros


def motor_lock(examined: Examined) -> Iterator[Finding]:
    """A motor that no position of any switch holds off, whatever the other controls do and in every phase."""
    for device in examined.motors:
        if _runs(examined, device) and not any(
            _holds_off(examined, device, control, position)
            for control in examined.setup.controls
            for position in control.positions or ()
        ):
            text = say(
                "{device} is held off by no switch: a control that is knocked can start it.", device=device.label
            )
            yield Finding("caution", "motor-lock", f"devices/{device.key}", text, {})


def _runs(examined: Examined, device: Device) -> bool:
    return any(
        examined.most_running(device, examined.total(device.channel, place)).value > RUNNING_PCT
        for place in examined.places
    )


def _holds_off(examined: Examined, device: Device, control: Control, position: float) -> bool:
    own = control.key == examined.rig.phase_control
    return all(
        examined.most_running(device, examined.with_control(device.channel, place, control, position)).value
        <= RUNNING_PCT
        for place in ((position,) if own else examined.places)
    )


def motor_with_brake(examined: Examined) -> Iterator[Finding]:
    """A position of one lever at which its motor runs while a surface that it brakes with is out.

    Out is further than 0.5 mm from where the surface is at the lever's other end. The surfaces are flaps, spoilers,
    ailerons and flaperons: elevator and elevons go along to hold the nose, with the motor too.
    """
    for control, full in examined.controls_with("brake"):
        for device in examined.motors:
            found = next(_conflicts(examined, control, full, device), None)
            if found is not None:
                text = say(
                    "{device} runs at {level} % with {control} while {surface} is still {throw} from where it is "
                    "with it {other}.",
                    device=device.label,
                    level=size(found.level_pct),
                    control=control_words(control, found.at[control.key]),
                    surface=named(found.surface),
                    throw=throw_words(found.away_mm, found.surface.role),
                    other=standing_words(control, _other_end(control, full)),
                )
                yield Finding("warning", "motor-with-brake", f"devices/{device.key}", text, found.at)


class _Conflict(NamedTuple):
    away_mm: float
    level_pct: float
    surface: Surface
    at: Positions


def _other_end(control: Control, full: float) -> float:
    low, high = control.ends
    return low if full == high else high


def _conflicts(examined: Examined, control: Control, full: float, device: Device) -> Iterator[_Conflict]:
    """By place the position at which the worst surface is furthest out with the motor running."""
    for place in examined.places:
        couplings = examined.rig.couplings(examined.travels.phase_at(place))
        channels = {one.channel for one in couplings if one.control == control.key}
        braking = [one for one in examined.setup.surfaces if one.channel in channels and one.role in BRAKES]
        if device.channel not in channels or not braking:
            continue
        running = list(_running_at(examined, control, device, place, braking))
        worst = max(
            (_furthest(examined, surface, place, control, full, running) for surface in braking),
            key=lambda one: -np.inf if one is None else abs(one.away_mm),
        )
        if worst is not None:
            yield worst


def _furthest(
    examined: Examined,
    surface: Surface,
    place: float | None,
    control: Control,
    full: float,
    running: list[_Running],
) -> _Conflict | None:
    """Where a surface is furthest out, looked for where the lever asks most of it, the other controls anywhere."""
    other, total = _other_end(control, full), examined.total(surface.channel, place)
    worst: tuple[float, _Running, float, Difference] | None = None

    def asked(one: _Running) -> float:
        return total.driven_apart(control.key, one.position, other, one.others)

    for one in sorted(running, key=asked, reverse=True)[:_MOST_LOOKED_AT]:
        sign, away = _away(examined, surface, place, control, (one.position, other), one.others)
        if away.value > (AWAY_MM if worst is None else worst[0]):
            worst = away.value, one, sign, away
    if worst is None:
        return None
    amount, one, sign, away = worst
    others = {key: at for key, at in one.others.items() if at != examined.setup.control(key).rest}
    at = examined.at(place, {**away.at(), **others, control.key: one.position})
    return _Conflict(sign * amount, one.level_pct, surface, at)


class _Running(NamedTuple):
    """A position of the lever at which the motor can run, how fast, and where the other controls are for it: all that
    the surfaces follow, too, and those of the others that are not at rest."""

    position: float
    level_pct: float
    others: Positions


def _running_at(
    examined: Examined, control: Control, device: Device, place: float | None, braking: list[Surface]
) -> Iterator[_Running]:
    total = examined.total(device.channel, place)
    positions = _positions(examined, control, device, place, braking)
    for shared in _shared(examined, control, total, place, braking):
        for position in positions:
            held = examined.with_control(device.channel, place, control, position).with_fixed(shared)
            peak = examined.most_running(device, held)
            if peak.value > RUNNING_PCT:
                others = {key: at for key, at in peak.at.items() if key in total.controls}
                yield _Running(position, peak.value, {**others, **shared})


def _shared(
    examined: Examined, control: Control, total: TravelSum, place: float | None, braking: list[Surface]
) -> Iterator[Positions]:
    """Every combination of the controls that the motor and the surfaces follow besides the lever: where the motor runs
    fastest they may let through nothing of the brake."""
    followed = {key for surface in braking for key in examined.total(surface.channel, place).controls}
    keys = sorted(followed.intersection(total.controls) - {control.key})
    stations = {key: total.stations[key] for key in keys}
    lines = {key: x if key in total.switches else np.union1d(x, _SHARED_PCT) for key, x in stations.items()}
    for some in (lines, stations):
        if prod(len(x) for x in some.values()) <= _MOST_COMBINATIONS:
            break
    found = product(*(x.tolist() for x in some.values()))
    yield from (dict(zip(keys, combination, strict=True)) for combination in islice(found, _MOST_COMBINATIONS))


def _positions(
    examined: Examined, control: Control, device: Device, place: float | None, braking: list[Surface]
) -> list[float]:
    """The lever's stations on all these channels, a little to either side of them, and steps between."""
    if control.positions:
        return list(control.positions)
    channels = [device.channel, *(surface.channel for surface in braking)]
    totals = [examined.total(channel, place) for channel in channels]
    stations = np.concatenate([[-100.0, 100.0], *(total.stations.get(control.key, np.empty(0)) for total in totals)])
    beside = [stations - _JUST_PCT, stations, stations + _JUST_PCT, _starts(examined, control, device, place)]
    found = np.concatenate([*beside, np.arange(-100.0, 100.0, _STEP_PCT)])
    return np.unique(np.clip(found, -100.0, 100.0)).tolist()  # type: ignore[no-any-return]


def _starts(examined: Examined, control: Control, device: Device, place: float | None) -> Array:
    """Positions just beyond those at which the travel passes off between two stations."""
    total = examined.total(device.channel, place)
    x = total.stations.get(control.key)
    if x is None:
        return np.empty(0)
    peak = examined.most_running(device, total)
    above = total.at({**peak.at, control.key: x}) - device.off_pct
    crossing = np.flatnonzero(above[:-1] * above[1:] < 0.0)
    share = above[crossing] / (above[crossing] - above[crossing + 1])
    found = x[crossing] + share * (x[crossing + 1] - x[crossing])
    return np.concatenate([found - _JUST_PCT, found + _JUST_PCT])


def _away(
    examined: Examined,
    surface: Surface,
    place: float | None,
    control: Control,
    positions: tuple[float, float],
    others: Positions,
) -> tuple[float, Difference]:
    """How far [mm] the lever holds a surface, at the first position, from where it is at the second: sign and size."""
    here, there = (
        examined.with_driver(surface.channel, place, control, driving=position, fading=positions[0]).with_fixed(others)
        for position in positions
    )
    if here.same_as(there):
        return 1.0, Difference(0.0, dict)
    down, up = examined.most_apart(examined.throw(surface, here), examined.throw(surface, there))
    return (1.0, down) if down.value >= up.value else (-1.0, up)
