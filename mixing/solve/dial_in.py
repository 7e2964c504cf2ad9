"""The dial-in list: every entry that a transmitter needs, as its owner enters it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ..conventions import UNPROVEN_MARK, Conventions
from ..document import Channel, Control, Coupling, Phase, Setup
from ..language import MM_PER_INCH, later, now, say
from ..part import Stance
from ..response import Response
from ..rig import Frame, Rig
from ..rounding import round_to_step
from ..throws import Array
from ..wording import channel_label, length, lowered, number, phase_label, signed, throw_words
from .entry import Entry, Given, Kind, Moved
from .limits import in_steps, in_steps_pct, limits
from .nearest import nearest_curve

Points = tuple[tuple[float, float], ...]

_SAME_PCT = 1e-6
_EVERYWHERE = np.linspace(-100.0, 100.0, 401)
"""Where the error of an entry is looked for along its control, besides at its stations."""


def dial_in(setup: Setup, conventions: Conventions | None = None) -> list[Entry]:
    """Every entry that the transmitter needs, in the order of the channels.

    Per channel: reversal, centre, limits, failsafe; then each control's response, end values where it is straight, else
    a curve of as many points as the transmitter has (the best one, where its points do not fit); its expo; its fades;
    last the stances of the phases. Values are rounded to the transmitter's step, halves away from zero, and each
    entry states the throws of its own rounding: the whole setup with this entry rounded, all other controls at rest.

    Parameters
    ----------
    setup : Setup
    conventions : Conventions, optional
        How this transmitter reads signs and units. What is unproven is entered as the document has it and marked.

    Returns
    -------
    list of Entry

    Examples
    --------
    >>> next(entry.enter for entry in dial_in(setup) if entry.kind == "ends")
    '−45 % at −100, 0 % at 0, 0 % at +100'
    """
    known = conventions or Conventions()
    entries: list[Entry] = []
    for channel in setup.channels:
        alone = _with_channel_alone(setup, channel)
        entries.extend(_channel_entries(alone, channel, known))
        for coupling in alone.couplings:
            entries.extend(_coupling_entries(alone, coupling, known))
        entries.extend(_stance(alone, channel, phase) for phase in setup.phases if channel.number in phase.stance)
    return entries


def _with_channel_alone(setup: Setup, channel: Channel) -> Setup:
    """One channel and what it moves, on which no other has any effect: evaluated for every entry, so the less the
    better. It is no whole document, and is not checked as one."""
    return setup.model_copy(
        update={
            "channels": (channel,),
            "surfaces": setup.surfaces_on(channel.number),
            "devices": setup.devices_on(channel.number),
            "couplings": tuple(one for one in setup.couplings if one.channel == channel.number),
        }
    )


def _channel_entries(setup: Setup, channel: Channel, known: Conventions) -> Iterator[Entry]:
    name = channel_label(setup, channel.number)
    sense = say("reversed") if channel.reversed else say("normal")
    yield Entry("reversal", channel.number, name, sense, ((0.0, float(channel.reversed)),), "", 0.0)
    yield _centre(setup, channel, known)
    yield limits(setup, channel, known)
    yield _failsafe(setup, channel)


def _centre(setup: Setup, channel: Channel, known: Conventions) -> Entry:
    away = channel.centre_us - setup.signal.centre_us
    in_us, in_pct = float(round_to_step(channel.centre_us, 1.0)), in_steps_pct(setup, away)
    words = {"us": f"{number(in_us)} µs", "pct": f"{signed(in_pct)} %"}
    entered = in_us if known.centre_unit != "pct" else setup.signal.centre_us + in_pct * setup.signal.per_100_us / 100.0
    enter = words.get(known.centre_unit) or say(
        "{pulse}, which is {travel} from the centre", pulse=words["us"], travel=words["pct"]
    )
    moved = channel.model_copy(update={"centre_us": _within(channel, entered)})
    given = _throws_off(setup, setup.model_copy(update={"channels": (moved,)}), channel.number, {}, None)
    mark = say(UNPROVEN_MARK) if known.centre_unit == "unproven" and away else ""
    figure = in_pct if known.centre_unit == "pct" else in_us
    return Entry(
        "centre", channel.number, channel_label(setup, channel.number), enter, ((0.0, figure),), given.words,
        given.error_mm, moved=given.moved, mark=mark,
    )  # fmt: skip


def _within(channel: Channel, us: float) -> float:
    return float(np.clip(us, channel.low_us, channel.high_us))


def _failsafe(setup: Setup, channel: Channel) -> Entry:
    name, safe = channel_label(setup, channel.number), channel.failsafe
    if safe is None or isinstance(safe, str):
        return Entry("failsafe", channel.number, name, say(_FAILSAFES[safe]), (), "", 0.0)
    entered = in_steps(setup, safe)
    given = _stands(setup, channel, safe, entered)
    return Entry(
        "failsafe", channel.number, name, f"{signed(entered)} %", ((0.0, entered),), given.words, given.error_mm,
        moved=given.moved,
    )  # fmt: skip


_FAILSAFES = {
    None: later("not set: set it"),
    "last_position": later("keep the last position"),
    "signal_off": later("switch the signal off"),
}


def _stands(setup: Setup, channel: Channel, exact: float, entered: float) -> Given:
    """Where a channel's surfaces and devices stand at a travel, and how far that is from the exact one."""
    rig = Rig(setup)
    words, moved, error = [], [], 0.0
    pulses = rig.pulse(channel, [exact, entered])[0]
    for surface in setup.surfaces_on(channel.number):
        was, now = rig.follow(surface, pulses).throw_mm(chord_mm=surface.chord_mm)
        words.append(f"{surface.label} {throw_words(float(now), surface.role)}")
        moved.append(Moved(surface.label, surface.role, (float(now),)))
        error = max(error, abs(float(now - was)))
    for device in setup.devices_on(channel.number):
        level = float(rig.level(device, pulses[1]))
        words.append(f"{device.label} {number(level, 0)} %")
        moved.append(Moved(device.label, "", (level,)))
    return Given(", ".join(words), tuple(moved), error)


def _coupling_entries(setup: Setup, coupling: Coupling, known: Conventions) -> Iterator[Entry]:
    control = setup.control(coupling.control)
    ends = {"channel": channel_label(setup, coupling.channel), "control": lowered(control.label)}
    if coupling.phase:
        label = say("{channel}, {control}, in {phase}", phase=lowered(phase_label(setup, coupling.phase)), **ends)
    else:
        label = say("{channel}, {control}", **ends)
    yield _response(setup, coupling, control, known, label)
    if coupling.expo_pct:
        yield _expo(setup, coupling, known, label)
    for index, fade in enumerate(coupling.fades):
        entered = _rounded_points(setup, fade.stations, 100.0)
        rounded = fade.model_copy(update={"stations": entered})
        fades = (*coupling.fades[:index], rounded, *coupling.fades[index + 1 :])
        given = _throws_along(setup, coupling, {"fades": fades}, [x for x, _ in coupling.stations], known)
        by = setup.control(fade.control)
        mark = _lever_mark(by, known)
        shown = _as_read(by, entered, known)
        words = say("by {control}: {stations}", control=lowered(by.label), stations=_points_words(shown))
        yield _entry("fade", coupling, label, words, shown, given, by=by.key, mark=mark)


def _entry(kind: Kind, coupling: Coupling, label: str, enter: str, figures: Points, given: Given, **more: str) -> Entry:
    """An entry of one coupling."""
    return Entry(
        kind, coupling.channel, label, enter, figures, given.words, given.error_mm, moved=given.moved,
        control=coupling.control, phase=coupling.phase or "", **more,
    )  # fmt: skip


def _response(setup: Setup, coupling: Coupling, control: Control, known: Conventions, label: str) -> Entry:
    points, explanation, kind = _form(setup, coupling, control)
    entered = _rounded_points(setup, points, 400.0)
    given = _throws_along(setup, coupling, {"stations": entered}, [x for x, _ in entered], known)
    if kind == "ends" and len(points) == 2:
        explanation = _as_slope_and_middle(setup, coupling, control, points, known)
    shown = _as_read(control, entered, known)
    mark = _lever_mark(control, known)
    return _entry(kind, coupling, label, _points_words(shown), shown, given, explanation=explanation, mark=mark)


def _form(setup: Setup, coupling: Coupling, control: Control) -> tuple[Points, str, Kind]:
    """The points to enter, what is to be said of them, and whether end values do."""
    line = Response(coupling.stations)
    if control.positions:
        return _points(control.positions, line), "", "curve"
    signal = setup.signal
    corners = np.unique(np.clip([-100.0, *line.x, 100.0], -100.0, 100.0))

    def fits(at: Array) -> bool:
        return bool(np.all(np.abs(np.interp(corners, at, line(at)) - line(corners)) <= _SAME_PCT))

    ends = np.array([-100.0, 100.0])
    if fits(ends):
        return _points(ends, line), "", "ends"
    halves, grid = np.array([-100.0, 0.0, 100.0]), np.linspace(-100.0, 100.0, signal.curve_points)
    if fits(halves):
        return _points(halves, line), say("two straight halves"), "ends"
    if fits(grid):
        return _points(grid, line), "", "curve"
    if signal.curve_free_x and len(corners) <= signal.curve_points:
        return _points(corners, line), "", "curve"
    nearest = nearest_curve(setup, coupling)
    if nearest.error_mm is None:
        off = say("{travel} % of travel", travel=number(nearest.error_pct))
    else:
        off = _never_smaller(nearest.error_mm)
    told = say("the nearest curve of {points} points, within {off}", points=signal.curve_points, off=off)
    return nearest.points, told, "curve"


def _never_smaller(error_mm: float) -> str:
    """An error as its owner reads it, never smaller than it is: the next figure up."""
    step = MM_PER_INCH / 100.0 if now().inches else 0.1
    return length(float(np.ceil(error_mm / step - 1e-6)) * step)


def _as_slope_and_middle(setup: Setup, coupling: Coupling, control: Control, points: Points, known: Conventions) -> str:
    """A straight response as slope and middle, rounded by themselves and so with throws of their own."""
    slope, middle = Response(points).slope_and_middle()
    slope, middle = in_steps(setup, 100.0 * slope), in_steps(setup, middle)
    ends = tuple(Response.from_slope_and_middle(slope / 100.0, middle).stations)
    rounded = _with_coupling(setup, coupling, {"stations": ends})
    gives = _throws(rounded, coupling.channel, *_along(setup, coupling, [-100.0, 100.0], known)).words
    return say(
        "or as slope {slope} % and middle {middle} %: {gives}",
        slope=signed(_sign(control, known) * slope),
        middle=signed(middle),
        gives=gives,
    )


def _points(positions: ArrayLike, line: Response) -> Points:
    at = np.asarray(positions, dtype=np.float64)
    return tuple(zip(at.tolist(), line(at).tolist(), strict=True))


def _rounded_points(setup: Setup, points: Sequence[tuple[float, float]], most: float) -> Points:
    step = setup.signal.step_pct
    low = -most if most > 100.0 else 0.0
    values = np.clip(round_to_step([value for _, value in points], step), low, most)
    return tuple(zip([x for x, _ in points], values.tolist(), strict=True))


def _as_read(control: Control, points: Points, known: Conventions) -> Points:
    """The points at the positions that this transmitter reads off the control."""
    if _sign(control, known) < 0.0:
        return tuple((-x + 0.0, value) for x, value in reversed(points))
    return points


def _sign(control: Control, known: Conventions) -> float:
    return -1.0 if control.kind == "lever" and known.lever_forward == "minus" else 1.0


def _lever_mark(control: Control, known: Conventions) -> str:
    unproven = control.kind == "lever" and known.lever_forward == "unproven"
    return say(UNPROVEN_MARK) if unproven else ""


def _expo(setup: Setup, coupling: Coupling, known: Conventions, label: str) -> Entry:
    entered = float(np.clip(in_steps(setup, coupling.expo_pct), -50.0, 100.0))
    given = _throws_along(setup, coupling, {"expo_pct": entered}, [-50.0, 50.0], known)
    shown = -entered if known.expo_positive == "sharpens" else entered
    mark = say(UNPROVEN_MARK) if known.expo_positive == "unproven" else ""
    does = say("softer about the middle") if entered > 0.0 else say("sharper about the middle")
    enter = f"{signed(shown)} %"
    return _entry("expo", coupling, label, enter, ((0.0, shown),), given, explanation=does, mark=mark)


def _stance(setup: Setup, channel: Channel, phase: Phase) -> Entry:
    entered = in_steps(setup, phase.stance[channel.number])
    stance = Stance({**phase.stance, channel.number: entered})
    phases = tuple(each.model_copy(update={"stance": stance}) if each is phase else each for each in setup.phases)
    given = _throws_off(setup, setup.model_copy(update={"phases": phases}), channel.number, {}, phase.key)
    label = f"{channel_label(setup, channel.number)}, {lowered(phase.label)}"
    return Entry(
        "stance", channel.number, label, f"{signed(entered)} %", ((0.0, entered),), given.words, given.error_mm,
        moved=given.moved, phase=phase.key,
    )  # fmt: skip


def _points_words(points: Points) -> str:
    return ", ".join(say("{travel} % at {position}", travel=signed(value), position=signed(x)) for x, value in points)


def _with_coupling(setup: Setup, coupling: Coupling, fields: dict[str, Any]) -> Setup:
    changed = (each.model_copy(update=fields) if each is coupling else each for each in setup.couplings)
    return setup.model_copy(update={"couplings": tuple(changed)})


def _along(
    setup: Setup, coupling: Coupling, x: Sequence[float], known: Conventions
) -> tuple[dict[str, Array], str | None, float]:
    """The positions of a coupling's control that this transmitter reads, the phase, and the sign that it reads."""
    control = setup.control(coupling.control)
    sign = _sign(control, known)
    # A switch stands only where it has a position, wherever its stations are.
    at = {coupling.control: np.array(sorted(control.positions or x, reverse=sign < 0.0))}
    if setup.phases and coupling.control == setup.phases[0].control:
        return at, None, 1.0
    return at, coupling.phase, sign


def _throws_along(
    setup: Setup, coupling: Coupling, fields: dict[str, Any], x: list[float], known: Conventions
) -> Given:
    """What a coupling with some fields rounded gives along its control, at the positions that this transmitter
    reads, and how far that is from the document."""
    rounded = _with_coupling(setup, coupling, fields)
    at, phase, sign = _along(setup, coupling, x, known)
    if setup.phases and coupling.control == setup.phases[0].control:
        return _throws_off(setup, rounded, coupling.channel, at, phase)
    positions = setup.control(coupling.control).positions
    bends = np.clip(np.concatenate([coupling.response.x, x]), -100.0, 100.0)
    fine = np.array(positions) if positions else np.union1d(_EVERYWHERE, bends)
    exact, frame = (Rig(one).at({coupling.control: fine}, phase=phase) for one in (setup, rounded))
    given = _throws(rounded, coupling.channel, at, phase, sign)
    return given._replace(error_mm=_off_mm(setup, coupling.channel, exact, frame))


def _off_mm(setup: Setup, channel: int, exact: Frame, frame: Frame) -> float:
    """How far a channel's surfaces stand from where they stand exactly, at most [mm]."""
    off = (np.abs(frame.throw_mm[one.key] - exact.throw_mm[one.key]) for one in setup.surfaces_on(channel))
    return max((float(np.max(each)) for each in off), default=0.0)


def _throws_off(setup: Setup, rounded: Setup, channel: int, at: dict[str, Array], phase: str | None) -> Given:
    """What a channel's surfaces and devices do in the rounded setup, and how far that is from the exact one there."""
    exact, frame = (Rig(one).at(at, phase=phase) for one in (setup, rounded))
    return _throws(rounded, channel, at, phase)._replace(error_mm=_off_mm(setup, channel, exact, frame))


def _throws(setup: Setup, channel: int, at: dict[str, Array], phase: str | None, sign: float = 1.0) -> Given:
    """What a channel's surfaces and devices do; the positions are told times `sign`."""
    frame = Rig(setup).at(at, phase=phase)
    sentences, moved = [], []
    x = next((sign * positions + 0.0 for positions in at.values()), None)
    for surface in setup.surfaces_on(channel):
        throws = np.atleast_1d(frame.throw_mm[surface.key])
        words = [throw_words(float(throw), surface.role) for throw in throws]
        sentences.append(f"{surface.label} {_at_positions(words, x)}")
        moved.append(Moved(surface.label, surface.role, tuple(throws.tolist())))
    for device in setup.devices_on(channel):
        levels = np.atleast_1d(frame.level_pct[device.key])
        sentences.append(f"{device.label} {_at_positions([f'{number(float(level), 0)} %' for level in levels], x)}")
        moved.append(Moved(device.label, "", tuple(levels.tolist())))
    return Given("; ".join(sentences), tuple(moved), 0.0)


def _at_positions(words: list[str], x: Array | None) -> str:
    if x is None:
        return words[0]
    told = zip(words, x.tolist(), strict=True)
    return ", ".join(say("{throw} at {position}", throw=word, position=signed(place)) for word, place in told)
