"""A setup of a model that someone else built: kept as it is, but nothing of the model is taken as measured."""

import numpy as np

from .document import Setup, Surface
from .linkage import Unmeasured

_STEP_US = 50.0
_LEAST, _MOST = 1.0, 400.0
"""A rate that can be assumed [degrees for 1000 µs]: an unmeasured linkage takes no more, and none stands still."""


def as_bought(setup: Setup) -> Setup:
    """The same setup with every linkage "not yet measured", and without the remarks of whoever had it.

    Each keeps its way, and as its assumed rate the slope that it had about the transmitter's centre: so the throws near
    neutral stay about what they were, and everything from it is marked "estimated" until it is measured anew. What is
    in the transmitter (couplings, reversal, centres, limits, failsafe) stays.

    >>> [surface.linkage.kind for surface in as_bought(setup).surfaces[:2]]
    ['unmeasured', 'unmeasured']
    """
    centre_us = setup.signal.centre_us
    surfaces = [surface.model_copy(update={"linkage": _assumed(surface, centre_us)}) for surface in setup.surfaces]
    return setup.changed(surfaces=surfaces, remarks="")


def _assumed(surface: Surface, centre_us: float) -> Unmeasured:
    pulses = np.array([centre_us - _STEP_US, centre_us + _STEP_US])
    low, high = surface.linkage.follow(pulses, chord_mm=surface.chord_mm, centre_us=centre_us).deflection_deg
    rate = float(high - low) / (2.0 * _STEP_US) * 1000.0
    return Unmeasured(
        deg_per_1000_us=round(min(max(abs(rate), _LEAST), _MOST), 1),
        longer_pulse="raises" if rate < 0 else "lowers",
    )
