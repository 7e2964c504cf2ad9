"""How much of a control's movement is left while another one is used: roll with the brakes out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from .document import Control, Setup
from .purposes import wanted_way
from .rig import Frame, Rig
from .throws import Array, throw_mm


class Remaining(NamedTuple):
    """At a position [%] of the control that takes away, the share of the movement that is left; 1 = all of it."""

    position: float
    fraction: float


def authority(
    setup: Setup, purpose: str = "roll", against: str = "brake", phase: str | None = None
) -> tuple[Remaining, ...]:
    """How much of the movement for a purpose is left at each position of the control that takes it away.

    The movement is what the trailing edges do between one end of the control for `purpose` and the other: the throws,
    in mm and each counted in the direction in which it serves (`mixing.purposes`), summed over all surfaces that serve.
    Limits, linkages and stops are respected: a surface does not go past its stop. All other controls are at rest.

    Parameters
    ----------
    setup : Setup
    purpose, against : the first control with that use is taken
    phase : key of a phase, optional
        Otherwise the phase in which the phase control rests. Where one of the two controls chooses the phase itself,
        each of its positions is in its own phase, whatever is given here.

    Returns
    -------
    tuple of Remaining
        At the ends and the rest of the control that takes away, and at each of its stations, as responses and as fades,
        positions rising. The fraction is relative to its rest; below 0 the movement is the wrong way round. Empty where
        there are no such controls or nothing moves at rest.

    Raises
    ------
    PositionError
        No such phase.

    Examples
    --------
    >>> [(row.position, round(row.fraction, 2)) for row in authority(setup)]
    [(-100.0, 0.53), (0.0, 1.0), (100.0, 1.0)]
    """
    rig = Rig(setup)
    rig.at({}, phase=phase)
    control, taking = _control(setup, purpose), _control(setup, against)
    if control is None or taking is None or control.key == taking.key:
        return ()
    if rig.phase_control in (control.key, taking.key):
        phase = None
    positions = _positions(setup, taking)
    movement = _movement(rig, control, purpose, (taking.key, positions), phase)
    at_rest = float(movement[positions == taking.rest][0])
    if abs(at_rest) < 1e-9:
        return ()
    return tuple(
        Remaining(position, fraction)
        for position, fraction in zip(positions.tolist(), (movement / at_rest).tolist(), strict=True)
    )


def authority_left(
    setup: Setup,
    positions: Mapping[str, float],
    purposes: Sequence[str] = ("roll", "pitch", "yaw"),
    against: str = "brake",
) -> dict[str, float]:
    """How much of the movement for each purpose is left with every other control where it stands.

    Counted as in `authority`, but at any position of the control that takes away, and with the others not at rest but
    at `positions` [%]; those left out are at rest.

    Returns
    -------
    dict of purpose → share
        The share of what there is with the control that takes away at rest. A purpose is left out where there are no
        such controls, or where nothing moves then.

    Raises
    ------
    PositionError
        An unknown control, or a position that its control does not have.

    Examples
    --------
    >>> {purpose: round(share, 2) for purpose, share in authority_left(setup, {"lever": -100}).items()}
    {'roll': 0.53, 'pitch': 0.99, 'yaw': 1.0}
    """
    taking = _control(setup, against)
    asked = [(one, control) for one in purposes if (control := _control(setup, one)) is not None and control != taking]
    if taking is None or not asked:
        Rig(setup).at(positions)
        return {}
    # Four rows a purpose: its full end and its other one, where the control that takes away stands and at its rest.
    rest = {control.key: control.rest for control in setup.controls}
    columns = {key: np.full((len(asked), 4), at) for key, at in {**rest, **positions}.items()}
    columns[taking.key] = np.tile([positions.get(taking.key, taking.rest), taking.rest], (len(asked), 2))
    for row, (purpose, control) in enumerate(asked):
        full, other = _full_and_other(control, purpose)
        columns[control.key][row] = [full, full, other, other]
    kept = _kept_throws(setup, Rig(setup).at(columns))
    left = {}
    for row, (purpose, _) in enumerate(asked):
        served = np.zeros(4)
        for surface in setup.surfaces:
            served += wanted_way(purpose, surface) * kept[surface.key][row]
        now, at_rest = (served[:2] - served[2:]).tolist()
        if abs(at_rest) >= 1e-9:
            left[purpose] = now / at_rest
    return left


def _control(setup: Setup, purpose: str) -> Control | None:
    return next((control for control in setup.controls if control.use(purpose)), None)


def _positions(setup: Setup, control: Control) -> Array:
    if control.positions:
        return np.array(control.positions)
    found = {-100.0, 100.0, control.rest}
    for coupling in setup.couplings:
        if coupling.control == control.key:
            found.update(position for position, _ in coupling.stations)
        for fade in coupling.fades:
            if fade.control == control.key:
                found.update(position for position, _ in fade.stations)
    return np.array(sorted(found))


def _movement(rig: Rig, control: Control, purpose: str, held: tuple[str, Array], phase: str | None) -> Array:
    """Summed throw [mm] from the control's other end to its full end, by position of the control that is held."""
    key, positions = held
    total = np.zeros(positions.shape)
    for end, sign in zip(_full_and_other(control, purpose), (1.0, -1.0), strict=True):
        kept = _kept_throws(rig.setup, rig.at({key: positions, control.key: end}, phase=phase))
        for surface in rig.setup.surfaces:
            total = total + sign * wanted_way(purpose, surface) * kept[surface.key]
    return total


def _full_and_other(control: Control, purpose: str) -> tuple[float, float]:
    use = control.use(purpose)
    full = control.ends[1] if use is None else use.full
    return full, control.ends[0] if full == control.ends[1] else control.ends[1]


def _kept_throws(setup: Setup, frame: Frame) -> dict[str, Array]:
    """Throws [mm] by surface, none past its stop."""
    return {
        surface.key: throw_mm(
            deflection_deg=np.clip(frame.deflection_deg[surface.key], -surface.stop_up_deg, surface.stop_down_deg),
            chord_mm=surface.chord_mm,
        )
        for surface in setup.surfaces
    }
