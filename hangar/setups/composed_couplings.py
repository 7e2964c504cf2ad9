"""The couplings of a first setup: which control moves which channel, which way, and how far to begin with.

Travel here goes by linkages of which a longer pulse lowers the surface (a rudder: swings it left).
"""

from collections.abc import Iterator
from typing import Any

from .shapes import VEES, Fitted, Shape

Data = dict[str, Any]

_IN_WITH_BRAKE = ((-100, 60), (0, 100), (100, 100))
"""Ailerons that are up already move less: down to 60 % with the brake fully out."""

# Travel at the low and the high end of the stick for the right-hand surface; the left one is the mirror.
_ROLL = {"aileron": (36, -67), "flaperon": (38, -62), "elevon": (36, -40)}
_PITCH = {"elevator": (53, -53), "canard": (-51, 51), "elevon": (28, -28), "ruddervator": (40, -40)}
# At the lever fully back; forward, nothing.
_BRAKE = {"flap": 100.0, "aileron": -44.0, "flaperon": -40.0}
_CAMBER = {"flaperon": 30.0, "flap": 12.0}
_DOWN_WITH_FLAPS = {"elevator": 11.0, "canard": -11.0, "ruddervator": 6.0, "elevon": 6.0}
_DOWN_WITH_AILERONS = {"elevator": 4.0, "canard": -4.0, "ruddervator": 4.0, "elevon": 4.0}
_UP_WITH_SPOILERS = {"elevator": -4.0, "canard": 4.0, "ruddervator": -4.0, "elevon": -4.0}


def couplings(shape: Shape, parts: tuple[Fitted, ...]) -> Iterator[Data]:
    """Every coupling of the shape, one for each control and channel."""
    seen: set[int] = set()
    for part in parts:
        if part.channel not in seen:
            seen.add(part.channel)
            yield from _of_device(part, shape) if part.device else _of_surface(part, shape)


def _of_surface(part: Fitted, shape: Shape) -> Iterator[Data]:
    role = part.role.removesuffix("_inverted")
    if role in _ROLL:
        yield _roll(part, shape)
    if role in _PITCH:
        low, high = _PITCH[role]
        yield _coupling("pitch", part, [(-100, low), (0, 0), (100, high)], expo=25 if part.side != "centre" else 30)
    yield from _yaw(part)
    yield from _brake(part, role, shape)
    if shape.wing == "flaperons" and role in _CAMBER:
        yield _coupling("camber", part, [(-100, 0), (100, _CAMBER[role])])


def _roll(part: Fitted, shape: Shape) -> Data:
    low, high = (53, -53) if part.lead else _ROLL[part.role]
    if part.side == "left":
        low, high = high, low
    fades = [{"control": "brake", "stations": _IN_WITH_BRAKE}] if shape.crows else []
    return _coupling("roll", part, [(-100, low), (0, 0), (100, high)], expo=30, fades=fades)


def _yaw(part: Fitted) -> Iterator[Data]:
    if part.role == "rudder":
        yield _coupling("yaw", part, [(-100, 80), (0, 0), (100, -80)], expo=20)
    elif part.role.startswith("ruddervator"):
        # To the right: of an upright V the left panel goes up and the right one down, of an inverted one otherwise.
        up_at_right = (part.side == "left") == (part.role == "ruddervator")
        end = -40 if up_at_right else 40
        yield _coupling("yaw", part, [(-100, -end), (0, 0), (100, end)], expo=25)


def _brake(part: Fitted, role: str, shape: Shape) -> Iterator[Data]:
    """Flaps down, ailerons up where they crow, spoilers up; what pitches the model goes along to hold the nose."""
    if role == "spoiler":
        yield _coupling("brake", part, [(-100, 100), (100, 0)])
        return
    out = _BRAKE.get(role, 0.0) if role == "flap" or shape.crows else 0.0
    if _holds_the_nose(role, shape):
        table = _DOWN_WITH_FLAPS if shape.flaps else _DOWN_WITH_AILERONS if shape.crows else _UP_WITH_SPOILERS
        out = table[role]
    if out:
        # Spoilers begin at once, flaps and ailerons in the lower half of the lever.
        along = _holds_the_nose(role, shape) and shape.spoilers
        yield _coupling("brake", part, [(-100, out), (100, 0)] if along else [(-100, out), (0, 0), (100, 0)])


def _holds_the_nose(role: str, shape: Shape) -> bool:
    """The tail or canard where there is one, else the elevons."""
    on_tail = {"canard": "canard", "none": "elevon"}.get(
        shape.tail, "ruddervator" if shape.tail in VEES else "elevator"
    )
    return shape.brakes and role == on_tail


def _of_device(part: Fitted, shape: Shape) -> Iterator[Data]:
    if part.place == "motor":
        # An engine idles with its lever back; its switch alone stops it.
        idle = -85 if part.device == "engine_throttle" else -100
        switch = [{"control": "arm", "stations": [(-100, 0), (100, 100)]}]
        yield _coupling("power", part, [(-100, idle), (100, 100)], fades=switch)
    else:
        control = {"release": "tow", "retract": "gear", "wheel_brake": "wheel"}[part.place]
        yield _coupling(control, part, [(-100, -100), (100, 100)])


def _coupling(
    control: str, part: Fitted, stations: list[tuple[float, float]], *, expo: float = 0, fades: list[Data] | None = None
) -> Data:
    return {
        "control": control, "channel": part.channel, "phase": None, "stations": stations, "expo_pct": expo,
        "fades": fades or [],
    }  # fmt: skip
