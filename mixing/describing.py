"""What stands at a place of a document, in words: its label, its value as a short text, and where it is changed."""

from __future__ import annotations

from typing import Any, Literal

from .document import Setup
from .linkage import Linkage
from .places import Place, is_entry
from .wording import EVERY_PHASE, channel_label, control_label, exact, label_from_key, lowered, phase_label, signed

Where = Literal["transmitter", "model", "record"]
"""Entered on the transmitter, done at the model, or only written down (labels, remarks, what a control is for)."""

NONE = "none"

_UNITS = {"us": " µs", "pct": " %", "mm": " mm", "deg": "°", "g": " g", "s": " s"}

_FIELDS = {
    "arm_mm": "arm",
    "arm_neutral_deg": "lean of the arm",
    "centre_us": "centre",
    "cg_datum": "datum of the balance",
    "cg_high_mm": "rear limit of the balance",
    "cg_low_mm": "front limit of the balance",
    "cg_mm": "balance behind the datum",
    "channel": "channel",
    "channels": "channels",
    "chord_mm": "chord",
    "curve_free_x": "curve stations may be placed freely",
    "curve_points": "stations of a curve",
    "deg_per_1000_us": "degrees for 1000 µs",
    "expo_pct": "expo",
    "failsafe": "failsafe",
    "full_pct": "travel at full",
    "high_us": "high limit",
    "horn_mm": "horn",
    "horn_neutral_deg": "lean of the horn",
    "label": "label",
    "limit_pct": "widest limit",
    "longer_pulse": "a longer pulse",
    "low_us": "low limit",
    "mass_g": "mass",
    "measure_at": "where the ruler goes",
    "neutral_ref": "what neutral is flush with",
    "neutral_us": "pulse at neutral",
    "off_pct": "travel at off",
    "per_100_us": "pulse for 100 % travel",
    "pivot_mm": "pivot of the horn",
    "plus": "name of the + end",
    "positions": "positions",
    "rest": "position at rest",
    "reversed": "direction",
    "servo_deg_per_1000_us": "servo degrees for 1000 µs",
    "step_pct": "step",
    "stop_down_deg": "stop down",
    "stop_up_deg": "stop up",
    "transition_s": "transition",
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
        return f"{channel_label(setup, int(place[3]))}, {lowered(phase_label(setup, place[1]))}: stance"
    if head == "first_phase":
        return "Phase of the positions without one of their own"
    if is_entry(place):
        return _entry_label(place, setup)
    if head == "signal":
        return f"Transmitter: {_field(place[-1])}"
    if head in ("balance", "remarks") and len(place) < 3:
        return _capital(_field(place[-1]))
    field = f"use for {place[3]}" if len(place) == 4 and place[2] == "uses" else _field(place[-1])
    return f"{_entry_label(place[:3] if head == 'balance' else place[:2], setup)}: {field}"


def _coupling_label(place: Place, setup: Setup) -> str:
    _, control, channel, phase = place[:4]
    parts = [channel_label(setup, int(channel)), control_label(setup, control)]
    if phase != EVERY_PHASE:
        parts.append(lowered(phase_label(setup, phase)))
    label = ", ".join(parts)
    if place[4:] in ((), ("stations",)):
        return label
    return f"{label}: {f'fade by {control_label(setup, place[5])}' if place[4] == 'fades' else _field(place[4])}"


def _entry_label(place: Place, setup: Setup) -> str:
    if place[0] == "channels":
        name = channel_label(setup, int(place[1]))
        return name if name == f"Channel {place[1]}" else f"Channel {place[1]}, {lowered(name)}"
    parts = setup.balance.loads if place[0] == "balance" else getattr(setup, place[0])
    return next((str(part.label) for part in parts if part.key == place[-1]), label_from_key(place[-1]))


def _field(name: str) -> str:
    return _FIELDS.get(name, name.replace("_", " "))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def value_words(place: Place, value: Any) -> str:
    """A value as a short text with its unit: "95 % at −100, 0 % at +100", "1500 µs", "reversed"."""
    field = place[-1]
    if value is None:
        return "not set" if field == "failsafe" else NONE
    if field == "linkage":
        return linkage_words(value)
    if field == "stations" or (place[0] == "couplings" and "fades" in place):
        return stations_words(value)
    if field == "positions":
        return ", ".join(signed(position) for position in value)
    return _scalar(place, field, value)


def _scalar(place: Place, field: str, value: Any) -> str:
    if field == "reversed":
        return "reversed" if value else "normal"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return _NAMED.get(value, value) if field == "failsafe" else (value.replace("_", " ") if value else "(empty)")
    if field == "channel":
        return f"channel {value}"
    return exact(value) + _unit(place, field)


_NAMED = {"last_position": "keeps the last position", "signal_off": "signal off"}


def _unit(place: Place, field: str) -> str:
    if (place[0] == "phases" and len(place) == 4) or field in ("failsafe", "rest", "position") or "uses" in place:
        return " %"
    if field.endswith(("per_1000_us", "curve_points")) or field == "channels":
        return "°" if field.endswith("per_1000_us") else ""
    return _UNITS.get(field.rpartition("_")[2], "")


def stations_words(stations: Any) -> str:
    """Stations of a response or a fade: "95 % at −100, 0 % at +100"."""
    return ", ".join(f"{exact(travel)} % at {_position(x)}" for x, travel in stations)


def _position(x: float) -> str:
    return exact(x) if x <= 0 else f"+{exact(x)}"


def linkage_words(linkage: Linkage, than: Linkage | None = None) -> str:
    """A linkage in words; with `than`, of the same kind, only what differs from it."""
    if linkage.kind == "measured":
        return "measured: " + ", ".join(f"{exact(throw)} mm at {exact(pulse)} µs" for pulse, throw in linkage.points)
    head = {"four_bar": "four-bar", "unmeasured": "not measured, estimated"}[linkage.kind]
    same = than is not None and than.kind == linkage.kind
    fields = [
        f"{_field(name)} {_linkage_value(name, getattr(linkage, name))}"
        for name in type(linkage).model_fields
        if name != "kind" and not (same and getattr(linkage, name) == getattr(than, name))
    ]
    return f"{head}: {', '.join(fields)}"


def _linkage_value(name: str, value: Any) -> str:
    if name == "pivot_mm":
        return f"{exact(value[0])} mm along, {exact(value[1])} mm across"
    return value_words(("linkage", name), value) if not isinstance(value, str) else value


def entry_words(entry: Place, setup: Setup) -> str:
    """A whole entry in one line, or "none" where the setup does not have it."""
    found = _entry(entry, setup)
    if found is None:
        return NONE
    if entry[0] == "couplings":
        fades = "".join(
            f"; faded by {control_label(setup, fade.control)}: {stations_words(fade.stations)}" for fade in found.fades
        )
        expo = f"; expo {exact(found.expo_pct)} %" if found.expo_pct else ""
        return stations_words(found.stations) + expo + fades
    collection = {"controls": "uses", "phases": "stance"}.get(entry[0])
    told = [
        _said(name, value_words((*entry, name), getattr(found, name)))
        for name in type(found).model_fields
        if name not in ("key", "number", "label", collection) and getattr(found, name) not in (None, "", ())
    ]
    if collection == "stance":
        told += [f"{lowered(channel_label(setup, n))} {exact(travel)} %" for n, travel in found.stance.items()]
    return ", ".join(told)


def _said(name: str, words: str) -> str:
    """A field and its value, which may name the field itself: "channel 3"."""
    return words if words.startswith(f"{_field(name)} ") else f"{_field(name)} {words}"


def _entry(entry: Place, setup: Setup) -> Any:
    if entry[0] == "couplings":
        place = (entry[1], int(entry[2]), "" if entry[3] == EVERY_PHASE else entry[3])
        return next((coupling for coupling in setup.couplings if coupling.place == place), None)
    if entry[0] == "channels":
        return next((channel for channel in setup.channels if channel.number == int(entry[1])), None)
    parts = setup.balance.loads if entry[0] == "balance" else getattr(setup, entry[0])
    return next((part for part in parts if part.key == entry[-1]), None)
