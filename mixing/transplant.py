"""The same throws elsewhere: on the other side of the model, on a rebuilt one, on a sister model.

Throws count from where the surface stands with its channel at 0 % travel, so that a model with another neutral keeps
its own. At every station, alone with the stance of its phase, the throw is met exactly where the linkage and the
limits allow; between stations, and where several controls add up on linkages of another shape, it can differ: what
differs by more than `TELL_MM` at any station or end of a control is told.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from .document import Control, Coupling, Phase, Setup, Surface
from .errors import Unreachable
from .language import say
from .motion import Motion
from .rig import Rig
from .throws import Array, throw_mm
from .wording import control_label, length, lowered, number, phase_label

TELL_MM = 0.5
"""Differences up to this much are within what a ruler reads on a model."""
_DIGITS = 6
"""Of a travel in %, at most: far below a servo's step, far above the rounding of floats."""
_UNSEEN_MM = 0.01
"""A solved travel is rounded as far as it moves no throw by more than this."""
_NO_MATTER = {"number": 0, "label": "", "failsafe": None}
"""What of a channel does not move its surfaces."""


class Miss(NamedTuple):
    """A throw that could not be carried over."""

    surface: str
    """Key of the surface on the model that it was carried to."""
    where: str
    """The control and its position, or the phase, in words."""
    wanted_mm: float
    got_mm: float
    text: str


class Transplanted(NamedTuple):
    """The setup on the other model, and what it could not keep."""

    setup: Setup
    misses: tuple[Miss, ...]


def mirror(setup: Setup, *, surface: str, control: str, phase: str | None = None) -> tuple[Coupling, tuple[Miss, ...]]:
    """The coupling that gives the paired surface on the other side the same throws.

    A control that rolls or yaws moves the sides against each other: the other side at x does what this side does at
    −x. Any other control moves both sides alike.

    Parameters
    ----------
    surface : key of a surface with a partner on the other side
    control, phase : which of its couplings

    Returns
    -------
    (coupling, misses)
        The coupling for the other side's channel; its fades are those of this side.

    Raises
    ------
    KeyError
        The surface has no partner, or no such coupling.

    Examples
    --------
    >>> coupling, misses = mirror(setup, surface="right_flap", control="lever")
    >>> coupling.channel, misses
    (7, ())
    """
    this = setup.surface(surface)
    other = partner(setup, this)
    coupling = _coupling(setup, control, this.channel, phase)
    against = any(use.purpose in ("roll", "yaw") for use in setup.control(control).uses)
    carrier = _Carrier(Rig(setup), this, Rig(setup), other)
    stance = _stance_of(setup, this.channel, phase)
    x = np.array([station[0] for station in coupling.stations])
    travel = carrier.solved(np.array([station[1] for station in coupling.stations]), stance)
    if against:
        x, travel = -x[::-1], travel[::-1]
    mirrored = coupling.model_copy(
        update={"channel": other.channel, "stations": tuple(zip(x.tolist(), travel.tolist(), strict=True))}
    )
    return mirrored, tuple(carrier.misses(setup.control(control).label))


def partner(setup: Setup, surface: Surface) -> Surface:
    """The surface of the same pair on the other side; KeyError where there is none."""
    for other in setup.surfaces:
        if surface.pair is not None and other.pair == surface.pair and other.key != surface.key:
            return other
    raise KeyError(say("{surface} has no partner on the other side", surface=surface.label))


def transplant(setup: Setup, *, onto: Setup) -> Transplanted:
    """The controls, phases and throws of one setup on the model of another.

    Everything as built (surfaces, linkages, balance), the channels with their centres, limits, reversal and failsafe,
    the devices and the transmitter's figures are those of `onto`; controls, phases, couplings and remarks those of
    `setup`, their travels solved anew. Surfaces are matched by key, else by role, side and pair; a coupling follows
    its surface to the channel that it sits on.

    Returns
    -------
    Transplanted
        `misses` also tells the surfaces that the other model does not have.

    Raises
    ------
    SetupError
        The two do not fit together, as where a travel past 400 % would be needed.

    Examples
    --------
    >>> transplant(setup, onto=setup).misses
    ()
    """
    across = _Across(setup, onto)
    result = onto.changed(
        controls=[control.model_dump() for control in setup.controls],
        phases=[across.phase(phase) for phase in setup.phases],
        couplings=[carried for one in setup.couplings if (carried := across.coupling(one)) is not None],
        remarks=setup.remarks,
    )
    differences = _differences(across.source, Rig(result), across.carriers.values())
    return Transplanted(result, (*across.left_out(), *differences))


class _Across:
    """What carries each channel's travel from one setup to another model."""

    def __init__(self, setup: Setup, onto: Setup) -> None:
        self.setup = setup
        self.source, target = Rig(setup), Rig(onto)
        self.matches = [(surface, _match(onto, surface)) for surface in setup.surfaces]
        self.carriers: dict[int, _Carrier] = {}
        for surface, match in self.matches:
            if match is not None and surface.channel not in self.carriers:
                self.carriers[surface.channel] = _Carrier(self.source, surface, target, match)
        self._devices = {
            device.channel: (device, match)
            for device in setup.devices
            for match in onto.devices
            if match.key == device.key or (match.kind == device.kind and not _has(onto.devices, device.key))
        }

    def left_out(self) -> Iterable[Miss]:
        """The surfaces that the other model does not have."""
        for surface, match in self.matches:
            if match is None:
                text = say("{surface} is not on this model; its throws are left out", surface=surface.label)
                yield Miss(surface.key, "", 0.0, 0.0, text)

    def coupling(self, coupling: Coupling) -> dict[str, Any] | None:
        """A coupling as the other model needs it; None where it moves nothing there."""
        stance = _stance_of(self.setup, coupling.channel, coupling.phase)
        carried = self._carried(coupling.channel, [travel for _, travel in coupling.stations], stance)
        if carried is None:
            return None
        number, travels = carried
        stations = [(x, travel) for (x, _), travel in zip(coupling.stations, travels, strict=True)]
        return {**coupling.model_dump(), "channel": number, "stations": stations}

    def phase(self, phase: Phase) -> dict[str, Any]:
        """A phase with the stances that the other model needs."""
        stance = {}
        for channel, travel in phase.stance.items():
            carried = self._carried(channel, [travel], 0.0)
            if carried is not None:
                stance[str(carried[0])] = carried[1][0]
        return {**phase.model_dump(), "stance": stance}

    def _carried(self, channel: int, travels: list[float], stance: float) -> tuple[int, list[float]] | None:
        """The other model's channel, and its travels [%]."""
        values = np.array(travels, dtype=np.float64)
        if channel in self.carriers:
            carrier = self.carriers[channel]
            return carrier.target.channel, carrier.solved(values, stance, self._parts(channel)).tolist()
        if channel in self._devices:
            here, there = self._devices[channel]
            share = (values - here.off_pct) / (here.full_pct - here.off_pct)
            return there.channel, (there.off_pct + share * (there.full_pct - there.off_pct)).tolist()
        return None

    def _parts(self, channel: int) -> int:
        """How many travels may add up on a channel: those of its controls, and a stance."""
        return 1 + len({one.control for one in self.setup.couplings if one.channel == channel})


def with_failsafes(setup: Setup, *, of: Setup) -> Setup:
    """`setup` with every failsafe that `of` has set, for the surfaces and devices of the same key.

    A surface goes to the same throw through today's linkage, as far as the transmitter's limit lets it; a device to the
    same travel. What `of` has not set stays as it is in `setup`: no failsafe is lost on the way.

    Examples
    --------
    >>> with_failsafes(setup, of=setup) == setup
    True
    """
    source, target = Rig(of), Rig(setup)
    then = {device.key: of.channel(device.channel) for device in of.devices}
    found: dict[int, Any] = {
        device.channel: then[device.key].failsafe for device in setup.devices if device.key in then
    }
    for surface in reversed(setup.surfaces):
        if _has(of.surfaces, surface.key):
            carrier = _Carrier(source, of.surface(surface.key), target, surface)
            found[surface.channel] = carrier.failsafe()
    channels = []
    for channel in setup.channels:
        told = found.get(channel.number)
        channels.append({**channel.model_dump(), "failsafe": channel.failsafe if told is None else told})
    return setup.changed(channels=channels)


def _has(parts: Iterable[Any], key: str) -> bool:
    return any(part.key == key for part in parts)


def _match(onto: Setup, surface: Surface) -> Surface | None:
    if _has(onto.surfaces, surface.key):
        return onto.surface(surface.key)
    alike = [other for other in onto.surfaces if (other.role, other.side) == (surface.role, surface.side)]
    same_pair = [other for other in alike if other.pair == surface.pair]
    choice = same_pair or alike
    return choice[0] if len(choice) == 1 else None


def _coupling(setup: Setup, control: str, channel: int, phase: str | None) -> Coupling:
    for coupling in setup.couplings:
        if (coupling.control, coupling.channel, coupling.phase) == (control, channel, phase):
            return coupling
    told = {"control": control_label(setup, control), "channel": channel}
    if phase is None:
        raise KeyError(say("{control} does not move channel {channel} in every phase", **told))
    raise KeyError(say("{control} does not move channel {channel} in {phase}", phase=phase_label(setup, phase), **told))


def _stance_of(setup: Setup, channel: int, phase: str | None) -> float:
    return next((each.stance.get(channel, 0.0) for each in setup.phases if each.key == phase), 0.0)


class _Carrier:
    """From a travel that moves one surface to the travel that moves another as far."""

    def __init__(self, source_rig: Rig, source: Surface, target_rig: Rig, target: Surface) -> None:
        self.source_rig, self.source = source_rig, source
        self.target_rig, self.target = target_rig, target
        self._from = source_rig.setup.channel(source.channel)
        self._to = target_rig.setup.channel(target.channel)
        self._rest = float(self._deflection(np.zeros(1))[0])
        pulse, _ = target_rig.pulse(self._to, 0.0)
        self._stands = float(target_rig.follow(target, pulse).deflection_deg)

    def _deflection(self, travel: Array) -> Array:
        pulse, _ = self.source_rig.pulse(self._from, travel)
        return self.source_rig.follow(self.source, pulse).deflection_deg

    def travel(self, travel: Array) -> Array:
        """Travel [%] for the other surface, shape (N,); the last that it follows where it cannot follow so far."""
        # The throw is what counts: a smaller chord turns further for the same millimetres.
        wanted = throw_mm(deflection_deg=self._deflection(travel) - self._rest, chord_mm=self.source.chord_mm)
        half = np.clip(wanted / (2.0 * self.target.chord_mm), -1.0, 1.0)
        deflection = np.clip(np.degrees(2.0 * np.arcsin(half)) + self._stands, -90.0, 90.0)
        pulse = np.array([self._pulse(float(each)) for each in deflection])
        return self.target_rig.travel_of_pulse(self._to, pulse)

    def solved(self, travel: Array, stance: float, parts: int = 1) -> Array:
        """As `travel`, counted from the stance and rounded: so many such parts together move no throw by 0.01 mm."""
        if self._is_the_same:
            return travel
        base = self.travel(np.array([stance]))[0]
        found: Array = np.round(self.travel(travel + stance) - base, self._digits(parts)) + 0.0
        return found

    @cached_property
    def _is_the_same(self) -> bool:
        """Whether the other surface is this one: its travels then stay as they were written."""
        ours, theirs = self.source_rig.setup, self.target_rig.setup
        return (
            (self.source.linkage, self.source.chord_mm) == (self.target.linkage, self.target.chord_mm)
            and self._from.model_copy(update=_NO_MATTER) == self._to.model_copy(update=_NO_MATTER)
            and (ours.signal.centre_us, ours.signal.per_100_us) == (theirs.signal.centre_us, theirs.signal.per_100_us)
        )

    def _digits(self, parts: int) -> int:
        """As few decimals of a travel [%] as the throws allow, 0.01 % or finer."""
        moved_mm = parts * self._steepest_mm * 0.5
        return next(n for n in range(2, _DIGITS + 1) if n == _DIGITS or moved_mm / 10**n <= _UNSEEN_MM)

    @cached_property
    def _steepest_mm(self) -> float:
        """How far 1 % of travel moves a surface on the other's channel, at most."""
        moved = self.target_rig.setup.surfaces_on(self.target.channel)
        return max(Motion(self.target_rig, surface).steepest_mm for surface in moved)

    def failsafe(self) -> Any:
        """What the other surface's channel is to do without a signal, so that it goes where this one goes."""
        told = self._from.failsafe
        if not isinstance(told, float):
            return told
        limit = self.target_rig.setup.signal.limit_pct
        found = round(float(self.travel(np.array([told]))[0]), self._digits(1))
        return min(max(found, -limit), limit) + 0.0

    def _pulse(self, deflection: float) -> float:
        linkage, chord = self.target.linkage, self.target.chord_mm
        centre = self.target_rig.setup.signal.centre_us
        try:
            return float(linkage.pulse_for(deflection, chord_mm=chord, centre_us=centre))
        except Unreachable as unreachable:
            return float(linkage.pulse_for(unreachable.last, chord_mm=chord, centre_us=centre))

    def misses(self, where: str) -> Iterable[Miss]:
        """What the whole travel of this side does that the other side's linkage cannot."""
        travel = np.linspace(-100.0, 100.0, 5)
        wanted = throw_mm(deflection_deg=self._deflection(travel) - self._rest, chord_mm=self.source.chord_mm)
        pulse, _ = self.target_rig.pulse(self._to, self.travel(travel))
        got = self.target_rig.follow(self.target, pulse).throw_mm(chord_mm=self.target.chord_mm)
        stands = float(throw_mm(deflection_deg=self._stands, chord_mm=self.target.chord_mm))
        for want, have in zip(wanted, got - stands, strict=True):
            if abs(want - have) > TELL_MM:
                yield _miss(self.target, where, float(want), float(have))


def _miss(surface: Surface, where: str, wanted: float, got: float) -> Miss:
    text = say(
        "{surface}, {where}: {wanted} wanted, {got} is what this model gives",
        surface=surface.label,
        where=where,
        wanted=length(wanted),
        got=length(got),
    )
    return Miss(surface.key, where, wanted, got, text)


def _differences(before: Rig, after: Rig, carriers: Iterable[_Carrier]) -> Iterable[Miss]:
    """Compare both models at every station and end of every control, alone and at rest otherwise, in every phase."""
    carriers = list(carriers)
    old_rest, new_rest = before.at({}), after.at({})
    phases: list[str | None] = [each.key for each in before.setup.phases]
    for phase in phases or [None]:
        for control in before.setup.controls:
            if control.key == before.phase_control:
                continue
            places = _places(before.setup, control.key)
            old, new = before.at({control.key: places}, phase=phase), after.at({control.key: places}, phase=phase)
            for carrier in carriers:
                key, other = carrier.source.key, carrier.target.key
                wanted = old.throw_mm[key] - old_rest.throw_mm[key]
                got = new.throw_mm[other] - new_rest.throw_mm[other]
                worst = int(np.argmax(np.abs(wanted - got)))
                if abs(wanted[worst] - got[worst]) > TELL_MM:
                    where = _where(before.setup, control, float(places[worst]), phase)
                    yield _miss(carrier.target, where, float(wanted[worst]), float(got[worst]))


def _where(setup: Setup, control: Control, position: float, phase: str | None) -> str:
    told = {"control": control.label, "position": number(position)}
    if phase is None:
        return say("{control} at {position} %", **told)
    return say("{control} at {position} % in {phase}", phase=lowered(phase_label(setup, phase)), **told)


def _places(setup: Setup, control: str) -> Array:
    """Ends, rest and stations of a control."""
    part = setup.control(control)
    if part.positions:
        return np.array(part.positions)
    own = [x for coupling in setup.couplings if coupling.control == control for x, _ in coupling.stations]
    return np.unique(np.array([*part.ends, part.rest, *own]))
