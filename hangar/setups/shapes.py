"""What a new model has, as its pilot sees it from above, and which channel each part gets."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

WINGS = ("none", "one", "two", "flaperons", "elevons")
TAILS = ("conventional", "t", "v", "inverted_v", "canard", "none")
NOSES = ("none", "electric", "engine")
VEES = ("v", "inverted_v")
EXTRAS = ("release", "retract", "wheel_brake")
CHORDS = ("aileron", "flap", "spoiler", "elevator", "rudder")


@dataclass(frozen=True)
class Shape:
    """The choices of the page for a new airframe. What the pilot does not know is None, or not in `chords_mm`."""

    wing: str = "two"
    inner_flaps: bool = False
    outer_flaps: bool = False
    flap_lead: bool = False
    spoilers: bool = False
    crow: bool = False
    tail: str = "conventional"
    rudder: bool = True
    nose: str = "none"
    release: bool = False
    retract: bool = False
    wheel_brake: bool = False
    span_mm: float | None = None
    chords_mm: Mapping[str, float] = field(default_factory=dict)
    cg_datum: str = ""
    cg_range_mm: tuple[float, float] | None = None
    mass_g: float | None = None

    @property
    def flaps(self) -> bool:
        return self.inner_flaps or self.outer_flaps

    @property
    def crows(self) -> bool:
        """Whether a brake lever raises the ailerons: two on one servo can only go against each other."""
        return self.crow and self.wing in ("two", "flaperons")

    @property
    def brakes(self) -> bool:
        return self.flaps or self.spoilers or self.crows

    @property
    def rolls(self) -> bool:
        return self.wing != "none"

    @property
    def yaws(self) -> bool:
        return self.tail in VEES or self.rudder

    @property
    def pitches(self) -> bool:
        return self.tail != "none" or self.wing == "elevons"

    def problems(self, receiver_channels: int | None = None) -> dict[str, str]:
        """What keeps the model from flying, by the choice at which to mend it."""
        found: dict[str, str] = {}
        if not self.pitches:
            found["tail"] = _("Nothing raises or lowers the nose: choose a tail, or elevons on the wing.")
        if not (self.rolls or self.yaws):
            found["wing"] = _("Nothing turns this model: choose ailerons, or a rudder on the fin.")
        if self.crow and not self.crows:
            found["crow"] = _(
                "Only two ailerons or flaperons with a servo each can both go up: choose these, or no crow."
            )
        needed = max((part.channel for part in fitted(self)), default=0)
        if receiver_channels is not None and needed > receiver_channels:
            told = _("This takes {needed} channels, and the receiver has {there}. Leave something out.")
            if self.flaps and not self.flap_lead:
                told = _(
                    "This takes {needed} channels, and the receiver has {there}. "
                    "Put each pair of flaps on one channel, or leave something out."
                )
            found["receiver_channels"] = told.format(needed=needed, there=receiver_channels)
        return found


@dataclass(frozen=True)
class Fitted:
    """One surface or device of a shape: where it sits, what it is, and its channel (0 until it has one).

    `device` is the kind of a device, "" for a surface. Parts of one `lead` share a channel by a Y-lead or one servo,
    which is then called `both`. Labels are in the language of whoever chooses the shape, keys never.
    """

    key: str
    label: str
    place: str
    side: str = "centre"
    role: str = ""
    device: str = ""
    pair: str | None = None
    lead: str = ""
    both: str = ""
    channel: int = 0


def fitted(shape: Shape) -> tuple[Fitted, ...]:
    """Everything that moves, in the order of its channels, which are numbered without a gap."""
    parts: list[Fitted] = []
    numbers: dict[str, int] = {}
    for part in _in_order(shape):
        shared = part.lead or part.key
        parts.append(replace(part, channel=numbers.setdefault(shared, len(numbers) + 1)))
    return tuple(parts)


def _in_order(shape: Shape) -> Iterator[Fitted]:
    """The order that many receivers are wired in: with a motor, the left aileron comes after the tail."""
    wing, tail, motor = _wing(shape), list(_tail(shape)), list(_nose(shape))
    if motor and wing:
        yield wing[0]
        if wing[0].lead:
            yield wing[1]
        yield from tail[:1]
        yield from motor
        yield from tail[1:]
        if not wing[0].lead:
            yield wing[1]
    else:
        yield from wing
        yield from tail[:1]
        yield from motor
        yield from tail[1:]
    yield from _flaps(shape)
    if shape.spoilers:
        yield from _pair("spoiler", "spoiler", lead=True)
    yield from _extras(shape)


_PAIRS = {
    "aileron": (
        gettext_noop("Right aileron"), gettext_noop("Left aileron"), gettext_noop("Both ailerons"),
        gettext_noop("aileron"),
    ),
    "flap": (
        gettext_noop("Right flap"), gettext_noop("Left flap"), gettext_noop("Both flaps"), gettext_noop("flap"),
    ),
    "inner_flap": (
        gettext_noop("Right inner flap"), gettext_noop("Left inner flap"), gettext_noop("Both inner flaps"),
        gettext_noop("inner flap"),
    ),
    "outer_flap": (
        gettext_noop("Right outer flap"), gettext_noop("Left outer flap"), gettext_noop("Both outer flaps"),
        gettext_noop("outer flap"),
    ),
    "flaperon": (
        gettext_noop("Right flaperon"), gettext_noop("Left flaperon"), gettext_noop("Both flaperons"),
        gettext_noop("flaperon"),
    ),
    "elevon": (
        gettext_noop("Right elevon"), gettext_noop("Left elevon"), gettext_noop("Both elevons"),
        gettext_noop("elevon"),
    ),
    "spoiler": (
        gettext_noop("Right spoiler"), gettext_noop("Left spoiler"), gettext_noop("Both spoilers"),
        gettext_noop("spoiler"),
    ),
}  # fmt: skip
"""By the end of their keys: what the right one is called, the left one, both, and their pair."""


def _pair(stem: str, place: str, *, lead: bool = False) -> list[Fitted]:
    right, left, both, pair = (_(text) for text in _PAIRS[stem])
    role = "flap" if stem.endswith("_flap") else stem
    return [
        Fitted(f"{side}_{stem}", label, place, side, role, pair=pair, lead=f"{stem}s" if lead else "", both=both)
        for side, label in (("right", right), ("left", left))
    ]


def _wing(shape: Shape) -> list[Fitted]:
    if shape.wing == "none":
        return []
    if shape.wing in ("flaperons", "elevons"):
        return _pair(shape.wing[:-1], "outer")
    return _pair("aileron", "outer", lead=shape.wing == "one")


def _flaps(shape: Shape) -> Iterator[Fitted]:
    both = shape.inner_flaps and shape.outer_flaps
    for there, place in ((shape.inner_flaps, "inner"), (shape.outer_flaps, "middle")):
        if there:
            stem = ("inner_flap" if place == "inner" else "outer_flap") if both else "flap"
            yield from _pair(stem, place, lead=shape.flap_lead)


def _tail(shape: Shape) -> Iterator[Fitted]:
    if shape.tail in VEES:
        role = "ruddervator" if shape.tail == "v" else "ruddervator_inverted"
        for side, label in (("left", _("Left V-tail panel")), ("right", _("Right V-tail panel"))):
            yield Fitted(f"{side}_panel", label, "tail", side, role, pair="v_tail")
        return
    if shape.tail == "canard":
        yield Fitted("canard", _("Canard"), "canard", role="canard")
    elif shape.tail != "none":
        yield Fitted("elevator", _("Elevator"), "tail", role="elevator")
    if shape.rudder:
        yield Fitted("rudder", _("Rudder"), "fin", role="rudder")


def _nose(shape: Shape) -> Iterator[Fitted]:
    if shape.nose == "electric":
        yield Fitted("motor", _("Motor"), "motor", device="electric_motor")
    elif shape.nose == "engine":
        yield Fitted("throttle", _("Throttle"), "motor", device="engine_throttle")


def _extras(shape: Shape) -> Iterator[Fitted]:
    if shape.release:
        yield Fitted("tow_release", _("Tow release"), "release", device="release")
    if shape.retract:
        yield Fitted("undercarriage", _("Undercarriage"), "retract", device="retract")
    if shape.wheel_brake:
        yield Fitted("wheel_brake", _("Wheel brake"), "wheel_brake", device="wheel_brake")
