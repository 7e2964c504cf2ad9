"""What happens when the signal is lost."""

from __future__ import annotations

from collections.abc import Iterator

from ..document import Channel, Device
from ..language import later, say
from ..wording import capital, channel_words, number, size
from .finding import RUNNING_PCT, Examined, Finding


def failsafe_motor(examined: Examined) -> Iterator[Finding]:
    """A motor that may run on after the signal is lost."""
    for device in examined.motors:
        channel = examined.setup.channel(device.channel)
        where = f"devices/{device.key}"
        if channel.failsafe == "signal_off" and device.kind == "electric_motor":
            text = say(
                "{device}'s failsafe switches the signal off: most controllers then stop the motor, "
                "but prove it on the model, propeller off.",
                device=device.label,
            )
            yield Finding("caution", "failsafe-motor", where, text, {})
            continue
        fault = _fault(examined, device, channel)
        if fault:
            text = say(
                "{fault}: set the failsafe of channel {channel} to off, {off} %.",
                fault=fault,
                channel=channel.number,
                off=number(device.off_pct),
            )
            yield Finding("warning", "failsafe-motor", where, text, {})


_RUNS_ON = {
    None: later("{device} has no failsafe set and may run on when the signal is lost"),
    "last_position": later("{device} keeps its last position when the signal is lost and runs on"),
    "signal_off": later("{device} gets no signal when the signal is lost, and a throttle servo then stays where it is"),
}


def _fault(examined: Examined, device: Device, channel: Channel) -> str:
    safe = channel.failsafe
    if safe is None or isinstance(safe, str):
        return say(_RUNS_ON[safe], device=device.label)
    level = float(examined.level(device, safe))
    if level <= RUNNING_PCT:
        return ""
    return say("{device} runs at {level} % when the signal is lost", device=device.label, level=size(level))


def failsafe_unset(examined: Examined) -> Iterator[Finding]:
    """No failsafe on a channel that moves something; motors are told of by `failsafe_motor`."""
    motors = {device.channel for device in examined.motors}
    for channel in examined.setup.channels:
        moving = examined.setup.surfaces_on(channel.number) or examined.setup.devices_on(channel.number)
        if channel.failsafe is None and moving and channel.number not in motors:
            text = say(
                "{channel} has no failsafe set: what it does when the signal is lost is left to the receiver.",
                channel=channel_words(examined.setup, channel.number),
            )
            yield Finding("caution", "failsafe-unset", f"channels/{channel.number}", capital(text), {})
