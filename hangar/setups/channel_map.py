"""The channel map, led by what moves: every surface and device, its channel, and what it does without a signal."""

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from hangar.pictures.estimates import is_estimated
from hangar.pictures.words import direction, short, stands
from mixing import wording
from mixing.document import Channel, Device, Setup, Surface
from mixing.rig import Frame, Rig

from .failsafe import effect_words, failsafe_frame, failsafe_words, moved

LINKAGE_WORDS = {
    "unmeasured": gettext_lazy("not measured yet: throws are estimated"),
    "measured": gettext_lazy("measured"),
    "four_bar": gettext_lazy("from its lengths"),
}


@dataclass(frozen=True)
class Line:
    """One line of the map, in words."""

    label: str
    way: str
    channel: Channel
    shared_with: tuple[str, ...] = ()
    failsafe: str = ""
    gives: str = ""
    linkage: str = ""


def channel_map(setup: Setup) -> list[Line]:
    """Surfaces first, then devices, then the channels that move nothing."""
    rig, lost = Rig(setup), failsafe_frame(setup)
    busy = {part.channel for part in moved(setup)}
    idle = [Line(_("nothing"), "", c, failsafe=failsafe_words(c)) for c in setup.channels if c.number not in busy]
    return [
        *(
            _line(rig, lost, surface, _way(rig, surface), str(LINKAGE_WORDS[surface.linkage.kind]))
            for surface in setup.surfaces
        ),
        *(_line(rig, lost, device, range_words(device)) for device in setup.devices),
        *idle,
    ]


def _line(rig: Rig, lost: Frame, part: Surface | Device, way: str, linkage: str = "") -> Line:
    channel = rig.setup.channel(part.channel)
    gives = effect_words(part, lost) if isinstance(channel.failsafe, float) else ""
    others = tuple(other.label for other in moved(rig.setup) if other.channel == part.channel and other is not part)
    return Line(part.label, way, channel, others, failsafe_words(channel), gives, linkage)


def _way(rig: Rig, surface: Surface) -> str:
    """Which way a plus travel moves the surface, from a small step about the centre."""
    channel = rig.setup.channel(surface.channel)
    low, high = (float(rig.follow(surface, rig.pulse(channel, travel)[0]).deflection_deg) for travel in (-5.0, 5.0))
    if not direction(high - low, surface.role, digits=2):
        return _("does not move")
    told = _("plus moves it {way}, as assumed") if is_estimated(surface) else _("plus moves it {way}")
    return told.format(way=wording.way_words(high - low, surface.role))


def range_words(device: Device) -> str:
    """Where a device is off and where it is full."""
    told = _("off at {off} %, full at {full} %")
    return told.format(off=short(device.off_pct), full=short(device.full_pct))


def stowed(setup: Setup) -> list[str]:
    """How levers, knobs and switches stand before switching on."""
    return [stands(c, c.rest) for c in setup.controls if c.kind != "stick"]
