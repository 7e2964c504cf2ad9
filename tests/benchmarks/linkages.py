"""The four-bar over arrays against general linkage libraries, point by point; each only where it is installed.

They are no part of this project's environment: general libraries for mechanisms of any kind, which solve the loops of
one position after the other. `python -m tests.benchmarks.table` says which of them it found.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib.util import find_spec
from typing import Any

import numpy as np

from mixing import FourBar

ARM, ROD, HORN, GROUND = 5.0, 8.0, 9.0, 8.0
FIRST_DEG, FIRST_HORN_DEG = 30.0, 83.0837389385472
"""Crank 5, coupler 8, output 9, ground 8; at a crank angle of 30° the output stands at 83.08° (the linkage of the
documentation of the PyPI package `mechanism`, open branch)."""

LIBRARIES = ("pylinkage", "mechanism")
"""Names on PyPI, and of the modules: pylinkage 1.3.0 and mechanism 1.1.10 were used."""


def crank_degrees(count: int) -> Any:
    """Crank angles from 30° to 120°."""
    return np.linspace(FIRST_DEG, 120.0, count)


def four_bar() -> FourBar:
    """The same linkage by its angles from the perpendicular."""
    return FourBar(
        arm_mm=ARM,
        horn_mm=HORN,
        pivot_mm=(GROUND, 0),
        arm_neutral_deg=90 - FIRST_DEG,
        horn_neutral_deg=90 - FIRST_HORN_DEG,
        servo_deg_per_1000_us=90,
    )


def ours(count: int) -> Callable[[], Any]:
    """Output angles [degrees] by `FourBar.deflection`."""
    linkage, servo = four_bar(), FIRST_DEG - crank_degrees(count)
    return lambda: FIRST_HORN_DEG - linkage.deflection(servo)


def available() -> list[str]:
    """The libraries that are installed."""
    return [name for name in LIBRARIES if find_spec(name) is not None]


def theirs(library: str, count: int) -> Callable[[], Any]:
    """Output angles [degrees] by a library."""
    return {"pylinkage": _pylinkage, "mechanism": _mechanism}[library](count)


def _pylinkage(count: int) -> Callable[[], Any]:
    from pylinkage.actuators import Crank
    from pylinkage.components import Ground
    from pylinkage.dyads import RRRDyad
    from pylinkage.simulation import Linkage

    step = np.radians(crank_degrees(count)[1] - FIRST_DEG)
    start = np.radians(FIRST_DEG)
    servo, hinge = Ground(0.0, 0.0, name="servo"), Ground(GROUND, 0.0, name="hinge")
    # It turns the crank before each answer, so it starts one step behind.
    crank = Crank(anchor=servo, radius=ARM, angular_velocity=step, initial_angle=start - step)
    rocker = RRRDyad(anchor1=crank.output, anchor2=hinge, distance1=ROD, distance2=HORN)
    linkage = Linkage([servo, hinge, crank, rocker], name="four-bar")
    tip = np.radians(FIRST_HORN_DEG)
    before = start - step
    first = [(0.0, 0.0), (GROUND, 0.0), (ARM * np.cos(before), ARM * np.sin(before)),
             (GROUND + HORN * np.cos(tip), HORN * np.sin(tip))]  # fmt: skip

    def run() -> Any:
        linkage.set_coords(first)
        tips = np.array([places[-1] for places in linkage.step(iterations=count)], dtype=float)
        return np.degrees(np.arctan2(tips[:, 1], tips[:, 0] - GROUND))

    return run


def _mechanism(count: int) -> Callable[[], Any]:
    import matplotlib as mpl

    mpl.use("Agg")
    from mechanism import Mechanism, Vector, get_joints

    servo, arm, rod, hinge = get_joints("O A B C")
    a, b = Vector((servo, arm), r=ARM), Vector((arm, rod), r=ROD)
    c, d = Vector((servo, hinge), r=GROUND, theta=0, style="ground"), Vector((hinge, rod), r=HORN)
    angles = np.radians(crank_degrees(count))

    def loops(x: Any, angle: float) -> Any:
        return a(angle) + b(x[0]) - c() - d(x[1])

    def run() -> Any:
        found, guess = [], np.radians([53.5, FIRST_HORN_DEG])
        for angle in angles:
            made = Mechanism(vectors=(a, b, c, d), origin=servo, loops=loops, pos=angle, guess=(guess,))
            made.calculate()
            guess = np.array([b.pos.theta, d.pos.theta])
            found.append(np.degrees(d.pos.theta))
        return np.array(found)

    return run
