"""Which hole of the servo arm and which of the horn: wanted throws with most of the servo's travel."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from ..errors import LinkageError, Unreachable
from ..forces import forces
from ..language import say
from ..linkage import FourBar
from ..throws import deflection_deg
from ..wording import given_length, length, number
from .errors import SolveError, Unattainable

ARM_HOLES_MM = tuple(range(6, 21))
HORN_HOLES_MM = tuple(range(8, 26))
_LONGEST_ARM_MM = 60


@dataclass(frozen=True)
class ArmAndHorn:
    """One pair of holes, and what it means."""

    linkage: FourBar
    up_travel_pct: float
    """Travel from neutral for the up throw [%], with its sign; the other for the down throw."""
    down_travel_pct: float
    used_pct: float
    """The larger of the two, of what the servo may travel. More is better: finer steps, less play, less load."""
    rod_n_per_nm: float
    """The largest force in the rod per N m of hinge moment, at neutral and both ends [N]."""
    servo_nm_per_nm: float
    """The largest torque at the servo per N m of hinge moment, likewise."""


def arm_and_horn(
    *,
    up_mm: float,
    down_mm: float,
    chord_mm: float,
    base: FourBar,
    arm_holes_mm: Iterable[float] = ARM_HOLES_MM,
    horn_holes_mm: Iterable[float] = HORN_HOLES_MM,
    per_100_us: float = 500.0,
    most_travel_pct: float = 100.0,
) -> tuple[ArmAndHorn, ...]:
    """The pairs of holes that give wanted throws, those that use most of the servo's travel first.

    Parameters
    ----------
    up_mm, down_mm : wanted throws, both 0 or more, not both 0 [mm]
    chord_mm : from the hinge line to the measuring point, above 0 [mm]
    base : FourBar
        Where the pivots are, how arm and horn lean, how far and which way the servo turns; its own holes are not used.
    arm_holes_mm, horn_holes_mm : distances of the holes from the pivots [mm]
    per_100_us : µs from the centre at 100 % travel
    most_travel_pct : how much travel may be used either way [%]

    Returns
    -------
    tuple of ArmAndHorn
        By falling use of the travel; where two use the same within 1 %, the longer horn, which loads the servo less.

    Raises
    ------
    Unattainable
        No pair of these holes does it; the text names the nearest, the travel it needs, and the arm that would do.
    SolveError
        Throws that are negative, both 0, or longer than the chord allows.

    Examples
    --------
    >>> base = FourBar(arm_mm=10, horn_mm=12, pivot_mm=(130, 5))
    >>> best = arm_and_horn(up_mm=12, down_mm=8, chord_mm=45, base=base)[0]
    >>> best.linkage.arm_mm, best.linkage.horn_mm, round(best.used_pct)
    (8.0, 22.0, 100)
    """
    if not (up_mm >= 0.0 and down_mm >= 0.0 and up_mm + down_mm > 0.0):
        text = say(
            "throws of {up} up and {down} down were given; give both as 0 or more, one above 0",
            up=given_length(up_mm),
            down=given_length(down_mm),
        )
        raise SolveError(text)
    wanted = deflection_deg(throw_mm=[-up_mm, down_mm], chord_mm=chord_mm)
    found = list(_tried(wanted, base, arm_holes_mm, horn_holes_mm, per_100_us))
    fitting = [pair for pair in found if pair.used_pct <= most_travel_pct]
    if not fitting:
        asked = {"up": length(up_mm), "down": length(down_mm)}
        if not found:
            text = say(
                "no pair of these holes reaches {up} up and {down} down before a dead point; "
                "try a shorter arm or a longer horn",
                **asked,
            )
            raise Unattainable(text)
        nearest = min(found, key=lambda pair: pair.used_pct)
        longer = _longer_arm(wanted, nearest, per_100_us, most_travel_pct)
        raise Unattainable(_needs_more(nearest, longer, most_travel_pct, asked))
    return tuple(sorted(fitting, key=lambda pair: (-round(pair.used_pct), -pair.linkage.horn_mm, pair.linkage.arm_mm)))


def _tried(
    wanted: np.ndarray, base: FourBar, arms: Iterable[float], horns: Iterable[float], per_100_us: float
) -> Iterator[ArmAndHorn]:
    horns = tuple(horns)
    for arm in arms:
        for horn in horns:
            try:
                linkage = FourBar.model_validate({**base.model_dump(), "arm_mm": arm, "horn_mm": horn})
                servo = linkage.servo_angle(wanted)
            except (LinkageError, Unreachable, ValueError):
                # These holes cannot close the linkage, or do not reach so far: no candidate.
                continue
            travel = servo / linkage.servo_deg_per_1000_us * 1000.0 / per_100_us * 100.0
            load = forces(linkage, servo_deg=np.array([servo[0], 0.0, servo[1]]))
            yield ArmAndHorn(
                linkage,
                float(travel[0]),
                float(travel[1]),
                float(np.max(np.abs(travel))),
                float(np.max(load.rod_n)),
                float(np.max(load.servo_nm)),
            )


def _needs_more(nearest: ArmAndHorn, longer: ArmAndHorn | None, most_travel_pct: float, asked: dict[str, str]) -> str:
    told = {
        **asked,
        "travel": number(nearest.used_pct, 0),
        "arm": length(nearest.linkage.arm_mm),
        "horn": length(nearest.linkage.horn_mm),
        "most": number(most_travel_pct, 0),
    }
    if longer is None:
        return say(
            "{up} up and {down} down needs {travel} % travel even with a {arm} arm on a {horn} horn; "
            "{most} % is allowed: a longer arm would do",
            **told,
        )
    return say(
        "{up} up and {down} down needs {travel} % travel even with a {arm} arm on a {horn} horn; "
        "{most} % is allowed: a longer arm would do, one of {longer} with {less} %",
        longer=length(longer.linkage.arm_mm),
        less=number(longer.used_pct, 0),
        **told,
    )


def _longer_arm(
    wanted: np.ndarray, nearest: ArmAndHorn, per_100_us: float, most_travel_pct: float
) -> ArmAndHorn | None:
    """With which arm on the same horn it would do, in whole mm; None where none does before a dead point."""
    arms = range(int(nearest.linkage.arm_mm) + 1, _LONGEST_ARM_MM + 1)
    for pair in _tried(wanted, nearest.linkage, arms, (nearest.linkage.horn_mm,), per_100_us):
        if pair.used_pct <= most_travel_pct:
            return pair
    return None
