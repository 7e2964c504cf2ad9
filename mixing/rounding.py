"""Rounding as a transmitter's entries are rounded: to its step, halves away from zero."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .throws import Array

_SAME_HALF = 1e-9
"""How near to a half counts as one, in steps: 0.35 / 0.1 is 3.4999… in binary, and a pilot means 3.5."""


def round_to_step(value: ArrayLike, step: float) -> Array:
    """The nearest multiple of a step; halves go away from zero.

    Parameters
    ----------
    value : array_like, any shape, any unit
    step : above 0, the same unit

    Returns
    -------
    ndarray, same shape; NaN where the value is NaN; never −0.

    Raises
    ------
    ValueError
        A step that is not above 0.

    Examples
    --------
    >>> round_to_step([2.5, -2.5, 2.4], 1.0).tolist()
    [3.0, -3.0, 2.0]
    """
    if not (np.isfinite(step) and step > 0.0):
        raise ValueError(f"a step of {step:g} was given; give one above 0")
    steps = np.asarray(value, dtype=np.float64) / step
    whole = np.floor(np.abs(steps) + 0.5 + _SAME_HALF)
    # Whole multiples of 0.1 carry binary dust; twelve figures are more than any entry has.
    return np.round(np.copysign(whole, steps) * step, 12) + 0.0
