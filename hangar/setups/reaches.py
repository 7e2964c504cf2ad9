"""How far a setup really takes each surface: both ends of its envelope, with the pulse that a servo gets there."""

from dataclasses import dataclass

import mixing
from hangar.pictures.estimates import beyond_measured, is_estimated
from mixing.document import Setup, Surface
from mixing.envelope import Envelope
from mixing.rig import Rig

from .remembered import Remembered

_known: Remembered[str, Envelope] = Remembered(300)


@dataclass(frozen=True)
class Stand:
    """Where a surface stands at one end of what is asked of it."""

    pulse_us: float
    deflection_deg: float
    throw_mm: float
    estimated: bool
    blocked: bool


def envelope_of(setup: Setup) -> Envelope:
    """The envelope over all phases, worked out once for each document."""
    return _known.once(setup.digest(), lambda: mixing.envelope(setup))


def reach_of(setup: Setup, surface: Surface) -> tuple[Stand, Stand]:
    """Where it stands at the least and at the greatest deflection: as far up (right) and down (left) as it goes."""
    extent = envelope_of(setup).surfaces[surface.key]
    rig = Rig(setup)
    return _stand(rig, surface, extent.low_at), _stand(rig, surface, extent.high_at)


def _stand(rig: Rig, surface: Surface, positions: dict[str, float]) -> Stand:
    frame = rig.at(positions)
    pulse = float(frame.pulse_us[surface.channel])
    return Stand(
        pulse, float(frame.deflection_deg[surface.key]), float(frame.throw_mm[surface.key]),
        is_estimated(surface) or beyond_measured(surface, pulse), bool(frame.blocked[surface.key]),
    )  # fmt: skip
