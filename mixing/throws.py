"""Deflection ↔ throw.

A surface of chord c, measured from its hinge line, that turns by δ carries its trailing edge along
a circle of radius c. The throw is the straight line between the two places, as a ruler reads it:

    throw = 2 · c · sin(δ / 2)

the length of a circle's chord (elementary geometry; for instance NIST DLMF 4.21 for the half angle).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .errors import ThrowError
from .language import say
from .wording import given, given_length, given_length_figure, length_unit

Array = NDArray[np.float64]


def throw_mm(*, deflection_deg: ArrayLike, chord_mm: ArrayLike) -> Array:
    """Throw of the trailing edge.

    Parameters
    ----------
    deflection_deg : array_like, any shape, −180 … 180 [degrees]
        Positive = trailing edge down (rudder: left).
    chord_mm : array_like, broadcast against it, above 0 [mm]
        From the hinge line to the measuring point.

    Returns
    -------
    ndarray [mm], same sign as the deflection; NaN where the deflection is NaN.

    Raises
    ------
    ThrowError
        A chord that is not above 0, or a deflection past half a turn (the throw would shrink again).

    Examples
    --------
    >>> round(float(throw_mm(deflection_deg=30, chord_mm=100)), 3)
    51.764
    """
    deflection = np.asarray(deflection_deg, dtype=np.float64)
    chord = _chord(chord_mm)
    if np.any(np.abs(deflection) > 180.0):
        worst = deflection[np.abs(deflection) > 180.0].flat[0] if deflection.ndim else float(deflection)
        text = say("a deflection of {angle} degrees was given; give one within −180 … 180", angle=given(worst))
        raise ThrowError(text)
    return 2.0 * chord * np.sin(np.radians(deflection) / 2.0)


def deflection_deg(*, throw_mm: ArrayLike, chord_mm: ArrayLike) -> Array:
    """Deflection that gives a throw: the inverse of `throw_mm`, 2 · arcsin(throw / 2c).

    Parameters
    ----------
    throw_mm : array_like, any shape, −2c … 2c [mm]
    chord_mm : array_like, broadcast against it, above 0 [mm]

    Returns
    -------
    ndarray [degrees], −180 … 180; NaN where the throw is NaN.

    Raises
    ------
    ThrowError
        A chord that is not above 0, or a throw longer than the circle is wide.

    Examples
    --------
    >>> round(float(deflection_deg(throw_mm=12, chord_mm=50)), 4)
    13.7842
    """
    throw = np.asarray(throw_mm, dtype=np.float64)
    chord = _chord(chord_mm)
    half = throw / (2.0 * chord)
    if np.any(np.abs(half) > 1.0):
        throws, chords = np.broadcast_arrays(throw, chord)
        bad = np.abs(half) > 1.0
        widest = 2.0 * chords[bad].flat[0]
        text = say(
            "a throw of {throw} was given; a chord of {chord} allows −{widest} … {widest} {unit}",
            throw=given_length(throws[bad].flat[0]),
            chord=given_length(widest / 2),
            widest=given_length_figure(widest),
            unit=length_unit(),
        )
        raise ThrowError(text)
    return np.degrees(2.0 * np.arcsin(half))


def _chord(chord_mm: ArrayLike) -> Array:
    chord = np.asarray(chord_mm, dtype=np.float64)
    if not np.all(np.isfinite(chord) & (chord > 0.0)):
        raise ThrowError(say("a chord must be a length above 0 mm, measured from the hinge line"))
    return chord
