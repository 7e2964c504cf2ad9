"""The setup document, schema 1: frozen models, read with clear messages, written as canonical JSON."""

from __future__ import annotations

import hashlib
from functools import cached_property
from itertools import pairwise
from typing import Annotated, Any, Literal, Self

import rfc8785
from pydantic import AfterValidator, Field, ValidationError, model_validator

from . import reading
from .consistency import check
from .errors import PartError, Problem, SetupError
from .language import say
from .linkage import FourBar, Linkage, Measured, Unmeasured
from .part import Factor, Key, Label, Note, Part, Position, Pulse, Remarks, Stance, Travel, type_tuple
from .response import Response
from .wording import given

Purpose = Literal["roll", "pitch", "yaw", "power", "brake", "camber", "phase", "other"]
Side = Literal["left", "right", "centre"]
Role = Literal[
    "aileron",
    "flap",
    "elevator",
    "canard",
    "rudder",
    "elevon",
    "flaperon",
    "ruddervator",
    "ruddervator_inverted",
    "spoiler",
    "other",
]
DeviceKind = Literal["electric_motor", "engine_throttle", "release", "retract", "wheel_brake", "other"]
NARROWEST_PCT = 1e-6
"""Stations nearer to each other than this [control %] make a step that no control can stand on."""
MOST_STATIONS = 100
"""So many stations a response or a fade may have."""


def _increasing(stations: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    for before, after in pairwise(stations):
        if after[0] <= before[0]:
            raise PartError(
                say(
                    "has stations out of order: {after} comes after {before}; "
                    "give them with the control % rising, none twice",
                    after=given(after[0]),
                    before=given(before[0]),
                )
            )
        if after[0] - before[0] < NARROWEST_PCT:
            raise PartError(
                say(
                    "has two stations at about {position}, nearer to each other than {least} %; "
                    "leave one out or move them apart",
                    position=given(after[0]),
                    least=given(NARROWEST_PCT),
                )
            )
    return stations


Station = Annotated[tuple[Position, Travel], type_tuple]
Stations = Annotated[
    tuple[Station, ...], type_tuple, Field(min_length=2, max_length=MOST_STATIONS), AfterValidator(_increasing)
]
FadeStation = Annotated[tuple[Position, Factor], type_tuple]
FadeStations = Annotated[
    tuple[FadeStation, ...], type_tuple, Field(min_length=2, max_length=MOST_STATIONS), AfterValidator(_increasing)
]


class Signal(Part):
    """The transmitter's figures when the setup was recorded."""

    centre_us: Pulse = 1500.0
    per_100_us: Annotated[float, Field(ge=50, le=1000)] = 500.0
    limit_pct: Annotated[float, Field(gt=0, le=200)] = 125.0
    step_pct: Annotated[float, Field(gt=0, le=10)] = 1.0
    curve_points: Annotated[int, Field(ge=2, le=100)] = 5
    curve_free_x: bool = False
    channels: Annotated[int, Field(ge=1, le=64)] = 16


class Load(Part):
    """One way the model is loaded: battery, ballast, all-up mass and where it balances behind the datum."""

    key: Key
    label: Label
    mass_g: Annotated[float, Field(gt=0, le=150_000)]
    cg_mm: Annotated[float, Field(ge=-10_000, le=10_000)]


class Balance(Part):
    """The datum, the allowed range behind it, and the loads that are flown."""

    cg_datum: Note
    cg_low_mm: Annotated[float, Field(ge=-10_000, le=10_000)]
    cg_high_mm: Annotated[float, Field(ge=-10_000, le=10_000)]
    loads: Annotated[tuple[Load, ...], type_tuple, Field(min_length=1, max_length=20)]


class Use(Part):
    """What a control is for, and the end at which it acts fully."""

    purpose: Purpose
    full: Position


class Control(Part):
    """What the pilot moves."""

    key: Key
    label: Label
    kind: Literal["stick", "lever", "knob", "switch"]
    plus: Label
    rest: Position = 0.0
    positions: Annotated[tuple[Position, ...], type_tuple, Field(min_length=2, max_length=20)] | None = None
    uses: Annotated[tuple[Use, ...], type_tuple, Field(max_length=8)] = ()

    @property
    def ends(self) -> tuple[float, float]:
        """The lowest and highest position that it takes."""
        return (self.positions[0], self.positions[-1]) if self.positions else (-100.0, 100.0)

    def use(self, purpose: str) -> Use | None:
        """Its use for a purpose, or None."""
        return next((use for use in self.uses if use.purpose == purpose), None)


class Channel(Part):
    """One receiver channel."""

    number: Annotated[int, Field(ge=1, le=64)]
    label: Label
    reversed: bool = False
    centre_us: Pulse = 1500.0
    low_us: Pulse
    high_us: Pulse
    failsafe: Literal["last_position", "signal_off"] | Travel | None = None


class Surface(Part):
    """A hinged control surface, as built, and the channel that moves it."""

    key: Key
    label: Label
    role: Role
    side: Side
    pair: Label | None = None
    channel: int
    chord_mm: Annotated[float, Field(gt=0, le=5000)]
    stop_up_deg: Annotated[float, Field(ge=0, le=90)]
    stop_down_deg: Annotated[float, Field(ge=0, le=90)]
    measure_at: Note = ""
    neutral_ref: Note = ""
    linkage: Linkage


class Device(Part):
    """What is switched or run rather than deflected: motor, throttle, tow release, retract, wheel brake."""

    key: Key
    label: Label
    kind: DeviceKind
    channel: int
    off_pct: Travel = -100.0
    full_pct: Travel = 100.0


class Phase(Part):
    """A flight phase: a switch position, and where the channels stand in it."""

    key: Key
    label: Label
    control: Key
    position: Position
    stance: Stance = Stance()
    transition_s: Annotated[float, Field(ge=0, le=60)] = 0.0


class Fade(Part):
    """A factor on a coupling, by another control: 0 … 100 %."""

    control: Key
    stations: FadeStations

    @cached_property
    def factor(self) -> Response:
        """The factor in % as a polyline of the control's raw position."""
        return Response(self.stations)


class Coupling(Part):
    """One cell of the throw matrix: control → channel, in every phase or in one."""

    control: Key
    channel: int
    phase: Key | None = None
    stations: Stations
    expo_pct: Annotated[float, Field(ge=-50, le=100)] = 0.0
    fades: Annotated[tuple[Fade, ...], type_tuple, Field(max_length=6)] = ()

    @cached_property
    def response(self) -> Response:
        """Stations and expo, compiled into one polyline."""
        return Response(self.stations).with_expo(self.expo_pct)

    @property
    def place(self) -> tuple[str, int, str]:
        """What a coupling is known by: control, channel and phase ("" = every phase)."""
        return self.control, self.channel, self.phase or ""


class Setup(Part):
    """Everything about how one airframe's controls are set, as one immutable document."""

    schema_: Annotated[Literal[1], Field(alias="schema")] = 1
    signal: Signal = Signal()
    balance: Balance
    controls: Annotated[tuple[Control, ...], type_tuple, Field(min_length=1, max_length=40)]
    channels: Annotated[tuple[Channel, ...], type_tuple, Field(min_length=1, max_length=64)]
    surfaces: Annotated[tuple[Surface, ...], type_tuple, Field(max_length=40)] = ()
    devices: Annotated[tuple[Device, ...], type_tuple, Field(max_length=20)] = ()
    phases: Annotated[tuple[Phase, ...], type_tuple, Field(max_length=16)] = ()
    couplings: Annotated[tuple[Coupling, ...], type_tuple, Field(max_length=500)] = ()
    remarks: Remarks = ""

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        problems = check(self)
        if problems:
            raise SetupError(problems)
        # Only now, so that a problem's path counts as in the document that was given.
        self.__dict__["channels"] = tuple(sorted(self.channels, key=lambda channel: channel.number))
        self.__dict__["couplings"] = tuple(sorted(self.couplings, key=lambda coupling: coupling.place))
        return self

    @classmethod
    def from_text(cls, text: str | bytes) -> Self:
        """Read a document from JSON.

        Parameters
        ----------
        text : str or UTF-8 bytes, at most 1 MiB

        Raises
        ------
        SetupError
            With every problem found: its path, what was given and what is expected.

        Examples
        --------
        >>> Setup.from_text(setup.text()) == setup
        True
        >>> Setup.from_text('{"schema": 1, "schema": 1}')
        Traceback (most recent call last):
        mixing.errors.SetupError: schema: is given twice; give it once
        """
        decoded = reading.parse(text)
        try:
            return cls.model_validate(decoded)
        except ValidationError as error:
            raise SetupError(reading.problems_of(error)) from None

    def changed(self, **fields: Any) -> Self:
        """A copy with some fields replaced by models or plain data, validated as a whole.

        Raises
        ------
        SetupError

        Examples
        --------
        >>> setup.changed(remarks="windy").remarks
        'windy'
        """
        values = {name: getattr(self, name) for name in type(self).model_fields}
        values["schema"] = values.pop("schema_")
        try:
            return type(self).model_validate({**values, **fields})
        except ValidationError as error:
            raise SetupError(reading.problems_of(error)) from None

    def data(self) -> dict[str, Any]:
        """The document as plain JSON data."""
        return self.model_dump(mode="json", by_alias=True)

    def text(self) -> str:
        """Canonical JSON (RFC 8785): the same document is always the same text.

        >>> setup.text()[:26]
        '{"balance":{"cg_datum":"wi'
        """
        return self._text

    def digest(self) -> str:
        """SHA-256 of the canonical text, 64 hexadecimal figures.

        >>> len(setup.digest()), setup.digest() == setup.changed(remarks="windy").digest()
        (64, False)
        """
        return self._digest

    @cached_property
    def _text(self) -> str:
        return rfc8785.dumps(self.data()).decode("utf-8")

    @cached_property
    def _digest(self) -> str:
        return hashlib.sha256(self._text.encode("utf-8")).hexdigest()

    def control(self, key: str) -> Control:
        """The control of that key; KeyError where there is none."""
        return self._controls[key]

    def channel(self, number: int) -> Channel:
        """The channel of that number; KeyError where there is none."""
        return self._channels[number]

    def surface(self, key: str) -> Surface:
        """The surface of that key; KeyError where there is none."""
        return self._surfaces[key]

    def surfaces_on(self, number: int) -> tuple[Surface, ...]:
        """The surfaces that a channel moves: more than one is a Y-lead."""
        return tuple(surface for surface in self.surfaces if surface.channel == number)

    def devices_on(self, number: int) -> tuple[Device, ...]:
        """The devices that a channel feeds."""
        return tuple(device for device in self.devices if device.channel == number)

    @cached_property
    def _controls(self) -> dict[str, Control]:
        return {control.key: control for control in self.controls}

    @cached_property
    def _channels(self) -> dict[int, Channel]:
        return {channel.number: channel for channel in self.channels}

    @cached_property
    def _surfaces(self) -> dict[str, Surface]:
        return {surface.key: surface for surface in self.surfaces}


__all__ = [
    "Balance",
    "Channel",
    "Control",
    "Coupling",
    "Device",
    "Fade",
    "FourBar",
    "Load",
    "Measured",
    "Phase",
    "Problem",
    "Setup",
    "SetupError",
    "Signal",
    "Surface",
    "Unmeasured",
    "Use",
]
