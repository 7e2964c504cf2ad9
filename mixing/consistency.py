"""What must hold between the parts of a document: references, uniqueness, ranges that depend on each other."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from typing import TYPE_CHECKING

from .errors import Problem

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
            yield Problem(f"{path}[{index}].{field}", f"{value} is there already; each must be given once")
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
        yield Problem(
            "balance.cg_low_mm", f"is {balance.cg_low_mm:g}; give at most cg_high_mm, which is {balance.cg_high_mm:g}"
        )


def _controls(setup: Setup) -> Iterator[Problem]:
    for index, control in enumerate(setup.controls):
        path = f"controls[{index}]"
        yield from _positions(path, control)
        yield from _twice(f"{path}.uses", "purpose", (use.purpose for use in control.uses))
        for place, use in enumerate(control.uses):
            if abs(use.full) != 100.0 and use.full not in (control.positions or ()):
                yield Problem(f"{path}.uses[{place}].full", f"is {use.full:g}; give an end of the control, −100 or 100")


def _positions(path: str, control: Control) -> Iterator[Problem]:
    if control.kind != "switch":
        if control.positions is not None:
            yield Problem(f"{path}.positions", f"is given for a {control.kind}; only a switch has positions, give null")
        return
    if control.positions is None:
        yield Problem(f"{path}.positions", "is missing; a switch needs its positions, such as [-100, 0, 100]")
        return
    if any(after <= before for before, after in zip(control.positions, control.positions[1:], strict=False)):
        yield Problem(f"{path}.positions", "must rise from one to the next, none twice")
    if control.rest not in control.positions:
        allowed = ", ".join(f"{position:g}" for position in control.positions)
        yield Problem(f"{path}.rest", f"is {control.rest:g}; give one of the positions {allowed}")


def _channels(setup: Setup) -> Iterator[Problem]:
    for index, channel in enumerate(setup.channels):
        path = f"channels[{index}]"
        if channel.number > setup.signal.channels:
            yield Problem(
                f"{path}.number", f"is {channel.number}; the transmitter has {setup.signal.channels} channels"
            )
        if channel.low_us >= channel.high_us:
            yield Problem(f"{path}.low_us", f"is {channel.low_us:g}; give less than high_us, {channel.high_us:g}")
        yield from _limits(path, channel, setup)


def _limits(path: str, channel: Channel, setup: Setup) -> Iterator[Problem]:
    """Limits lie within limit_pct of the centre: the channel's own or, where that was moved, the transmitter's."""
    signal = setup.signal
    widest = signal.limit_pct / 100.0 * signal.per_100_us + 1e-9
    low = min(channel.centre_us, signal.centre_us) - widest
    high = max(channel.centre_us, signal.centre_us) + widest
    for name, value in (("low_us", channel.low_us), ("high_us", channel.high_us)):
        if not low <= value <= high:
            yield Problem(
                f"{path}.{name}",
                f"is {value:g}; the limit of {signal.limit_pct:g} % about the centre allows {low:g} … {high:g} µs",
            )
    if isinstance(channel.failsafe, float) and abs(channel.failsafe) > signal.limit_pct:
        yield Problem(f"{path}.failsafe", f"is {channel.failsafe:g} %; give at most {signal.limit_pct:g} % either way")


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
            yield Problem(f"{path}.pair", "is given for a centre surface; a pair is one left and one right, give null")
        elif surface.side in sides.setdefault(surface.pair, set()):
            yield Problem(
                f"{path}.pair", f'"{surface.pair}" has a {surface.side} surface already; a pair is one left, one right'
            )
        sides.setdefault(surface.pair, set()).add(surface.side)


def _readings(path: str, surface: Surface) -> Iterator[Problem]:
    if surface.linkage.kind != "measured":
        return
    for index, (_, throw) in enumerate(surface.linkage.points):
        if abs(throw) > 2.0 * surface.chord_mm:
            yield Problem(
                f"{path}.linkage.points[{index}]",
                f"has a throw of {throw:g} mm; a chord of {surface.chord_mm:g} mm allows {2 * surface.chord_mm:g} mm",
            )


def _no_channel(number: int, numbers: set[int]) -> str:
    return f"is {number}; there is no such channel, give one of {', '.join(str(n) for n in sorted(numbers))}"


def _devices(setup: Setup) -> Iterator[Problem]:
    numbers = {channel.number for channel in setup.channels}
    moving = {surface.channel for surface in setup.surfaces}
    off: dict[int, float] = {}
    for index, device in enumerate(setup.devices):
        path = f"devices[{index}]"
        if device.channel not in numbers:
            yield Problem(f"{path}.channel", _no_channel(device.channel, numbers))
        if device.channel in moving:
            yield Problem(
                f"{path}.channel", f"is {device.channel}, which moves a surface; give the device a channel of its own"
            )
        if device.off_pct == device.full_pct:
            yield Problem(f"{path}.full_pct", f"is {device.full_pct:g}, the same as off_pct; give two different values")
        if off.setdefault(device.channel, device.off_pct) != device.off_pct:
            yield Problem(
                f"{path}.off_pct", f"differs from that of another device on channel {device.channel}; give the same"
            )


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
        yield Problem(
            f"{path}.control", f'is "{phase.control}"; there is no such control, give one of {_names(controls)}'
        )
    elif phase.control != shared:
        yield Problem(f"{path}.control", f'is "{phase.control}"; all phases share one control, here "{shared}"')
    elif control.kind != "switch":
        yield Problem(f"{path}.control", f'is "{phase.control}", a {control.kind}; phases are chosen by a switch')
    elif phase.position not in (control.positions or ()):
        allowed = ", ".join(f"{position:g}" for position in control.positions or ())
        yield Problem(f"{path}.position", f"is {phase.position:g}; the switch has the positions {allowed}")


def _names(controls: dict[str, Control]) -> str:
    return ", ".join(controls)


def _couplings(setup: Setup) -> Iterator[Problem]:
    controls = {control.key: control for control in setup.controls}
    numbers = {channel.number for channel in setup.channels}
    phases = {phase.key for phase in setup.phases}
    seen: set[tuple[str, int, str]] = set()
    for index, coupling in enumerate(setup.couplings):
        path = f"couplings[{index}]"
        if coupling.control not in controls:
            yield Problem(
                f"{path}.control", f'is "{coupling.control}"; there is no such control, give one of {_names(controls)}'
            )
        if coupling.channel not in numbers:
            yield Problem(f"{path}.channel", _no_channel(coupling.channel, numbers))
        if coupling.phase is not None and coupling.phase not in phases:
            known = ", ".join(sorted(phases)) or "null, as there are no phases"
            yield Problem(f"{path}.phase", f'is "{coupling.phase}"; there is no such phase, give {known}')
        if coupling.place in seen:
            yield Problem(
                path,
                f"couples {coupling.control} to channel {coupling.channel} a second time in the same phase; give one",
            )
        seen.add(coupling.place)
        yield from _fades(path, coupling, controls)


def _fades(path: str, coupling: Coupling, controls: dict[str, Control]) -> Iterator[Problem]:
    yield from _twice(f"{path}.fades", "control", (fade.control for fade in coupling.fades))
    for index, fade in enumerate(coupling.fades):
        if fade.control not in controls:
            yield Problem(
                f"{path}.fades[{index}].control",
                f'is "{fade.control}"; there is no such control, give one of {_names(controls)}',
            )
        if fade.control == coupling.control:
            yield Problem(
                f"{path}.fades[{index}].control", "is the coupling's own control; another control must do the fading"
            )
