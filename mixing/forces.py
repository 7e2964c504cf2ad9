"""What a hinge moment asks of pushrod and servo: statics of the four-bar, without friction."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from .linkage import FourBar
from .throws import Array


class Forces(NamedTuple):
    """Per N m of hinge moment, in the shape of the angles that were asked for."""

    rod_n: Array
    """Force along the rod [N]; infinite at a dead point."""
    servo_nm: Array
    """Torque at the servo [N m]: below 1 the linkage helps it."""


def forces(linkage: FourBar, *, servo_deg: ArrayLike) -> Forces:
    """Rod force and servo torque per N m of hinge moment, at servo angles [degrees] within reach, any shape.

    The rod force is the moment over the rod's lever about the hinge; the torque is that force times its lever about the
    servo, which by virtual work is |dδ/dφ| (textbook statics).

    Raises
    ------
    Unreachable
        An angle past the reach of the linkage.

    Examples
    --------
    >>> load = forces(FourBar(arm_mm=11, horn_mm=14, pivot_mm=(130, 5)), servo_deg=[0, 30])
    >>> load.rod_n.round(1).tolist(), load.servo_nm.round(2).tolist()
    ([71.4, 78.5], [0.79, 0.74])
    """
    servo = np.asarray(servo_deg, dtype=np.float64)
    linkage.deflection(servo)
    geometry = linkage.geometry
    phi = (1.0 if linkage.longer_pulse == "pushes" else -1.0) * servo
    arm = np.radians(geometry.arm_neutral_deg + phi)
    horn = np.radians(geometry.horn_neutral_deg + geometry.horn_movement(phi))
    ax, ay = geometry.arm_mm * np.sin(arm), geometry.arm_mm * np.cos(arm)
    hx, hy = geometry.horn_mm * np.sin(horn), geometry.horn_mm * np.cos(horn)
    rx, ry = geometry.pivot_distance_mm + hx - ax, hy - ay
    at_hinge = np.abs(hx * ry - hy * rx) / geometry.rod_mm
    at_servo = np.abs(ax * ry - ay * rx) / geometry.rod_mm
    with np.errstate(divide="ignore"):
        return Forces(1000.0 / at_hinge, at_servo / at_hinge)
