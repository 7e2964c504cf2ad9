"""What a new model has, as its pilot sees it from above, and which channel each part gets."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

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
            found["tail"] = "Nothing raises or lowers the nose: choose a tail, or elevons on the wing."
        if not (self.rolls or self.yaws):
            found["wing"] = "Nothing turns this model: choose ailerons, or a rudder on the fin."
        if self.crow and not self.crows:
            found["crow"] = "Only two ailerons or flaperons with a servo each can both go up: choose these, or no crow."
        needed = max((part.channel for part in fitted(self)), default=0)
        if receiver_channels is not None and needed > receiver_channels:
            lead = self.flaps and not self.flap_lead
            way = "Put each pair of flaps on one channel, or leave" if lead else "Leave"
            found["receiver_channels"] = (
                f"This takes {needed} channels, and the receiver has {receiver_channels}. {way} something out."
            )
        return found


@dataclass(frozen=True)
class Fitted:
    """One surface or device of a shape: where it sits, what it is, and its channel (0 until it has one).

    `device` is the kind of a device, "" for a surface. Parts of one `lead` share a channel by a Y-lead or one servo.
    """

    key: str
    label: str
    place: str
    side: str = "centre"
    role: str = ""
    device: str = ""
    pair: str | None = None
    lead: str = ""
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
        yield from _pair("spoiler", "spoiler", "spoiler", lead="spoilers")
    yield from _extras(shape)


def _pair(name: str, role: str, place: str, *, pair: str = "", lead: str = "") -> list[Fitted]:
    stem = name.replace(" ", "_").replace("-", "_").lower()
    return [
        Fitted(f"{side}_{stem}", f"{side.capitalize()} {name}", place, side, role, pair=pair or name, lead=lead)
        for side in ("right", "left")
    ]


def _wing(shape: Shape) -> list[Fitted]:
    if shape.wing == "none":
        return []
    if shape.wing in ("flaperons", "elevons"):
        return _pair(shape.wing[:-1], shape.wing[:-1], "outer")
    return _pair("aileron", "aileron", "outer", lead="ailerons" if shape.wing == "one" else "")


def _flaps(shape: Shape) -> Iterator[Fitted]:
    both = shape.inner_flaps and shape.outer_flaps
    for there, place in ((shape.inner_flaps, "inner"), (shape.outer_flaps, "middle")):
        if there:
            name = ("inner flap" if place == "inner" else "outer flap") if both else "flap"
            yield from _pair(name, "flap", place, lead=f"{name}s" if shape.flap_lead else "")


def _tail(shape: Shape) -> Iterator[Fitted]:
    if shape.tail in VEES:
        role = "ruddervator" if shape.tail == "v" else "ruddervator_inverted"
        for side in ("left", "right"):
            label = f"{side.capitalize()} V-tail panel"
            yield Fitted(f"{side}_panel", label, "tail", side, role, pair="v_tail")
        return
    if shape.tail == "canard":
        yield Fitted("canard", "Canard", "canard", role="canard")
    elif shape.tail != "none":
        yield Fitted("elevator", "Elevator", "tail", role="elevator")
    if shape.rudder:
        yield Fitted("rudder", "Rudder", "fin", role="rudder")


def _nose(shape: Shape) -> Iterator[Fitted]:
    if shape.nose == "electric":
        yield Fitted("motor", "Motor", "motor", device="electric_motor")
    elif shape.nose == "engine":
        yield Fitted("throttle", "Throttle", "motor", device="engine_throttle")


def _extras(shape: Shape) -> Iterator[Fitted]:
    if shape.release:
        yield Fitted("tow_release", "Tow release", "release", device="release")
    if shape.retract:
        yield Fitted("undercarriage", "Undercarriage", "retract", device="retract")
    if shape.wheel_brake:
        yield Fitted("wheel_brake", "Wheel brake", "wheel_brake", device="wheel_brake")
