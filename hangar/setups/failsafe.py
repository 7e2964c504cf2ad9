"""What the receiver does when the signal is lost, in words and at the model."""

from hangar.pictures.estimates import is_estimated
from hangar.pictures.words import short, throw_words
from mixing.document import Channel, Control, Device, Phase, Setup, Surface
from mixing.part import Stance
from mixing.rig import Frame, Rig


def failsafe_frame(setup: Setup) -> Frame:
    """What everything does at the failsafe travels: the same setup with nothing coupled and those travels as a stance.

    Channels whose failsafe names no travel stand at 0 (off) in it.
    """
    travel = {channel.number: channel.failsafe for channel in setup.channels if isinstance(channel.failsafe, float)}
    switch = Control(key="signal", label="Signal", kind="switch", plus="lost", rest=100.0, positions=(-100.0, 100.0))
    lost = Phase(key="lost", label="Signal lost", control="signal", position=100.0, stance=Stance(travel))
    return Rig(setup.changed(controls=(switch,), phases=(lost,), couplings=())).at({})


def failsafe_words(channel: Channel) -> str:
    """What the channel is set to do."""
    if isinstance(channel.failsafe, float):
        return f"goes to {short(channel.failsafe)} %"
    return {None: "not set", "last_position": "keeps its last position", "signal_off": "signal off"}[channel.failsafe]


def effect_words(part: Surface | Device, frame: Frame) -> str:
    """What that means at a surface or device, given `failsafe_frame`; led by "≈" where it is an estimate."""
    if isinstance(part, Device):
        level = short(float(frame.level_pct[part.key]), 0)
        return "off" if level == "0" else f"{level} % on"
    told = throw_words(float(frame.throw_mm[part.key]), part.role)
    return f"≈{told}" if is_estimated(part) and told != "neutral" else told


def moved(setup: Setup) -> list[Surface | Device]:
    """Everything that a channel moves or feeds: surfaces, then devices."""
    return [*setup.surfaces, *setup.devices]
