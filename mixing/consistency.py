"""What must hold between the parts of a document: references, uniqueness, ranges that depend on each other."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from typing import TYPE_CHECKING

from .errors import Problem
from .language import later, say
from .wording import field_length, given, given_length

if TYPE_CHECKING:
    from .document import Channel, Control, Coupling, Phase, Setup, Surface


def check(setup: Setup) -> list[Problem]:
    """Every inconsistency of a document whose parts are sound by themselves."""
    rules: tuple[Callable[[Setup], Iterator[Problem]], ...] = (
        _unique,
        _balance,
        _controls,
        _channels,
        _surfaces,
        _devices,
        _phases,
        _couplings,
    )
    return [problem for rule in rules for problem in rule(setup)]


def _twice(path: str, field: str, values: Iterable[Hashable]) -> Iterator[Problem]:
    seen: set[Hashable] = set()
    for index, value in enumerate(values):
        if value in seen:
            yield Problem(
                f"{path}[{index}].{field}", say("{value} is there already; each must be given once", value=value)
            )
        seen.add(value)


def _unique(setup: Setup) -> Iterator[Problem]:
    yield from _twice("controls", "key", (part.key for part in setup.controls))
    yield from _twice("channels", "number", (part.number for part in setup.channels))
    yield from _twice("surfaces", "key", (part.key for part in setup.surfaces))
    yield from _twice("devices", "key", (part.key for part in setup.devices))
    yield from _twice("phases", "key", (part.key for part in setup.phases))
    yield from _twice("balance.loads", "key", (part.key for part in setup.balance.loads))
    yield from _twice("phases", "position", (part.position for part in setup.phases))


def _balance(setup: Setup) -> Iterator[Problem]:
    balance = setup.balance
    if balance.cg_low_mm > balance.cg_high_mm:
        low, high = field_length(balance.cg_low_mm), field_length(balance.cg_high_mm)
        yield Problem(
            "balance.cg_low_mm", say("is {low}; give at most the rear limit, which is {high}", low=low, high=high)
        )


def _controls(setup: Setup) -> Iterator[Problem]:
    for index, control in enumerate(setup.controls):
        path = f"controls[{index}]"
        yield from _positions(path, control)
        yield from _twice(f"{path}.uses", "purpose", (use.purpose for use in control.uses))
        for place, use in enumerate(control.uses):
            if abs(use.full) != 100.0 and use.full not in (control.positions or ()):
                text = say("is {full}; give an end of the control, −100 or 100", full=given(use.full))
                yield Problem(f"{path}.uses[{place}].full", text)


_POSITIONS_OF = {
    "stick": later("is given for a stick; only a switch has positions, give null"),
    "lever": later("is given for a lever; only a switch has positions, give null"),
    "knob": later("is given for a knob; only a switch has positions, give null"),
}


def _positions(path: str, control: Control) -> Iterator[Problem]:
    if control.kind != "switch":
        if control.positions is not None:
            yield Problem(f"{path}.positions", say(_POSITIONS_OF[control.kind]))
        return
    if control.positions is None:
        yield Problem(f"{path}.positions", say("is missing; a switch needs its positions, such as [-100, 0, 100]"))
        return
    if any(after <= before for before, after in zip(control.positions, control.positions[1:], strict=False)):
        yield Problem(f"{path}.positions", say("must rise from one to the next, none twice"))
    if control.rest not in control.positions:
        allowed = ", ".join(map(given, control.positions))
        text = say("is {rest}; give one of the positions {allowed}", rest=given(control.rest), allowed=allowed)
        yield Problem(f"{path}.rest", text)


def _channels(setup: Setup) -> Iterator[Problem]:
    for index, channel in enumerate(setup.channels):
        path = f"channels[{index}]"
        if channel.number > setup.signal.channels:
            count = setup.signal.channels
            text = say("is {number}; the transmitter has {count} channels", number=channel.number, count=count)
            yield Problem(f"{path}.number", text)
        if channel.low_us >= channel.high_us:
            low, high = given(channel.low_us), given(channel.high_us)
            yield Problem(f"{path}.low_us", say("is {low}; give less than the high limit, {high}", low=low, high=high))
        yield from _limits(path, channel, setup)


def _limits(path: str, channel: Channel, setup: Setup) -> Iterator[Problem]:
    """Limits lie within limit_pct of the centre: the channel's own or, where that was moved, the transmitter's."""
    signal = setup.signal
    widest = signal.limit_pct / 100.0 * signal.per_100_us + 1e-9
    low = min(channel.centre_us, signal.centre_us) - widest
    high = max(channel.centre_us, signal.centre_us) + widest
    for name, value in (("low_us", channel.low_us), ("high_us", channel.high_us)):
        if not low <= value <= high:
            text = say(
                "is {value}; the limit of {limit} % about the centre allows {low} … {high} µs",
                value=given(value),
                limit=given(signal.limit_pct),
                low=given(low),
                high=given(high),
            )
            yield Problem(f"{path}.{name}", text)
    safe = channel.failsafe
    if isinstance(safe, float) and abs(safe) > signal.limit_pct:
        most = given(signal.limit_pct)
        text = say("is {travel} %; give at most {most} % either way", travel=given(safe), most=most)
        yield Problem(f"{path}.failsafe", text)


_TAKEN = {
    "left": later('"{pair}" has a left surface already; a pair is one left, one right'),
    "right": later('"{pair}" has a right surface already; a pair is one left, one right'),
}


def _surfaces(setup: Setup) -> Iterator[Problem]:
    numbers = {channel.number for channel in setup.channels}
    sides: dict[str, set[str]] = {}
    for index, surface in enumerate(setup.surfaces):
        path = f"surfaces[{index}]"
        if surface.channel not in numbers:
            yield Problem(f"{path}.channel", _no_channel(surface.channel, numbers))
        yield from _readings(path, surface)
        if surface.pair is None:
            continue
        if surface.side == "centre":
            text = say("is given for a centre surface; a pair is one left and one right, give null")
            yield Problem(f"{path}.pair", text)
        elif surface.side in sides.setdefault(surface.pair, set()):
            yield Problem(f"{path}.pair", say(_TAKEN[surface.side], pair=surface.pair), whole=True)
        sides.setdefault(surface.pair, set()).add(surface.side)


def _readings(path: str, surface: Surface) -> Iterator[Problem]:
    if surface.linkage.kind != "measured":
        return
    for index, (_, throw) in enumerate(surface.linkage.points):
        if abs(throw) > 2.0 * surface.chord_mm:
            text = say(
                "has a throw of {throw}; a chord of {chord} allows {most}",
                throw=given_length(throw),
                chord=given_length(surface.chord_mm),
                most=given_length(2 * surface.chord_mm),
            )
            yield Problem(f"{path}.linkage.points[{index}]", text)


def _no_channel(number: int, numbers: set[int]) -> str:
    known = ", ".join(str(n) for n in sorted(numbers))
    return say("is {number}; there is no such channel, give one of {known}", number=number, known=known)


def _devices(setup: Setup) -> Iterator[Problem]:
    numbers = {channel.number for channel in setup.channels}
    moving = {surface.channel for surface in setup.surfaces}
    off: dict[int, float] = {}
    for index, device in enumerate(setup.devices):
        path = f"devices[{index}]"
        if device.channel not in numbers:
            yield Problem(f"{path}.channel", _no_channel(device.channel, numbers))
        if device.channel in moving:
            text = say(
                "is {channel}, which moves a surface; give the device a channel of its own", channel=device.channel
            )
            yield Problem(f"{path}.channel", text)
        if device.off_pct == device.full_pct:
            full = given(device.full_pct)
            text = say("is {full}, the same as its travel at off; give two different values", full=full)
            yield Problem(f"{path}.full_pct", text)
        if off.setdefault(device.channel, device.off_pct) != device.off_pct:
            text = say(
                "differs from that of another device on channel {channel}; give the same", channel=device.channel
            )
            yield Problem(f"{path}.off_pct", text)


def _phases(setup: Setup) -> Iterator[Problem]:
    controls = {control.key: control for control in setup.controls}
    numbers = {channel.number for channel in setup.channels}
    for index, phase in enumerate(setup.phases):
        path = f"phases[{index}]"
        yield from _phase_switch(path, phase, setup.phases[0].control, controls)
        for number in phase.stance:
            if number not in numbers:
                yield Problem(f"{path}.stance.{number}", _no_channel(number, numbers))


def _phase_switch(path: str, phase: Phase, shared: str, controls: dict[str, Control]) -> Iterator[Problem]:
    control = controls.get(phase.control)
    if control is None:
        yield _no_control(f"{path}.control", phase.control, controls)
    elif phase.control != shared:
        text = say(
            'is "{control}"; all phases share one control, here "{shared}"', control=phase.control, shared=shared
        )
        yield Problem(f"{path}.control", text)
    elif control.kind != "switch":
        yield Problem(f"{path}.control", say(_NO_SWITCH[control.kind], control=phase.control))
    elif phase.position not in (control.positions or ()):
        allowed = ", ".join(map(given, control.positions or ()))
        at = given(phase.position)
        text = say("is {position}; the switch has the positions {allowed}", position=at, allowed=allowed)
        yield Problem(f"{path}.position", text)


_NO_SWITCH = {
    "stick": later('is "{control}", a stick; phases are chosen by a switch'),
    "lever": later('is "{control}", a lever; phases are chosen by a switch'),
    "knob": later('is "{control}", a knob; phases are chosen by a switch'),
}


def _no_control(path: str, key: str, controls: dict[str, Control]) -> Problem:
    known = ", ".join(controls)
    return Problem(path, say('is "{key}"; there is no such control, give one of {known}', key=key, known=known))


def _couplings(setup: Setup) -> Iterator[Problem]:
    controls = {control.key: control for control in setup.controls}
    numbers = {channel.number for channel in setup.channels}
    phases = {phase.key for phase in setup.phases}
    seen: set[tuple[str, int, str]] = set()
    for index, coupling in enumerate(setup.couplings):
        path = f"couplings[{index}]"
        if coupling.control not in controls:
            yield _no_control(f"{path}.control", coupling.control, controls)
        if coupling.channel not in numbers:
            yield Problem(f"{path}.channel", _no_channel(coupling.channel, numbers))
        if coupling.phase is not None and coupling.phase not in phases:
            yield _no_phase(f"{path}.phase", coupling.phase, sorted(phases))
        if coupling.place in seen:
            text = say(
                "couples {control} to channel {channel} a second time in the same phase; give one",
                control=coupling.control,
                channel=coupling.channel,
            )
            yield Problem(path, text)
        seen.add(coupling.place)
        yield from _fades(path, coupling, controls)


def _no_phase(path: str, key: str, known: list[str]) -> Problem:
    if not known:
        return Problem(path, say('is "{phase}"; there is no such phase, give null, as there are no phases', phase=key))
    text = say('is "{phase}"; there is no such phase, give {known}', phase=key, known=", ".join(known))
    return Problem(path, text)


def _fades(path: str, coupling: Coupling, controls: dict[str, Control]) -> Iterator[Problem]:
    yield from _twice(f"{path}.fades", "control", (fade.control for fade in coupling.fades))
    for index, fade in enumerate(coupling.fades):
        if fade.control not in controls:
            yield _no_control(f"{path}.fades[{index}].control", fade.control, controls)
        if fade.control == coupling.control:
            yield Problem(
                f"{path}.fades[{index}].control",
                say("is the coupling's own control; another control must do the fading"),
            )
