"""What a change does at the model: throws before and after, where they differ most."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from itertools import product
from typing import NamedTuple

import numpy as np

from .document import Channel, Coupling, Setup
from .language import later, say, say_count
from .places import Place, coupling_place, movers
from .rig import Frame, Rig
from .throws import Array, throw_mm
from .wording import EVERY_PHASE, control_label, lowered, number, phase_label, signed, throw_words, together

MOST = 4
"""So many throws are told of one change; the largest first."""

_MOVES = 0.05
"""A difference that shows in a text with one decimal [mm, %]."""

_THROWLESS = {
    "signal": {"limit_pct", "step_pct", "curve_points", "curve_free_x", "channels"},
    "channels": {"label"},
    "controls": {"label", "plus", "uses", "kind", "positions"},
    "surfaces": {"label", "pair", "role", "side", "measure_at", "neutral_ref"},
    "devices": {"label", "kind"},
    "phases": {"label", "transition_s"},
}


class Probe(NamedTuple):
    """Where to look: control positions, the rest at rest, perhaps in a phase."""

    positions: Mapping[str, float]
    phase: str | None = None


class Told(NamedTuple):
    """One sentence about one surface or device, and how large the difference is."""

    label: str
    size: float
    text: str


Look = Callable[[str], tuple[float, ...]]
"""The positions of a control at which to look."""


class Effects:
    """The effects of the changes between two setups. Throws are those of the whole setups, before and after."""

    def __init__(self, before: Setup, after: Setup) -> None:
        self._rigs = Rig(before), Rig(after)
        self._setups = before, after

    def of(self, place: Place) -> str:
        """The effect of a change at a place, as one text; "" where no throw or level can be said."""
        if place[0] in ("balance", "remarks") or _is_throwless(place):
            return ""
        if place[2:] in (("stop_up_deg",), ("stop_down_deg",)):
            return self._stops(place)
        if place[2:] == ("failsafe",):
            return self._failsafe(int(place[1]))
        parts = self._parts(place)
        if not parts:
            return ""
        for probes in self._rounds(place):
            told = self._differences(probes, parts)
            if told:
                return _joined(told)
        for probes in self._rounds(place, between=True):
            told = self._differences(probes, parts)
            if told:
                return _joined(_largest(told))
        return say("no throw changes")

    # -- which surfaces and devices ------------------------------------------------------------------------

    def _parts(self, place: Place) -> set[Place]:
        """The surfaces and devices, in both setups, that a change can move."""
        sides = [dict(movers(setup)) for setup in self._setups]
        both = sides[0].keys() & sides[1].keys()
        if place[0] in ("surfaces", "devices"):
            return both & {place[:2]}
        channels = self._channels(place)
        if channels is None:
            return both
        return {part for part in both if channels & {side[part] for side in sides}}

    def _channels(self, place: Place) -> set[int] | None:
        """Channels that a change can move; None for all."""
        if place[0] == "couplings":
            return {int(place[2])}
        if place[0] == "channels":
            return {int(place[1])}
        if place[0] == "phases" and len(place) == 4:
            return {int(place[3])}
        if place[0] in ("surfaces", "devices"):
            return {n for setup in self._setups for part, n in movers(setup) if part == place[:2]}
        return None

    # -- where to look ----------------------------------------------------------------------------------------

    def _rounds(self, place: Place, *, between: bool = False) -> Iterator[list[Probe]]:
        """Probes to try, the plainest first: at the ends of the controls, or between them."""
        look = self._between if between else self._ends
        if place[0] == "couplings":
            yield from self._coupling_rounds(place, look)
        elif place[0] in ("phases", "first_phase"):
            keys = [place[1]] if place[0] == "phases" else []
            yield [Probe({}, key) for key in keys] or list(self._switch_positions())
        elif place[0] == "controls":
            yield [Probe({})]
        else:
            controls = self._controls_of(place)
            yield [Probe({}), *(Probe({key: x}) for key in controls for x in look(key))]

    def _coupling_rounds(self, place: Place, look: Look) -> Iterator[list[Probe]]:
        control, phase = place[1], self._phase_of(place)
        fading = self._faders(place)
        if "fades" not in place:
            yield [Probe({control: x}, phase) for x in look(control)]
        combined = [dict(zip(fading, ends, strict=True)) for ends in product(*(self._ends(key) for key in fading))]
        if fading:
            yield [Probe({**others, control: x}, phase) for others in combined for x in look(control)]

    def _phase_of(self, place: Place) -> str | None:
        """A phase in which the coupling is at work; None where the phase is left as it is."""
        control, channel, phase = place[1], int(place[2]), place[3]
        if any(setup.phases and setup.phases[0].control == control for setup in self._setups):
            return None
        if phase != EVERY_PHASE:
            return phase
        for setup, rig in zip(self._setups[::-1], self._rigs[::-1], strict=True):
            own = {c.phase for c in setup.couplings if (c.control, c.channel) == (control, channel) and c.phase}
            at_rest = _phase_at_rest(rig)
            if setup.phases and at_rest in own:
                return next((p.key for p in setup.phases if p.key not in own), None)
        return None

    def _faders(self, place: Place) -> list[str]:
        """Controls that fade the coupling, on either side; at most three, so that the combinations stay few."""
        found = [fade.control for coupling in self._couplings(place) for fade in coupling.fades]
        changed = [place[5]] if len(place) == 6 else []
        return list(dict.fromkeys([*changed, *found]))[:3]

    def _couplings(self, place: Place) -> list[Coupling]:
        return [c for setup in self._setups for c in setup.couplings if coupling_place(c) == place[:4]]

    def _controls_of(self, place: Place) -> list[str]:
        """Controls coupled, on either side, to the channels that the change can move."""
        channels = self._channels(place)
        couplings = [coupling for setup in self._setups for coupling in setup.couplings]
        return list(dict.fromkeys(c.control for c in couplings if channels is None or c.channel in channels))

    def _ends(self, key: str) -> tuple[float, ...]:
        for setup in self._setups[::-1]:
            control = next((control for control in setup.controls if control.key == key), None)
            if control is not None:
                return control.positions or control.ends
        return ()

    def _between(self, key: str) -> tuple[float, ...]:
        return tuple(np.linspace(-95.0, 95.0, 39).tolist()) if self._ends(key) == (-100.0, 100.0) else ()

    def _switch_positions(self) -> Iterator[Probe]:
        switch = self._rigs[1].phase_control
        if switch is not None:
            yield from (Probe({switch: x}) for x in self._ends(switch))

    # -- what is there -----------------------------------------------------------------------------------------

    def _differences(self, probes: Sequence[Probe], parts: set[Place]) -> list[Told]:
        """What shows at the probes, each rig evaluated once for all of them."""
        found = [
            (probe, self._positions(self._rigs[0], probe), self._positions(self._rigs[1], probe)) for probe in probes
        ]
        there = [(probe, was, now) for probe, was, now in found if was is not None and now is not None]
        if not there:
            return []
        probes = [probe for probe, _, _ in there]
        before = _evaluated(self._rigs[0], [was for _, was, _ in there])
        after = _evaluated(self._rigs[1], [now for _, _, now in there])
        told: list[Told] = []
        for surface in (s for s in self._setups[1].surfaces if ("surfaces", s.key) in parts):
            throws = before.throw_mm[surface.key], after.throw_mm[surface.key]
            told += self._told(surface.label, probes, throws, partial(throw_words, role=surface.role))
        for device in (d for d in self._setups[1].devices if ("devices", d.key) in parts):
            levels = before.level_pct[device.key], after.level_pct[device.key]
            told += self._told(device.label, probes, levels, lambda level: f"{number(level)} %")
        return told

    def _told(
        self, label: str, probes: Sequence[Probe], values: tuple[Array, Array], words: Callable[[float], str]
    ) -> Iterator[Told]:
        for probe, was, now in zip(probes, *(side.tolist() for side in values), strict=True):
            if abs(now - was) >= _MOVES and words(was) != words(now):
                yield Told(label, abs(now - was), f"{label} {words(was)} → {words(now)} {self._words(probe)}")

    def _positions(self, rig: Rig, probe: Probe) -> dict[str, float] | None:
        """The probe as a rig can take it, every control said; None where the rig has no such position."""
        positions = {control.key: control.rest for control in rig.setup.controls}
        positions.update({key: x for key, x in probe.positions.items() if key in positions})
        if probe.phase is not None and rig.phase_control is not None:
            switch = self._position_of(probe.phase, rig)
            positions.update({} if switch is None else {rig.phase_control: switch})
        switches = (control for control in rig.setup.controls if control.positions)
        return positions if all(positions[c.key] in (c.positions or ()) for c in switches) else None

    def _position_of(self, phase: str, rig: Rig) -> float | None:
        """Where the switch stands in a phase: by this rig's own word, else by the other's."""
        found = [p.position for setup in (rig.setup, *self._setups) for p in setup.phases if p.key == phase]
        return found[0] if found else None

    def _words(self, probe: Probe) -> str:
        setup = self._setups[1]
        standing = together(
            say("{control} at {position}", control=control_label(self._holding(key), key), position=signed(x))
            for key, x in probe.positions.items()
        )
        if probe.phase is None:
            return say("with {controls}", controls=standing) if standing else say("at rest")
        named = next((s for s in self._setups[::-1] if any(p.key == probe.phase for p in s.phases)), setup)
        phase = lowered(phase_label(named, probe.phase))
        if not standing:
            return say("in {phase}", phase=phase)
        return say("with {controls} in {phase}", controls=standing, phase=phase)

    def _holding(self, key: str) -> Setup:
        return self._setups[1] if any(c.key == key for c in self._setups[1].controls) else self._setups[0]

    # -- the special cases -------------------------------------------------------------------------------------

    def _stops(self, place: Place) -> str:
        before, after = (next((s for s in setup.surfaces if s.key == place[1]), None) for setup in self._setups)
        if before is None or after is None:
            return ""
        sign = -1.0 if place[2] == "stop_up_deg" else 1.0
        texts = [
            throw_words(float(throw_mm(deflection_deg=sign * getattr(s, place[2]), chord_mm=s.chord_mm)), s.role)
            for s in (before, after)
        ]
        return say("stop at {before} → {after}", before=texts[0], after=texts[1])

    def _failsafe(self, number_: int) -> str:
        texts = []
        for surface in self._setups[1].surfaces_on(number_):
            was, now = (self._failsafe_throw(index, surface.key, number_) for index in (0, 1))
            if was is not None and now is not None:
                told = {"surface": surface.label, "before": was, "after": now}
                texts.append(say("{surface} {before} → {after} when the signal is lost", **told))
        return "; ".join(texts)

    def _failsafe_throw(self, index: int, key: str, number_: int) -> str | None:
        setup, rig = self._setups[index], self._rigs[index]
        surface = next((s for s in setup.surfaces_on(number_) if s.key == key), None)
        channel: Channel | None = next((c for c in setup.channels if c.number == number_), None)
        if surface is None or channel is None:
            return None
        if not isinstance(channel.failsafe, float | int):
            return say(_WITHOUT_TRAVEL[channel.failsafe])
        pulse, _ = rig.pulse(channel, channel.failsafe)
        angle = rig.follow(surface, pulse).deflection_deg
        return throw_words(float(throw_mm(deflection_deg=angle, chord_mm=surface.chord_mm)), surface.role)


_WITHOUT_TRAVEL = {
    None: later("not set"),
    "last_position": later("where it was"),
    "signal_off": later("no pulse"),
}


def _is_throwless(place: Place) -> bool:
    if place[0] == "controls" and len(place) == 2:
        return True
    field = place[1] if place[0] == "signal" else place[2] if len(place) > 2 else ""
    return field in _THROWLESS.get(place[0], ())


def _phase_at_rest(rig: Rig) -> str | None:
    if rig.phase_control is None:
        return None
    return rig.phase_at(rig.setup.control(rig.phase_control).rest)


def _evaluated(rig: Rig, positions: Sequence[Mapping[str, float]]) -> Frame:
    return rig.at({key: np.array([entry[key] for entry in positions]) for key in positions[0]})


def _largest(told: list[Told]) -> list[Told]:
    """Of each part only the largest difference."""
    best: dict[str, Told] = {}
    for line in told:
        if line.label not in best or line.size > best[line.label].size:
            best[line.label] = line
    return list(best.values())


def _joined(told: list[Told]) -> str:
    """The largest difference of each part first, then the others, the largest first."""
    ranked = sorted(told, key=lambda line: -line.size)
    texts = list(dict.fromkeys(line.text for line in [*_largest(ranked), *ranked]))
    effects, more = "; ".join(texts[:MOST]), len(texts) - MOST
    if more <= 0:
        return effects
    return say_count("{effects}; and {count} more", "{effects}; and {count} more", more, effects=effects)
