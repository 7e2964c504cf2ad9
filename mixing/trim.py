"""Where a trim that was flown goes for good: the clevis, the channel's centre, or the stance of a phase.

Each makes the surfaces stand with trims at centre where they stood with the trim. They differ in what else moves: the
clevis turns the whole linkage over, the centre shifts the pulses towards one limit, a stance holds in its phase only.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from pydantic import ValidationError

from .document import FourBar, Measured, Setup, Surface
from .errors import Unreachable
from .language import say
from .linkage import Linkage
from .rig import Rig
from .solve.ends import TRAVEL_DIGITS
from .solve.errors import SolveError, Unattainable
from .solve.travel import surface_of, travels_for
from .throws import deflection_deg
from .wording import no_phase


class Split(NamedTuple):
    """A trim of two surfaces with two jobs (elevons, V-tail): what they do together and against each other."""

    together_mm: float
    """What both do [mm]: pitch, positive = down."""
    against_mm: float
    """What the right one does beyond that, and the left one less [mm]: roll of elevons, yaw of a V-tail."""


def split(*, left_mm: float, right_mm: float) -> Split:
    """The pitch and the roll (or yaw) in the trims of a left and a right surface.

    >>> split(left_mm=3, right_mm=1)
    Split(together_mm=2.0, against_mm=-1.0)
    """
    return Split((left_mm + right_mm) / 2.0, (right_mm - left_mm) / 2.0)


def by_clevis(setup: Setup, trims_mm: Mapping[str, float], *, phase: str | None = None) -> Setup:
    """The setup with pushrods of another length: each surface stands `trims_mm` [mm] further with its controls at rest.

    A four-bar is exact to 0.1 µs: the rod's new length closes the linkage where the surface stands now. Measured points
    are shifted by the trim, nearly what a ruler would read: measure again.

    Parameters
    ----------
    setup : Setup
    trims_mm : surface key → what the trim added, positive = down (rudder: left) [mm]
    phase : the phase in which it was flown, optional; the phase at rest where not given

    Raises
    ------
    Unattainable
        The linkage cannot stand there, or was never measured.
    SolveError
        No such surface.
    SetupError
        A linkage that no document can hold.

    Examples
    --------
    >>> round(float(Rig(by_clevis(setup, {"elevator": 1.5})).at({}).throw_mm["elevator"]), 3)
    1.5
    """
    frame = Rig(setup).at({}, phase=phase)
    turned = {}
    for key, trim in trims_mm.items():
        surface = surface_of(setup, key)
        if trim:
            pulse, stands = float(frame.pulse_us[surface.channel]), float(frame.throw_mm[key])
            turned[key] = _turned(surface, pulse, stands, trim)
    surfaces = [
        surface.model_dump() | ({"linkage": turned[surface.key]} if surface.key in turned else {})
        for surface in setup.surfaces
    ]
    return setup.changed(surfaces=surfaces)


def _turned(surface: Surface, pulse_us: float, stands_mm: float, trim_mm: float) -> Linkage:
    linkage = surface.linkage
    if isinstance(linkage, Measured):
        return Measured(points=tuple((pulse, round(throw + trim_mm, 3)) for pulse, throw in linkage.points))
    if isinstance(linkage, FourBar):
        angle = float(deflection_deg(throw_mm=stands_mm + trim_mm, chord_mm=surface.chord_mm))
        return _with_rod_for(linkage, surface, pulse_us, angle)
    text = say(
        "{surface}: its linkage was not measured yet, so turning the clevis cannot be reckoned", surface=surface.label
    )
    raise Unattainable(text)


def _with_rod_for(linkage: FourBar, surface: Surface, pulse_us: float, angle_deg: float) -> FourBar:
    """The four-bar whose rod closes it with the arm at a pulse and the surface at an angle [degrees]."""
    pushes = 1.0 if linkage.longer_pulse == "pushes" else -1.0
    lowers = 1.0 if linkage.push == "lowers" else -1.0
    servo = (pulse_us - linkage.neutral_us) / 1000.0 * linkage.servo_deg_per_1000_us
    values = linkage.model_dump()
    try:
        closed = FourBar.model_validate({
            **values,
            "arm_neutral_deg": linkage.arm_neutral_deg + pushes * servo,
            "horn_neutral_deg": linkage.horn_neutral_deg + lowers * angle_deg,
            "neutral_us": pulse_us,
        })  # fmt: skip
        back = float(closed.servo_angle(-angle_deg))
        # A tenth of a microsecond is finer than any servo; the arm is counted from the same pulse.
        neutral_us = round(pulse_us + back / linkage.servo_deg_per_1000_us * 1000.0, 1)
        turned = servo + (neutral_us - pulse_us) / 1000.0 * linkage.servo_deg_per_1000_us
        return FourBar.model_validate({
            **values,
            "arm_neutral_deg": round(linkage.arm_neutral_deg + pushes * turned, 4),
            "neutral_us": neutral_us,
        })  # fmt: skip
    except ValidationError:
        text = say(
            "{surface}: no turn of the clevis does this: arm or horn would lean by more than 90°. See that the trim is "
            "right",
            surface=surface.label,
        )
        raise Unattainable(text) from None
    except Unreachable as error:
        text = say("{surface}: no turn of the clevis does this: {reason}", surface=surface.label, reason=error)
        raise Unattainable(text) from None


def by_centre(setup: Setup, trims_mm: Mapping[str, float], *, phase: str | None = None) -> Setup:
    """The setup with moved centres: every pulse of these channels shifts, the limits stay where they are.

    Parameters and errors as for `by_clevis`; also Unattainable where two surfaces on one channel differ.

    >>> by_centre(setup, {"elevator": 1.5}).channel(4).centre_us
    1557.7
    """
    rig = Rig(setup)
    frame = rig.at({}, phase=phase)
    moved = _travels(setup, trims_mm, frame.throw_mm)
    centres = {}
    for number, travel in moved.items():
        channel = setup.channel(number)
        wanted, _ = rig.pulse(channel, travel)
        centres[number] = channel.centre_us + float(wanted) - float(frame.pulse_us[number])
    channels = [
        channel.model_dump() | {"centre_us": round(centres.get(channel.number, channel.centre_us), 1)}
        for channel in setup.channels
    ]
    return setup.changed(channels=channels)


def by_stance(setup: Setup, trims_mm: Mapping[str, float], *, phase: str) -> Setup:
    """The setup with another stance of one phase; every other phase stays as it is.

    Parameters and errors as for `by_centre`; SolveError where there is no such phase.

    >>> round(by_stance(setup, {"elevator": 1.5}, phase="thermal").phases[1].stance[4], 2)
    11.54
    """
    known = [one.key for one in setup.phases]
    if phase not in known:
        raise SolveError(no_phase(phase, known))
    frame = Rig(setup).at({}, phase=phase)
    added = {
        number: travel - float(frame.travel_pct[number])
        for number, travel in _travels(setup, trims_mm, frame.throw_mm).items()
    }
    phases = [
        one.model_dump() | ({"stance": _with(one.stance, added)} if one.key == phase else {}) for one in setup.phases
    ]
    return setup.changed(phases=phases)


def _with(stance: Mapping[int, float], added: Mapping[int, float]) -> dict[int, float]:
    return {**stance, **{n: round(stance.get(n, 0.0) + more, TRAVEL_DIGITS) for n, more in added.items()}}


def _travels(setup: Setup, trims_mm: Mapping[str, float], stands_mm: Mapping[str, object]) -> dict[int, float]:
    """By channel, the travel [%] at which its surfaces stand the trim further."""
    found: dict[int, float] = {}
    for key, trim in trims_mm.items():
        surface = surface_of(setup, key)
        if not trim:
            continue
        stands = float(np.asarray(stands_mm[key]))
        travel = float(travels_for(setup, key, stands + trim)[()])
        if surface.channel in found and abs(found[surface.channel] - travel) > 1.0:
            text = say(
                "{surface} shares channel {channel} with another surface that needs another travel: "
                "on one channel only the clevis can do this",
                surface=surface.label,
                channel=surface.channel,
            )
            raise Unattainable(text)
        found.setdefault(surface.channel, travel)
    return found


__all__ = ["Split", "by_centre", "by_clevis", "by_stance", "split"]
