"""Responses that put a surface at wanted throws along a control."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..document import Coupling, Setup
from ..language import say
from ..response import Response
from ..rig import Rig
from ..throws import Array
from ..wording import control_label, lowered, no_control, phase_label, signed
from .errors import SolveError, Unattainable
from .travel import surface_of, travels_for


def response_for(
    setup: Setup, control: str, surface: str, stations_mm: Sequence[Sequence[float]], *, phase: str | None = None
) -> Response:
    """The response that puts a surface at wanted throws along a control, every other control at rest.

    It stands in the place of what couples this control to the surface's channel in that phase: its stations are
    replaced, its expo becomes 0 and its fades stay (they are reckoned with, at rest). What other controls at rest
    and the stance of the phase add is taken off. Between the stations the travel is straight, the throw nearly so.

    Parameters
    ----------
    setup : Setup
    control, surface : keys
    stations_mm : [[control %, throw mm], ...], at least two, rising in the control
        Throws from neutral, positive = down (rudder: left).
    phase : key of a phase, optional; the phase at rest where not given

    Returns
    -------
    Response
        Stations (control %, travel %), not rounded; `with_response` puts it into a setup.

    Raises
    ------
    Unattainable
        A throw out of reach, or a coupling that is faded out while its fading controls are at rest.
    SolveError, PositionError, ResponseError
        No such control, surface, phase or position; stations that are out of order.

    Examples
    --------
    >>> response = response_for(setup, "lever", "right_flap", [(-100, 40), (100, 0)])
    >>> [(x, round(travel, 1)) for x, travel in response.stations]
    [(-100.0, 83.1), (100.0, 0.0)]
    """
    table = Response(stations_mm)
    base, factor = base_travel(setup, control, surface, table.x, phase=phase)
    wanted = travels_for(setup, surface, table.travel)
    return Response(np.column_stack([table.x, (wanted - base) / factor]).tolist())


def base_travel(
    setup: Setup, control: str, surface: str, positions: Array, *, phase: str | None = None
) -> tuple[Array, float]:
    """What a surface's channel does without the coupling of a control: (travel [%] at its positions, the coupling's
    fades at rest as a factor)."""
    channel = surface_of(setup, surface).channel
    coupling = coupling_of(setup, control, channel, phase)
    rest = at_rest(setup, phase)
    if control not in rest:
        raise SolveError(no_control(control, rest))
    others = [c for c in setup.couplings if (c.control, c.channel) != (control, channel)]
    base = Rig(setup.changed(couplings=others)).at({control: positions}, phase=phase).travel_pct[channel]
    factor = 1.0
    for fade in coupling.fades if coupling is not None else ():
        here = float(fade.factor(rest[fade.control])) / 100.0
        if here == 0.0:
            raise Unattainable(_faded_out(setup, control, fade.control, rest[fade.control], phase))
        factor *= here
    return np.asarray(base), factor


def _faded_out(setup: Setup, control: str, fading: str, position: float, phase: str | None) -> str:
    names = {"control": control_label(setup, control), "fading": control_label(setup, fading)}
    if phase is not None and setup.phases[0].control == fading:
        return say(
            "{control} does nothing in {phase}: its fade by {fading} is 0 % there; remove the fade, or raise it",
            phase=lowered(phase_label(setup, phase)),
            **names,
        )
    return say(
        "{control} does nothing here while {fading} is at rest ({position}): "
        "its fade by {fading} is 0 % there; remove the fade, or raise it",
        position=signed(position),
        **names,
    )


def at_rest(setup: Setup, phase: str | None) -> dict[str, float]:
    """By control where it stands at rest; the one that chooses the phase stands where a phase that is named has it."""
    rest = {control.key: control.rest for control in setup.controls}
    return rest | {one.control: one.position for one in setup.phases if one.key == phase}


def coupling_of(setup: Setup, control: str, channel: int, phase: str | None) -> Coupling | None:
    """The coupling of a control and a channel at work in a phase (where not given, the phase at rest), or None."""
    rig = Rig(setup)
    if phase is None and rig.phase_control is not None:
        phase = rig.phase_at(setup.control(rig.phase_control).rest)
    return next((c for c in rig.couplings(phase) if (c.control, c.channel) == (control, channel)), None)


def with_response(setup: Setup, control: str, surface: str, response: Response, *, phase: str | None = None) -> Setup:
    """The setup with a response in the place of what couples a control to a surface's channel in a phase.

    Stations are the response's, expo is 0, fades stay. Where the coupling at work holds in every phase it is changed
    for every phase; where there is none, one for every phase is made.

    Raises
    ------
    SetupError
        A response that no document can hold: a control position outside −100 … 100, a travel outside −400 … 400.
    SolveError
        No such surface.

    Examples
    --------
    >>> response = response_for(setup, "lever", "right_flap", [(-100, 40), (100, 0)])
    >>> from mixing import Rig
    >>> solved = Rig(with_response(setup, "lever", "right_flap", response))
    >>> round(float(solved.at({"lever": -100}).throw_mm["right_flap"]), 1)
    40.0
    """
    channel = surface_of(setup, surface).channel
    old = coupling_of(setup, control, channel, phase)
    new = {
        "control": control,
        "channel": channel,
        "phase": old.phase if old is not None else None,
        "stations": response.stations,
        "fades": old.fades if old is not None else (),
    }
    return setup.changed(couplings=[*(c for c in setup.couplings if c is not old), new])
