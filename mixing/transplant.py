"""The same throws elsewhere: on the other side of the model, on a rebuilt one, on a sister model.

Throws count from where the surface stands with its channel at 0 % travel, so that a model with another neutral keeps
its own. At every station, alone with the stance of its phase, the throw is met exactly where the linkage and the
limits allow; between stations, and where several controls add up on linkages of another shape, it can differ: what
differs by more than `TELL_MM` is told (`mixing.misses`).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple

import numpy as np

from .carrier import DIGITS, Carrier
from .document import Control, Coupling, Phase, Setup, Surface
from .language import say
from .misses import Miss, along, between, places_of
from .rig import Rig
from .wording import control_label, phase_label


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
    carrier = Carrier(Rig(setup), this, Rig(setup), other)
    stance = _stance_of(setup, this.channel, phase)
    part = setup.control(control)
    way = -1.0 if sides_differ(part) else 1.0
    solved = carrier.stations(coupling, way * part.rest, stance)
    stations = tuple(sorted((way * x + 0.0, travel) for x, travel in solved))
    mirrored = coupling.model_copy(update={"channel": other.channel, "stations": stations})
    return mirrored, tuple(_missed(setup, carrier, coupling, mirrored))


def sides_differ(control: Control) -> bool:
    """Whether a control moves the two sides against each other."""
    return any(use.purpose in ("roll", "yaw") for use in control.uses)


def _missed(setup: Setup, carrier: Carrier, coupling: Coupling, mirrored: Coupling) -> Iterable[Miss]:
    """The worst of what a mirrored coupling alone, with the stance of its phase, cannot do that this side does."""
    control = setup.control(coupling.control)
    stance = _stance_of(setup, coupling.channel, coupling.phase)
    places = places_of(setup, control)
    there = -places if sides_differ(control) else places
    wanted = carrier.wanted_mm(coupling.response(places) + stance)
    got = carrier.got_mm(mirrored.response(there) + carrier.travel(np.array([stance])))
    phase = {one.control: one.position for one in setup.phases if one.key == coupling.phase}
    at = [{control.key: place, **phase} for place in there.tolist()]
    return along(setup, carrier.target, at, wanted, got)


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
    differences = between(across.source, Rig(result), tuple(across.carriers.values()))
    return Transplanted(result, (*across.left_out(), *differences))


class _Across:
    """What carries each channel's travel from one setup to another model."""

    def __init__(self, setup: Setup, onto: Setup) -> None:
        self.setup, self.onto = setup, onto
        self.source, target = Rig(setup), Rig(onto)
        self.matches = [(surface, _match(onto, surface)) for surface in setup.surfaces]
        self.carriers: dict[int, Carrier] = {}
        for surface, match in self.matches:
            if match is not None and surface.channel not in self.carriers:
                self.carriers[surface.channel] = Carrier(self.source, surface, target, match)
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
        if coupling.channel in self.carriers:
            carrier = self.carriers[coupling.channel]
            rest, parts = self.setup.control(coupling.control).rest, self._parts(coupling.channel)
            stations = carrier.stations(coupling, rest, stance, parts)
            return {**coupling.model_dump(), "channel": carrier.target.channel, "stations": stations}
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
            if (here.off_pct, here.full_pct) != (there.off_pct, there.full_pct):
                share = (values - here.off_pct) / (here.full_pct - here.off_pct)
                travels = np.round(there.off_pct + share * (there.full_pct - there.off_pct), DIGITS).tolist()
            return there.channel, travels
        if _moves_nothing(self.setup, channel) and _moves_nothing(self.onto, channel):
            return channel, travels
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
            carrier = Carrier(source, of.surface(surface.key), target, surface)
            found[surface.channel] = carrier.failsafe()
    channels = []
    for channel in setup.channels:
        told = found.get(channel.number)
        channels.append({**channel.model_dump(), "failsafe": channel.failsafe if told is None else told})
    return setup.changed(channels=channels)


def _moves_nothing(setup: Setup, number: int) -> bool:
    """Whether a channel that is there serves something of which the document does not know."""
    known = any(channel.number == number for channel in setup.channels)
    return known and not setup.surfaces_on(number) and not setup.devices_on(number)


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
