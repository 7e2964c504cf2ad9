"""What the receiver does when the signal is lost, in words and at the model."""

from django.utils.translation import gettext as _

from hangar.pictures.estimates import is_estimated
from hangar.pictures.words import is_nothing, short, throw_words
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
        return _("goes to {travel} %").format(travel=short(channel.failsafe))
    if channel.failsafe is None:
        return _("not set")
    return _("keeps its last position") if channel.failsafe == "last_position" else _("signal off")


def effect_words(part: Surface | Device, frame: Frame) -> str:
    """What that means at a surface or device, given `failsafe_frame`; led by "≈" where it is an estimate."""
    if isinstance(part, Device):
        level = short(float(frame.level_pct[part.key]), 0)
        return _("off") if level == "0" else _("{level} % on").format(level=level)
    throw = float(frame.throw_mm[part.key])
    told = throw_words(throw, part.role)
    return f"≈{told}" if is_estimated(part) and not is_nothing(throw) else told


def moved(setup: Setup) -> list[Surface | Device]:
    """Everything that a channel moves or feeds: surfaces, then devices."""
    return [*setup.surfaces, *setup.devices]
