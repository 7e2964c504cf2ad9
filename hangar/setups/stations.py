"""One coupling at work: what each of its stations gives at the model, and the travel that gives a wanted throw."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mixing import solve
from mixing.document import Control, Coupling, Setup, Surface
from mixing.rig import Rig

from .matrix import Cell, level_cell, rest_phase, throw_cell

Station = tuple[float, float]


@dataclass(frozen=True)
class Given:
    """What the setup gives at one position of a control: the travel of the channel, and what it moves."""

    position: float
    travel_pct: float
    cells: tuple[tuple[str, Cell], ...]


def at_work(setup: Setup, coupling: Coupling) -> str | None:
    """A phase in which the coupling holds: its own, else the first that has none of its own for this place."""
    if coupling.phase is not None or not setup.phases:
        return coupling.phase
    rig, rest = Rig(setup), rest_phase(setup)
    keys = [rest, *(phase.key for phase in setup.phases)]
    return next((key for key in keys if coupling in rig.couplings(key)), rest)


def given(setup: Setup, coupling: Coupling, positions: Sequence[float]) -> list[Given]:
    """What the channel and its surfaces and devices do at positions of the control, all other controls at rest."""
    phase = None if coupling.control == Rig(setup).phase_control else at_work(setup, coupling)
    frame = Rig(setup).at({coupling.control: np.asarray(positions, dtype=float)}, phase=phase)
    found = []
    for index, position in enumerate(positions):
        cells = [(s.label, throw_cell(s, frame, index)) for s in setup.surfaces_on(coupling.channel)]
        cells += [(d.label, level_cell(d, frame, index)) for d in setup.devices_on(coupling.channel)]
        found.append(Given(position, float(frame.travel_pct[coupling.channel][index]), tuple(cells)))
    return found


def at_stations(setup: Setup, coupling: Coupling) -> list[Given]:
    """What each station gives. Expo moves a station along the control, not what it gives: it is left out here."""
    plain = coupling.model_copy(update={"expo_pct": 0.0})
    return given(replaced(setup, plain), plain, _allowed(setup.control(coupling.control), plain.stations))


def _allowed(control: Control, stations: Sequence[Station]) -> list[float]:
    """Where a switch can stand, the nearest of its positions to each station."""
    if control.positions is None:
        return [x for x, _ in stations]
    return [min(control.positions, key=lambda position: abs(position - x)) for x, _ in stations]


def at_ends(setup: Setup, coupling: Coupling) -> list[Given]:
    """What the whole setup gives at the ends of the control, or at each position of a switch."""
    control = setup.control(coupling.control)
    return given(setup, coupling, control.positions or control.ends)


def replaced(setup: Setup, coupling: Coupling) -> Setup:
    """The setup with this coupling in its place."""
    others = tuple(one for one in setup.couplings if one.place != coupling.place)
    return setup.changed(couplings=(*others, coupling))


def travel_for(setup: Setup, coupling: Coupling, surface: Surface, *, position: float, throw_mm: float) -> float:
    """The travel [%] of a station at `position` which gives `throw_mm`, all other controls at rest.

    What other couplings and the stance add is taken off, and what fades let through is taken into account. The travel
    is rounded to the transmitter's step. SolveError, in words, where linkage, stops, limits or fades do not allow it.
    """
    control = setup.control(coupling.control)
    here = _allowed(control, [(position, 0.0)])[0]
    # A response has two stations: the second one stands anywhere else.
    there = next(x for x in control.positions or control.ends if x != here)
    phase = None if coupling.control == Rig(setup).phase_control else at_work(setup, coupling)
    wanted = sorted([(here, throw_mm), (there, throw_mm)])
    response = solve.response_for(setup, coupling.control, surface.key, wanted, phase=phase)
    return to_step(float(response(here)), setup.signal.step_pct)


def to_step(value: float, step: float) -> float:
    """`value` rounded to a step, halves away from zero.

    >>> to_step(12.3, 0.5)
    12.5
    """
    count = abs(value) / step
    return float(np.copysign(np.floor(count + 0.5) * step, value)) if count >= 0.5 else 0.0
