"""What a phase changes and nothing else: where it stands, its own responses, and the throws that come out otherwise."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from hangar.pictures.words import short, signed, stands
from mixing.document import Coupling, Phase, Setup
from mixing.rig import Rig

from .matrix import Cell, Difference, at_rest, cells_at, rest_phase, throw_cell


@dataclass(frozen=True)
class Stands:
    """A channel that stands elsewhere in the phase: its travel, and what that does to each of its surfaces."""

    channel: int
    travel: str
    cells: tuple[tuple[str, Cell], ...]


@dataclass(frozen=True)
class Own:
    """A response of the phase's own, beside the one for every phase where there is one."""

    control: str
    moves: str
    place: dict[str, object]
    general: tuple[str, ...]
    own: tuple[str, ...]


@dataclass(frozen=True)
class Changes:
    """Everything that one phase changes, against the phase at rest (`of`)."""

    phase: Phase
    where: str
    of: Phase | None
    stands: tuple[Stands, ...]
    own: tuple[Own, ...]
    throws: tuple[Difference, ...]


def phase_changes(setup: Setup) -> list[Changes]:
    """For each phase what it changes; the phase at rest, which the others are told against, first."""
    rest = rest_phase(setup)
    ordered = sorted(setup.phases, key=lambda phase: phase.key != rest)
    against = ordered[0] if ordered else None
    return [
        Changes(
            phase, _where(setup, phase),
            against if phase is not against else None, _stands(setup, phase), _own(setup, phase),
            _throws(setup, against, phase) if against is not None and phase is not against else (),
        )
        for phase in ordered
    ]  # fmt: skip


def _where(setup: Setup, phase: Phase) -> str:
    switch = setup.control(phase.control)
    return stands(switch, phase.position)


def _stands(setup: Setup, phase: Phase) -> tuple[Stands, ...]:
    # Alone, without what controls at rest add: the stance is what the phase itself says.
    frame = Rig(setup.changed(couplings=())).at({}, phase=phase.key)
    return tuple(
        Stands(
            number, f"{signed(travel, 1)} %",
            tuple((surface.label, throw_cell(surface, frame)) for surface in setup.surfaces_on(number)),
        )
        for number, travel in phase.stance.items() if travel
    )  # fmt: skip


def _own(setup: Setup, phase: Phase) -> tuple[Own, ...]:
    general = {(c.control, c.channel): c for c in setup.couplings if c.phase is None}
    found = []
    for one in setup.couplings:
        if one.phase == phase.key:
            other = general.get((one.control, one.channel))
            moves = " + ".join(_moved(setup, one.channel))
            channel = _("channel {channel}").format(channel=one.channel)
            place: dict[str, object] = {"control": one.control, "channel": one.channel, "phase": one.phase}
            found.append(
                Own(
                    setup.control(one.control).label, moves or channel, place,
                    _told(setup, other) if other is not None else (), _told(setup, one),
                )
            )  # fmt: skip
    return tuple(found)


def _moved(setup: Setup, number: int) -> list[str]:
    surfaces = [surface.label for surface in setup.surfaces_on(number)]
    return [*surfaces, *(device.label for device in setup.devices_on(number))]


def _told(setup: Setup, coupling: Coupling) -> tuple[str, ...]:
    """A response in lines: its stations, its expo, its fades."""
    station = _("{travel} % at {position}")
    stations = (station.format(travel=short(travel), position=signed(x, 1)) for x, travel in coupling.stations)
    lines = [", ".join(stations)]
    lines += [_("expo {expo} %").format(expo=short(coupling.expo_pct))] if coupling.expo_pct else []
    lines += [_("faded by {control}").format(control=setup.control(fade.control).label) for fade in coupling.fades]
    return tuple(lines)


def _throws(setup: Setup, against: Phase, phase: Phase) -> tuple[Difference, ...]:
    """Every throw that differs, at rest and at the ends of each control."""
    rig = Rig(setup)
    labels = [*(surface.label for surface in setup.surfaces), *(device.label for device in setup.devices)]
    rest = [cells_at(setup, rig.at({}, phase=key)) for key in (against.key, phase.key)]
    found = [Difference(at_rest(), *row) for row in zip(labels, *rest, strict=True) if row[1] != row[2]]
    for words, positions in _places(setup, rig):
        ends = [cells_at(setup, rig.at(dict(positions), phase=key)) for key in (against.key, phase.key)]
        for label, was, held, there, here in zip(labels, *rest, *ends, strict=True):
            # What the control does not move differs as it does at rest, which is told.
            if there != here and (there != was or here != held):
                found.append(Difference(words, label, there, here))
    return tuple(found)


def _places(setup: Setup, rig: Rig) -> list[tuple[str, dict[str, float]]]:
    """The ends of every control that drives something, and every position of a switch that does."""
    drivers = {one.control for one in setup.couplings} - {rig.phase_control}
    return [
        (stands(control, end), {control.key: end})
        for control in setup.controls if control.key in drivers
        for end in control.positions or control.ends
    ]  # fmt: skip
