"""What stands at a place of a document, in words: its label, its value as a short text, and where it is changed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal

from .document import Coupling, Setup
from .language import later, say
from .linkage import Linkage
from .places import Place, is_entry
from .wording import (
    EVERY_PHASE,
    capital,
    channel_label,
    control_label,
    exact,
    label_from_key,
    length_exact,
    lowered,
    phase_label,
    signed,
)

Where = Literal["transmitter", "model", "record"]
"""Entered on the transmitter, done at the model, or only written down (labels, remarks, what a control is for)."""

_UNITS = {"us": " µs", "pct": " %", "deg": "°", "g": " g", "s": " s"}

_FIELDS = {
    "arm_mm": later("arm"),
    "arm_neutral_deg": later("lean of the arm"),
    "centre_us": later("centre"),
    "cg_datum": later("datum of the balance"),
    "cg_high_mm": later("rear limit of the balance"),
    "cg_low_mm": later("front limit of the balance"),
    "cg_mm": later("balance behind the datum"),
    "channel": later("channel"),
    "channels": later("channels"),
    "chord_mm": later("chord"),
    "control": later("control"),
    "curve_free_x": later("curve stations may be placed freely"),
    "curve_points": later("stations of a curve"),
    "deg_per_1000_us": later("degrees for 1000 µs"),
    "expo_pct": later("expo"),
    "failsafe": later("failsafe"),
    "full_pct": later("travel at full"),
    "high_us": later("high limit"),
    "horn_mm": later("horn"),
    "horn_neutral_deg": later("lean of the horn"),
    "kind": later("kind"),
    "label": later("label"),
    "linkage": later("linkage"),
    "limit_pct": later("widest limit"),
    "longer_pulse": later("a longer pulse"),
    "low_us": later("low limit"),
    "mass_g": later("mass"),
    "measure_at": later("where the ruler goes"),
    "neutral_ref": later("what neutral is flush with"),
    "neutral_us": later("pulse at neutral"),
    "off_pct": later("travel at off"),
    "pair": later("pair"),
    "per_100_us": later("pulse for 100 % travel"),
    "pivot_mm": later("pivot of the horn"),
    "plus": later("name of the + end"),
    "position": later("position"),
    "positions": later("positions"),
    "push": later("push"),
    "remarks": later("remarks"),
    "rest": later("position at rest"),
    "reversed": later("direction"),
    "role": later("role"),
    "servo_deg_per_1000_us": later("servo degrees for 1000 µs"),
    "side": later("side"),
    "stations": later("stations"),
    "stance": later("stance"),
    "step_pct": later("step"),
    "stop_down_deg": later("stop down"),
    "stop_up_deg": later("stop up"),
    "transition_s": later("transition"),
}

_VALUES = {
    "aileron": later("aileron"),
    "canard": later("canard"),
    "centre": later("centre"),
    "electric_motor": later("electric motor"),
    "elevator": later("elevator"),
    "elevon": later("elevon"),
    "engine_throttle": later("engine throttle"),
    "flap": later("flap"),
    "flaperon": later("flaperon"),
    "knob": later("knob"),
    "left": later("left"),
    "lever": later("lever"),
    "lowers": later("lowers"),
    "other": later("other"),
    "pulls": later("pulls"),
    "pushes": later("pushes"),
    "raises": later("raises"),
    "release": later("release"),
    "retract": later("retract"),
    "right": later("right"),
    "rudder": later("rudder"),
    "ruddervator": later("ruddervator"),
    "ruddervator_inverted": later("ruddervator inverted"),
    "spoiler": later("spoiler"),
    "stick": later("stick"),
    "switch": later("switch"),
    "wheel_brake": later("wheel brake"),
}
"""The words that a document knows for kinds, roles, sides and ways."""

_CHOSEN = frozenset({"kind", "role", "side", "longer_pulse", "push"})
"""The fields that hold one of them."""

_PURPOSES = {
    "roll": later("use for roll"),
    "pitch": later("use for pitch"),
    "yaw": later("use for yaw"),
    "power": later("use for power"),
    "brake": later("use for brake"),
    "camber": later("use for camber"),
    "phase": later("use for phase"),
    "other": later("use for other"),
}

_AT_MODEL = {
    "surfaces": {
        "role", "side", "channel", "chord_mm", "stop_up_deg", "stop_down_deg", "measure_at", "neutral_ref", "linkage",
    },
    "devices": {"kind", "channel"},
}  # fmt: skip
_WRITTEN_DOWN = {
    "controls": {"label", "plus", "uses"},
    "channels": {"label"},
    "surfaces": {"label", "pair"},
    "devices": {"label"},
    "phases": {"label"},
}


def where_changed(place: Place) -> Where:
    """Whether a change of this place is entered on the transmitter, done at the model, or only written down."""
    head = place[0]
    if head == "balance":
        return "record" if place[-1] == "label" and len(place) == 4 else "model"
    if head == "remarks":
        return "record"
    if len(place) > 2 and place[2] in _WRITTEN_DOWN.get(head, ()):
        return "record"
    if head in _AT_MODEL and (is_entry(place) or place[2] in _AT_MODEL[head]):
        return "model"
    return "transmitter"


def label_of(place: Place, setup: Setup) -> str:
    """The label of a place in plain words: "Right flap, Left lever, cruise", "Elevator: chord"."""
    head = place[0]
    if head == "couplings":
        return _coupling_label(place, setup)
    if head == "phases" and len(place) == 4:
        stance = {"channel": channel_label(setup, int(place[3])), "phase": lowered(phase_label(setup, place[1]))}
        return say("{channel}, {phase}: stance", **stance)
    if head == "first_phase":
        return say("Phase of the positions without one of their own")
    if is_entry(place):
        return _entry_label(place, setup)
    if head == "signal":
        return say("Transmitter: {field}", field=_field(place[-1]))
    if head in ("balance", "remarks") and len(place) < 3:
        return capital(_field(place[-1]))
    field = say(_PURPOSES[place[3]]) if len(place) == 4 and place[2] == "uses" else _field(place[-1])
    return f"{_entry_label(place[:3] if head == 'balance' else place[:2], setup)}: {field}"


def _coupling_label(place: Place, setup: Setup) -> str:
    _, control, channel, phase = place[:4]
    parts = [channel_label(setup, int(channel)), control_label(setup, control)]
    if phase != EVERY_PHASE:
        parts.append(lowered(phase_label(setup, phase)))
    label = ", ".join(parts)
    if place[4:] in ((), ("stations",)):
        return label
    if place[4] == "fades":
        return say("{coupling}: fade by {control}", coupling=label, control=control_label(setup, place[5]))
    return f"{label}: {_field(place[4])}"


def _entry_label(place: Place, setup: Setup) -> str:
    if place[0] == "channels":
        name, bare = channel_label(setup, int(place[1])), say("Channel {channel}", channel=place[1])
        return name if name == bare else f"{bare}, {lowered(name)}"
    part = _keyed(place, setup)
    return label_from_key(place[-1]) if part is None else str(part.label)


def _keyed(place: Place, setup: Setup) -> Any:
    """The part of that key in the list of a place, or None."""
    parts = setup.balance.loads if place[0] == "balance" else getattr(setup, place[0])
    return next((part for part in parts if part.key == place[-1]), None)


def _field(name: str) -> str:
    return say(_FIELDS[name]) if name in _FIELDS else name.replace("_", " ")


def none() -> str:
    """What stands where there is nothing."""
    return say("none")


def value_words(place: Place, value: Any) -> str:
    """A value as a short text with its unit: "95 % at −100, 0 % at +100", "1500 µs", "reversed"."""
    field = place[-1]
    if value is None:
        return say("not set") if field == "failsafe" else none()
    if field == "linkage":
        return linkage_words(value)
    if field == "stations" or (place[0] == "couplings" and "fades" in place):
        return stations_words(value)
    if field == "positions":
        return ", ".join(signed(position) for position in value)
    return _scalar(place, field, value)


def _scalar(place: Place, field: str, value: Any) -> str:
    if field == "reversed":
        return say("reversed") if value else say("normal")
    if isinstance(value, bool):
        return say("yes") if value else say("no")
    if isinstance(value, str):
        return _text(field, value)
    if field == "channel":
        return say("channel {channel}", channel=value)
    return length_exact(value) if field.endswith("_mm") else exact(value) + _unit(place, field)


def _text(field: str, value: str) -> str:
    if field == "failsafe":
        return say(_FAILSAFES[value])
    if field in _CHOSEN:
        return say(_VALUES[value])
    if field in ("control", "pair"):
        return value.replace("_", " ")
    return value or say("(empty)")


_FAILSAFES = {"last_position": later("keeps the last position"), "signal_off": later("signal off")}


def _unit(place: Place, field: str) -> str:
    if (place[0] == "phases" and len(place) == 4) or field in ("failsafe", "rest", "position") or "uses" in place:
        return " %"
    if field.endswith(("per_1000_us", "curve_points")) or field == "channels":
        return "°" if field.endswith("per_1000_us") else ""
    return _UNITS.get(field.rpartition("_")[2], "")


def stations_words(stations: Any) -> str:
    """Stations of a response or a fade: "95 % at −100, 0 % at +100"."""
    return ", ".join(
        say("{travel} % at {position}", travel=exact(travel), position=_position(x)) for x, travel in stations
    )


def _position(x: float) -> str:
    return exact(x) if x <= 0 else f"+{exact(x)}"


def linkage_words(linkage: Linkage, than: Linkage | None = None) -> str:
    """A linkage in words; with `than`, of the same kind, only what differs from it."""
    if linkage.kind == "measured":
        read = (say("{throw} at {pulse} µs", throw=length_exact(mm), pulse=exact(us)) for us, mm in linkage.points)
        return say("measured: {readings}", readings=", ".join(read))
    head = say("four-bar") if linkage.kind == "four_bar" else say("not measured, estimated")
    same = than is not None and than.kind == linkage.kind
    fields = [
        f"{_field(name)} {_linkage_value(name, getattr(linkage, name))}"
        for name in type(linkage).model_fields
        if name != "kind" and not (same and getattr(linkage, name) == getattr(than, name))
    ]
    return f"{head}: {', '.join(fields)}"


def _linkage_value(name: str, value: Any) -> str:
    if name == "pivot_mm":
        return say("{along} along, {across} across", along=length_exact(value[0]), across=length_exact(value[1]))
    return value_words(("linkage", name), value)


def entry_words(entry: Place, setup: Setup) -> str:
    """A whole entry in one line, or "none" where the setup does not have it."""
    found = _entry(entry, setup)
    if found is None:
        return none()
    if entry[0] == "couplings":
        return "; ".join(_coupling_words(found, setup))
    collection = {"controls": "uses", "phases": "stance"}.get(entry[0])
    told = [
        _said(name, value_words((*entry, name), getattr(found, name)))
        for name in type(found).model_fields
        if name not in ("key", "number", "label", collection) and getattr(found, name) not in (None, "", ())
    ]
    if collection == "stance":
        told += [f"{lowered(channel_label(setup, n))} {exact(travel)} %" for n, travel in found.stance.items()]
    return ", ".join(told)


def _coupling_words(coupling: Coupling, setup: Setup) -> Iterator[str]:
    yield stations_words(coupling.stations)
    if coupling.expo_pct:
        yield say("expo {expo} %", expo=exact(coupling.expo_pct))
    for fade in coupling.fades:
        by, stations = control_label(setup, fade.control), stations_words(fade.stations)
        yield say("faded by {control}: {stations}", control=by, stations=stations)


def _said(name: str, words: str) -> str:
    """A field and its value, which may name the field itself: "channel 3"."""
    return words if words.startswith(f"{_field(name)} ") else f"{_field(name)} {words}"


def _entry(entry: Place, setup: Setup) -> Any:
    if entry[0] == "couplings":
        place = (entry[1], int(entry[2]), "" if entry[3] == EVERY_PHASE else entry[3])
        return next((coupling for coupling in setup.couplings if coupling.place == place), None)
    if entry[0] == "channels":
        return next((channel for channel in setup.channels if channel.number == int(entry[1])), None)
    return _keyed(entry, setup)
