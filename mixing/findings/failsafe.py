"""What happens when the signal is lost."""

from __future__ import annotations

from collections.abc import Iterator

from ..document import Channel, Device
from ..wording import channel_label, lowered, number
from .finding import RUNNING_PCT, Examined, Finding
from .words import size


def failsafe_motor(examined: Examined) -> Iterator[Finding]:
    """A motor that may run on after the signal is lost."""
    for device in examined.motors:
        channel = examined.setup.channel(device.channel)
        where = f"devices/{device.key}"
        if channel.failsafe == "signal_off" and device.kind == "electric_motor":
            text = (
                f"{device.label}'s failsafe switches the signal off: most controllers then stop the motor, "
                "but prove it on the model, propeller off."
            )
            yield Finding("caution", "failsafe-motor", where, text, {})
            continue
        fault = _fault(examined, device, channel)
        if fault:
            text = f"{device.label} {fault}: set the failsafe of channel {channel.number} to off, {_off(device)} %."
            yield Finding("warning", "failsafe-motor", where, text, {})


def _off(device: Device) -> str:
    return number(device.off_pct)


def _fault(examined: Examined, device: Device, channel: Channel) -> str:
    if channel.failsafe is None:
        return "has no failsafe set and may run on when the signal is lost"
    if channel.failsafe == "last_position":
        return "keeps its last position when the signal is lost and runs on"
    if channel.failsafe == "signal_off":
        return "gets no signal when the signal is lost, and a throttle servo then stays where it is"
    level = float(examined.level(device, channel.failsafe))
    return f"runs at {size(level)} % when the signal is lost" if level > RUNNING_PCT else ""


def failsafe_unset(examined: Examined) -> Iterator[Finding]:
    """No failsafe on a channel that moves something; motors are told of by `failsafe_motor`."""
    motors = {device.channel for device in examined.motors}
    for channel in examined.setup.channels:
        moving = examined.setup.surfaces_on(channel.number) or examined.setup.devices_on(channel.number)
        if channel.failsafe is None and moving and channel.number not in motors:
            moved = lowered(channel_label(examined.setup, channel.number))
            text = (
                f"Channel {channel.number} ({moved}) has no failsafe set: what it does when the signal is lost "
                "is left to the receiver."
            )
            yield Finding("caution", "failsafe-unset", f"channels/{channel.number}", text, {})
