"""In which phase, and with which switches, a control is looked at: the cases that a table of throws must tell apart."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from django.utils.translation import gettext as _
from numpy.typing import ArrayLike

from hangar.pictures.words import listed, position_words, short
from hangar.setups import matrix
from mixing.document import Control, Coupling, Phase, Setup
from mixing.rig import Frame, Rig


@dataclass(frozen=True)
class Condition:
    """One case. `channels` are those that behave differently in it from the case before; None stands for all."""

    phase: str | None
    others: dict[str, float] = field(default_factory=dict)
    words: str = ""
    channels: frozenset[int] | None = None


def rest_phase(setup: Setup) -> Phase | None:
    """The phase in which the model stands with every control at rest; None where the setup has no phases."""
    key = matrix.rest_phase(setup)
    return next((phase for phase in setup.phases if phase.key == key), None)


def in_phase(phase: Phase | None) -> str:
    """ "in Cruise", or nothing where there are no phases."""
    return _("in {phase}").format(phase=phase.label) if phase is not None else ""


def couplings_in(setup: Setup, control_key: str, phase: str | None) -> dict[int, Coupling]:
    """The couplings of a control that hold in a phase, by channel: the phase's own before the general one."""
    return {c.channel: c for c in Rig(setup).couplings(phase) if c.control == control_key}


def labels_on(setup: Setup, number: int) -> list[str]:
    """What a channel moves, by name."""
    return [s.label for s in setup.surfaces_on(number)] + [d.label for d in setup.devices_on(number)]


def frame_at(setup: Setup, condition: Condition, positions: Mapping[str, ArrayLike]) -> Frame:
    """The setup in a case, with controls at `positions` [%]; where one of them is the phase control, it rules."""
    given = {**condition.others, **positions}
    rig = Rig(setup)
    return rig.at(given, phase=None if rig.phase_control in given else condition.phase)


def conditions(setup: Setup, control: Control) -> Iterator[Condition]:
    """The cases of a control: at rest, then every phase and switch position in which it does something else.

    A lever that fades the control makes a case of its own only where it lets nothing through at rest; else the
    table says in a note how much it leaves.
    """
    base = rest_phase(setup)
    key = base.key if base else None
    usual = couplings_in(setup, control.key, key)
    yield Condition(phase=key, words=in_phase(base))
    yield from _faded(setup, usual, key, in_phase(base))
    for phase in setup.phases:
        if phase is base or phase.control == control.key:
            continue
        own = couplings_in(setup, control.key, phase.key)
        changed = {number for number in own.keys() | usual.keys() if own.get(number) != usual.get(number)}
        if changed:
            yield Condition(phase=phase.key, words=in_phase(phase), channels=frozenset(changed))
            yield from _faded(setup, {n: own[n] for n in changed & own.keys()}, phase.key, in_phase(phase))


def _faded(setup: Setup, couplings: dict[int, Coupling], phase: str | None, words: str) -> Iterator[Condition]:
    phase_control = setup.phases[0].control if setup.phases else None
    fades = [fade for coupling in couplings.values() for fade in coupling.fades]
    for key in dict.fromkeys(fade.control for fade in fades if fade.control != phase_control):
        fader = setup.control(key)
        numbers = frozenset(n for n, c in couplings.items() if any(fade.control == key for fade in c.fades))
        for position in _positions(fader, [couplings[n] for n in sorted(numbers)]):
            told = _("with {control} {position}").format(control=fader.label, position=position_words(fader, position))
            joined = f"{words}, {told}" if words else told
            yield Condition(phase=phase, others={key: position}, words=joined, channels=numbers)


def _positions(fader: Control, couplings: list[Coupling]) -> list[float]:
    """Where a fading control is looked at besides its rest: a lever only where it lets nothing through at rest."""
    if fader.positions is not None:
        return [position for position in fader.positions if position != fader.rest]
    fades = [fade for coupling in couplings for fade in coupling.fades if fade.control == fader.key]
    if all(float(fade.factor(fader.rest)) > 0 for fade in fades):
        return []
    stations = sorted({x for fade in fades for x, _ in fade.stations})
    return [max(stations, key=lambda x: min(float(fade.factor(x)) for fade in fades))]


def fade_notes(setup: Setup, control: Control, condition: Condition) -> list[str]:
    """What levers leave of a control, in words: "Left lever back leaves 60 % of Aileron left + right"."""
    told: dict[str, list[str]] = {}
    for number, coupling in sorted(couplings_in(setup, control.key, condition.phase).items()):
        if condition.channels is not None and number not in condition.channels:
            continue
        moved = labels_on(setup, number)
        for fade in coupling.fades:
            fader = setup.control(fade.control)
            leaves = _("{position} leaves {share} %")
            cuts = [
                leaves.format(position=position_words(fader, x), share=short(share))
                for x, share in fade.stations
                if share < 100
            ]
            if cuts and moved and fader.positions is None:
                told.setdefault(f"{fader.label} {', '.join(cuts)}", []).extend(moved)
    return [_("{cuts} of {surfaces}").format(cuts=cut, surfaces=listed(labels)) for cut, labels in told.items()]
