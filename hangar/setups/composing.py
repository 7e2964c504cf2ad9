"""A first setup from the shape of a model: channel map, couplings in the usual directions, cautious throws.

The directions are common practice, no source; `mixing.audit` finds nothing to warn of in any of them. Every linkage is
unmeasured, and every figure that nobody gave says in its text that it is assumed. Labels and texts are in the language
of the member who composes it; keys are not.
"""

import json
from collections.abc import Iterator
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from mixing import Setup
from mixing.wording import length

from .composed_couplings import couplings
from .shapes import Fitted, Shape, fitted

Data = dict[str, Any]

# Chord from the hinge line on a model of two metres, what a stop and a servo commonly allow: assumptions, all of them.
_CHORDS = {"aileron": 40.0, "flap": 50.0, "spoiler": 30.0, "elevator": 45.0, "rudder": 60.0}
_USUAL_SPAN = 2000.0
_AS = {
    "flaperon": "aileron", "elevon": "aileron", "canard": "elevator", "ruddervator": "elevator",
    "ruddervator_inverted": "elevator",
}  # fmt: skip
_STOPS = {
    "aileron": (38, 30), "flaperon": (38, 35), "elevon": (30, 30), "flap": (20, 65), "spoiler": (80, 5),
    "elevator": (28, 28), "canard": (25, 25), "rudder": (35, 35), "ruddervator": (30, 30),
    "ruddervator_inverted": (30, 30),
}  # fmt: skip
_RATES = {"flap": 80, "spoiler": 60, "elevon": 50, "rudder": 50, "ruddervator": 50, "ruddervator_inverted": 50}
_ON_PANEL = gettext_noop("widest chord, square to the panel")
_WHERE = {
    "flap": gettext_noop("root end"), "spoiler": gettext_noop("middle of the blade"),
    "rudder": gettext_noop("lower end"), "ruddervator": _ON_PANEL, "ruddervator_inverted": _ON_PANEL,
}  # fmt: skip
_WIDEST = gettext_noop("widest chord")
_NEUTRAL = {
    "spoiler": gettext_noop("flush with the wing's skin"), "rudder": gettext_noop("in line with the fin"),
}  # fmt: skip
_BESIDE = gettext_noop("flush with what is fixed beside it")


def compose(shape: Shape) -> Setup:
    """The first setup of a model of that shape. Raises mixing's SetupError for a shape that has no channel at all."""
    parts = fitted(shape)
    made = list(couplings(shape, parts))
    used = {coupling["control"] for coupling in made} | {fade["control"] for one in made for fade in one["fades"]}
    data = {
        "schema": 1,
        "balance": _balance(shape),
        "controls": [control for control in _controls(shape) if control["key"] in used],
        "channels": [_channel(group, made, shape) for group in by_channel(parts).values()],
        "surfaces": [_surface(part, shape) for part in parts if part.role],
        "devices": [
            {"key": part.key, "label": part.label, "kind": part.device, "channel": part.channel}
            for part in parts if part.device
        ],
        "couplings": made,
        "remarks": _remarks(shape),
    }  # fmt: skip
    return Setup.from_text(json.dumps(data))


def by_channel(parts: tuple[Fitted, ...]) -> dict[int, list[Fitted]]:
    """The parts of each channel, by its number."""
    groups: dict[int, list[Fitted]] = {}
    for part in parts:
        groups.setdefault(part.channel, []).append(part)
    return groups


def channel_label(group: list[Fitted]) -> str:
    """What a channel is called: as the one part that it moves, or as both of them."""
    return group[0].label if len(group) == 1 else group[0].both


def chord_mm(role: str, shape: Shape) -> tuple[float, bool]:
    """The chord from the hinge line, and whether it is assumed from the span."""
    kind = _AS.get(role, role)
    given = shape.chords_mm.get(kind)
    if given is not None:
        return given, False
    scale = min(max((shape.span_mm or _USUAL_SPAN) / _USUAL_SPAN, 0.3), 3.0)
    return float(round(_CHORDS[kind] * scale)), True


def _surface(part: Fitted, shape: Shape) -> Data:
    chord, assumed = chord_mm(part.role, shape)
    stop_up, stop_down = _STOPS[part.role]
    where = _(_WHERE.get(part.role, _WIDEST))
    if assumed:
        where = _("{place} (chord of {length} assumed)").format(place=where, length=length(chord))
    mirrored = part.role == "spoiler" or (part.lead == "ailerons" and part.side == "left")
    return {
        "key": part.key, "label": part.label, "role": part.role, "side": part.side, "pair": part.pair,
        "channel": part.channel, "chord_mm": chord, "stop_up_deg": stop_up, "stop_down_deg": stop_down,
        "measure_at": where, "neutral_ref": _(_NEUTRAL.get(part.role, _BESIDE)),
        "linkage": {"kind": "unmeasured", "deg_per_1000_us": _RATES.get(part.role, 45),
                    "longer_pulse": "raises" if mirrored else "lowers"},
    }  # fmt: skip


def _channel(group: list[Fitted], made: list[Data], shape: Shape) -> Data:
    number = group[0].channel
    return {
        "number": number, "label": channel_label(group), "low_us": 900, "high_us": 2100,
        "failsafe": _failsafe(group[0], number, made, shape),
    }  # fmt: skip


def _failsafe(part: Fitted, number: int, made: list[Data], shape: Shape) -> float | str:
    """Motor off, tow release open, a wheel where it is; a glider or electric model with its brake out, else neutral."""
    if part.device == "retract":
        return "last_position"
    if part.device:
        return 100 if part.device == "release" else -100
    out = next((one["stations"][0][1] for one in made if one["control"] == "brake" and one["channel"] == number), 0)
    return 0.0 if shape.nose == "engine" else float(out)


def _controls(shape: Shape) -> Iterator[Data]:
    """Sticks by what they move, not by where they are: that is the transmitter's stick mode."""
    right, back, forward = _("right"), _("back"), _("forward")
    yield _control("roll", _("Aileron stick"), "stick", right, uses=("roll", 100))
    yield _control("pitch", _("Elevator stick"), "stick", back, uses=("pitch", 100))
    yaw = _("Rudder stick") if shape.rolls else _("Turn stick")
    yield _control("yaw", yaw, "stick", right, uses=("yaw", 100))
    yield _control("brake", _("Brake lever"), "lever", forward, rest=100, uses=("brake", -100))
    yield _control("camber", _("Camber lever"), "lever", back, rest=-100, uses=("camber", 100))
    yield _control("power", _("Power lever"), "lever", forward, rest=-100, uses=("power", 100))
    yield _switch("arm", _("Motor switch"), _("engine may run") if shape.nose == "engine" else _("on"))
    yield _switch("tow", _("Release switch"), _("open"))
    yield _switch("gear", _("Undercarriage switch"), _("out"))
    yield _control("wheel", _("Wheel brake lever"), "lever", back, rest=-100, uses=("other", 100))


def _control(key: str, label: str, kind: str, plus: str, *, rest: float = 0, uses: tuple[str, float]) -> Data:
    purpose, full = uses
    return {
        "key": key, "label": label, "kind": kind, "plus": plus, "rest": rest, "positions": None,
        "uses": [{"purpose": purpose, "full": full}],
    }  # fmt: skip


def _switch(key: str, label: str, plus: str) -> Data:
    return {**_control(key, label, "switch", plus, rest=-100, uses=("other", 100)), "positions": [-100, 100]}


def _balance(shape: Shape) -> Data:
    low, high = shape.cg_range_mm or (0.0, 0.0)
    datum = shape.cg_datum or _("wing root leading edge")
    if shape.cg_range_mm is None:
        datum = _("{datum} (range not known: take it from the plan)").format(datum=datum)
    label = _("Ready to fly (balance assumed: measure)")
    if shape.mass_g is None:
        label = _("Ready to fly (mass and balance assumed: measure)")
    load = {"key": "flown", "label": label, "mass_g": shape.mass_g or 1500, "cg_mm": (low + high) / 2}
    return {"cg_datum": datum, "cg_low_mm": low, "cg_high_mm": high, "loads": [load]}


def _remarks(shape: Shape) -> str:
    told = [
        _(
            "Starting values for a new model: no linkage is measured, and stops and directions are assumptions. "
            "Check every direction, measure every throw and the balance at the model before the first flight."
        )
    ]
    if shape.wing == "one":
        one_servo = _("One servo moves both ailerons: as one goes up the other goes down, so there is no differential.")
        told.append(one_servo)
    return " ".join(told)
