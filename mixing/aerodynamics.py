"""Aerodynamics, as an estimate and nothing more: thin-aerofoil flaps, hinge moments, mean chord, loading.

Thin-aerofoil theory knows no thickness, no gap and no separation: measured hinge moments are about a third
smaller, and past some 15 to 20 degrees of deflection it says nothing. No finding above a note may rest on it.

E is the flap's chord as a share of the whole chord, hinge at (1 − E)·c; cos φ = 2E − 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from .language import say
from .throws import Array

AIR_DENSITY_KG_M3 = 1.225
"""International Standard Atmosphere (ISO 2533) at sea level."""

OZ_FT2_IN_G_DM2 = (0.45359237 / 16 * 1000) / (0.3048**2 * 100)
"""1 oz/ft² in g/dm², from the exact definitions of the pound and the foot."""


class EstimateError(ValueError):
    """A figure that no wing or flap can have."""


class MeanChord(NamedTuple):
    """Of one half of a wing: area [mm²]; mean aerodynamic chord, how far out it lies, its leading edge [mm]."""

    half_area_mm2: float
    chord_mm: float
    out_mm: float
    leading_edge_mm: float

    @property
    def quarter_chord_mm(self) -> float:
        """How far the quarter point of the mean aerodynamic chord lies behind the datum [mm]."""
        return self.leading_edge_mm + self.chord_mm / 4.0


def _hinge_angle(flap_ratio: ArrayLike) -> Array:
    ratio = np.asarray(flap_ratio, dtype=np.float64)
    if not np.all((ratio > 0.0) & (ratio <= 1.0)):
        raise EstimateError(say("the flap's share of the chord must be above 0 and at most 1"))
    return np.arccos(2.0 * ratio - 1.0)


def flap_effectiveness(*, flap_ratio: ArrayLike) -> Array:
    """How many degrees of incidence one degree of flap is worth: τ = 1 − (φ − sin φ)/π.

    Parameters
    ----------
    flap_ratio : array_like, 0 < E ≤ 1

    Returns
    -------
    ndarray, 0 … 1, same shape

    References
    ----------
    Aerodynamics for Engineering Students, eqs (4.49)-(4.52).
    """
    angle = _hinge_angle(flap_ratio)
    return np.asarray(1.0 - (angle - np.sin(angle)) / np.pi)


def lift_slope_per_deg(*, flap_ratio: ArrayLike) -> Array:
    """Lift coefficient per degree of flap, two-dimensional: 2π · τ, from the same equations."""
    return np.radians(2.0 * np.pi * flap_effectiveness(flap_ratio=flap_ratio))


def pitching_moment_slope_per_deg(*, flap_ratio: ArrayLike) -> Array:
    """Moment coefficient about the quarter chord per degree of flap, nose up positive: −½ sin φ (1 − cos φ)."""
    angle = _hinge_angle(flap_ratio)
    return np.radians(-0.5 * np.sin(angle) * (1.0 - np.cos(angle)))


def hinge_moment_slope_per_deg(*, flap_ratio: ArrayLike) -> Array:
    """Hinge moment coefficient per degree of flap, on the flap's own chord, restoring negative.

    −[(1 − cos 2φ) − 2(π − φ)²(1 − 2 cos φ) + 4(π − φ) sin φ] / (4π E²), thin-aerofoil theory.
    """
    ratio = np.asarray(flap_ratio, dtype=np.float64)
    angle = _hinge_angle(ratio)
    rest = np.pi - angle
    inside = (1.0 - np.cos(2.0 * angle)) - 2.0 * rest**2 * (1.0 - 2.0 * np.cos(angle)) + 4.0 * rest * np.sin(angle)
    return np.radians(-inside / (4.0 * np.pi * ratio**2))


def hinge_moment_nm(
    *,
    deflection_deg: ArrayLike,
    speed_m_s: ArrayLike,
    surface_area_dm2: ArrayLike,
    chord_mm: ArrayLike,
    slope_per_deg: ArrayLike = -0.012,
    density_kg_m3: float = AIR_DENSITY_KG_M3,
) -> Array:
    """Moment of the air about the hinge [N m]: ch · q · S · c, with ch = slope · deflection and q = ρV²/2.

    Parameters
    ----------
    deflection_deg : array_like [degrees]
    speed_m_s : array_like, 0 and above [m/s]
    surface_area_dm2 : array_like, above 0, area behind the hinge line [dm²]
    chord_mm : array_like, above 0, from the hinge line back [mm]
    slope_per_deg : array_like
        Hinge moment coefficient per degree; −0.012 was measured on a plain flap of a fifth of the chord of a
        thin symmetric section.
    density_kg_m3 : float

    Returns
    -------
    ndarray [N m], negative where it pushes back a positive deflection. An estimate.

    Raises
    ------
    EstimateError
        A negative speed, an area or a chord that is not above 0.
    """
    speed, area, chord = (np.asarray(value, dtype=np.float64) for value in (speed_m_s, surface_area_dm2, chord_mm))
    if np.any(speed < 0.0) or not np.all(area > 0.0) or not np.all(chord > 0.0):
        raise EstimateError(say("give a speed of 0 or more, and an area and a chord above 0"))
    pressure = density_kg_m3 * speed**2 / 2.0
    return np.asarray(
        np.asarray(slope_per_deg) * np.asarray(deflection_deg) * pressure * (area / 100.0) * (chord / 1000.0)
    )


def mean_aerodynamic_chord(sections: Sequence[tuple[float, float, float]]) -> MeanChord:
    """Mean aerodynamic chord of a half wing, straight between its sections.

    Parameters
    ----------
    sections : [(out along the span, leading edge behind the datum, chord), ...] [mm]
        At least two, from the root outwards, y measured from the centreline.

    Returns
    -------
    MeanChord
        c̄ = (1/S)∫c² dy and likewise ȳ and the leading edge, S the area of the half; exact for straight edges.

    Raises
    ------
    EstimateError
        Fewer than two sections, out of order, or without area.
    """
    table = np.asarray(sections, dtype=np.float64)
    if table.ndim != 2 or table.shape[1:] != (3,) or len(table) < 2:
        raise EstimateError(say("give at least two sections, each as out, leading edge and chord"))
    y, edge, chord = table.T
    step = np.diff(y)
    if np.any(step <= 0.0) or np.any(chord < 0.0):
        raise EstimateError(say("give the sections from the root outwards, with chords of 0 or more"))
    area = float(np.sum(step * (chord[:-1] + chord[1:]) / 2.0))
    if area <= 0.0:
        raise EstimateError(say("these sections have no area"))
    return MeanChord(
        area,
        _moment(step, chord, chord) / area,
        _moment(step, chord, y) / area,
        _moment(step, chord, edge) / area,
    )


def _moment(step: Array, first: Array, second: Array) -> float:
    """∫ f·g dy for two functions straight between the sections: (2f₀g₀ + f₀g₁ + f₁g₀ + 2f₁g₁)/6 a step."""
    f0, f1, g0, g1 = first[:-1], first[1:], second[:-1], second[1:]
    return float(np.sum(step * (2.0 * f0 * g0 + f0 * g1 + f1 * g0 + 2.0 * f1 * g1) / 6.0))


def wing_loading_g_dm2(*, mass_g: ArrayLike, area_dm2: ArrayLike) -> Array:
    """Mass over area [g/dm²]; 1 g/dm² is 0.1 kg/m².

    Raises
    ------
    EstimateError
        An area that is not above 0.
    """
    area = np.asarray(area_dm2, dtype=np.float64)
    if not np.all(area > 0.0):
        raise EstimateError(say("give an area above 0 dm²"))
    return np.asarray(np.asarray(mass_g, dtype=np.float64) / area)
