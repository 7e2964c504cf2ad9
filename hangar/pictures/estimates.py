"""Which throws are estimates, since nobody held a ruler to the surface there."""

from mixing.document import Surface


def is_estimated(surface: Surface) -> bool:
    """Whether everything that is said of this surface is an estimate, since its linkage was not measured yet."""
    return surface.linkage.kind == "unmeasured"


def beyond_measured(surface: Surface, pulse_us: float) -> bool:
    """Whether a pulse [µs] lies outside the points that were read at the model."""
    if surface.linkage.kind != "measured":
        return False
    low, high = surface.linkage.measured_us
    return not low <= pulse_us <= high
