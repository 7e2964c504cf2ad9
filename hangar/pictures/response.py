"""What one control does: a line for each surface, or for each channel, over the control's travel."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hangar.pictures.estimates import beyond_measured, is_estimated
from hangar.pictures.plot import Axes, Curve, plot
from hangar.pictures.words import (
    is_nothing,
    position_words,
    throw_caption,
    throw_words,
    together,
    unit_mm,
)
from mixing.document import Control, Coupling, Setup, Surface
from mixing.language import say
from mixing.rig import Frame, Rig

_MOVES_MM = 0.05
_SAME_MM = 0.05


def throw_plot(
    setup: Setup,
    control_key: str,
    *,
    phase: str | None = None,
    others: Mapping[str, float] | None = None,
    width: float = 640,
    height: float = 300,
    type_px: float = 13,
) -> str:
    """The throw [mm] of every surface that a control moves, over the travel of the control.

    Parameters
    ----------
    setup : Setup
        The setup that is drawn.
    control_key : str
        Key of the control; the others stand at rest, or where `others` says.
    phase : str, optional
        Key of the flight phase; the first one, or none, where it is left out.
    others : mapping, optional
        {control key: position}.
    width, height, type_px : float
        Size of the picture and of its lettering [px].

    Raises
    ------
    ValueError
        The setup has no such control or phase.
    """
    lines = throw_lines(setup, control_key, phase=phase, others=others)
    return plot(lines.curves, lines.axes, title=lines.title, width=width, height=height, type_px=type_px)


@dataclass(frozen=True)
class Lines:
    """What is to be plotted, at whatever size."""

    curves: list[Curve]
    axes: Axes
    title: str


def throw_lines(
    setup: Setup, control_key: str, *, phase: str | None = None, others: Mapping[str, float] | None = None
) -> Lines:
    """The lines of `throw_plot`, worked out once for all the sizes at which they are drawn."""
    control = _control(setup, control_key)
    x, frame = _sweep(setup, control, phase, others)
    stations = _stations(setup, control_key, phase)
    groups: list[tuple[list[str], Surface]] = []
    for surface in setup.surfaces:
        throws = frame.throw_mm[surface.key]
        if np.ptp(throws) <= _MOVES_MM:
            continue
        alike = (g for g in groups if g[1].role == surface.role)
        same = next((g for g in alike if np.max(np.abs(frame.throw_mm[g[1].key] - throws)) <= _SAME_MM), None)
        if same is not None:
            same[0].append(surface.label)
        else:
            groups.append(([surface.label], surface))
    curves = [
        _curve(
            together(labels), x, frame.throw_mm[surface.key] / unit_mm(), stations.get(surface.channel, ()),
            (_told(surface, frame, 0), _told(surface, frame, -1)),
        )
        for labels, surface in groups
    ]  # fmt: skip
    caption = throw_caption(surface.role for _, surface in groups)
    axes = Axes(position_words(control, -100), position_words(control, 100), caption, flip=True)
    title = say("Throws over {control}: {curves}", control=control.label, curves=_ends_told(curves))
    return Lines(curves, axes, title)


def _ends_told(curves: list[Curve]) -> str:
    """Every curve with its values at both ends."""
    return "; ".join(
        say("{curve} {low} at −100 %, {high} at +100 %", curve=curve.label, low=curve.ends[0], high=curve.ends[1])
        for curve in curves
    )


def _told(surface: Surface, frame: Frame, index: int) -> str:
    """A throw at an end, led by "≈" where it is an estimate."""
    throw = float(frame.throw_mm[surface.key][index])
    words = throw_words(throw, surface.role)
    guess = is_estimated(surface) or beyond_measured(surface, float(frame.pulse_us[surface.channel][index]))
    return f"≈{words}" if guess and not is_nothing(throw) else words


def _control(setup: Setup, key: str) -> Control:
    for control in setup.controls:
        if control.key == key:
            return control
    raise ValueError(f"no control {key!r}; this setup has {', '.join(c.key for c in setup.controls)}")


def _sweep(
    setup: Setup, control: Control, phase: str | None, others: Mapping[str, float] | None
) -> tuple[NDArray[np.float64], Frame]:
    if control.positions is not None:
        x = np.array(sorted(control.positions), dtype=float)
    else:
        x = np.unique(np.concatenate([np.linspace(-100, 100, 81), _bends(setup, control.key)]))
    return x, Rig(setup).at({**(others or {}), control.key: x}, phase=phase)


def _bends(setup: Setup, control_key: str) -> NDArray[np.float64]:
    """Every position of the control at which a station stands, so that no corner is cut."""
    found = {x for c in setup.couplings if c.control == control_key for x, _ in c.stations}
    found |= {x for c in setup.couplings for fade in c.fades if fade.control == control_key for x, _ in fade.stations}
    return np.array(sorted(found), dtype=float)


def _stations(setup: Setup, control_key: str, phase: str | None) -> dict[int, tuple[float, ...]]:
    """Channel number to the positions of its stations, by the coupling that holds in the phase."""
    holds = phase if phase is not None else (setup.phases[0].key if setup.phases else None)
    chosen: dict[int, Coupling] = {}
    for coupling in setup.couplings:
        if coupling.control != control_key or coupling.phase not in (None, holds):
            continue
        if coupling.phase is not None or coupling.channel not in chosen:
            chosen[coupling.channel] = coupling
    return {number: tuple(x for x, _ in coupling.stations) for number, coupling in chosen.items()}


def _curve(
    label: str, x: NDArray[np.float64], y: NDArray[np.float64], dots: tuple[float, ...], ends: tuple[str, str]
) -> Curve:
    points = list(zip(x.tolist(), y.tolist(), strict=True))
    at = np.interp(dots, x, y).tolist() if dots else []
    return Curve(label=label, points=points, dots=list(zip(dots, at, strict=True)), ends=ends)
