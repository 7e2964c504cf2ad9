"""Which way each surface must go for what a control is for.

The table is common practice, no source, and follows from the surfaces' geometry: a wing goes down on the side whose
trailing edges go up, a tail is pushed down by trailing edges that go up, and so the nose rises.
"""

from __future__ import annotations

from .document import Surface

WING = frozenset({"aileron", "flap", "flaperon", "elevon"})
"""Wing surfaces: the right ones up, the left ones down roll to the right."""

PITCH = frozenset({"elevator", "elevon", "canard", "ruddervator", "ruddervator_inverted"})
"""Surfaces that pitch the model."""

BRAKES = frozenset({"flap", "spoiler", "aileron", "flaperon"})
"""Surfaces that a brake lever brakes with; what pitches the model goes along only to hold the nose."""

BOTH_WAYS = frozenset({"roll", "pitch", "yaw"})
"""Purposes of which the other end of the control asks for the opposite."""

_BRAKING = {"flap": 1, "spoiler": -1, "aileron": -1}
_CAMBERING = frozenset({"aileron", "flap", "flaperon"})


def wanted_way(purpose: str, surface: Surface) -> int:
    """The way in which a surface must go where a control of that purpose acts fully.

    Returns
    -------
    +1 : trailing edge down (rudder: left); −1 : up (rudder: right); 0 : as the pilot likes.
    """
    if purpose == "roll" and surface.role in WING:
        return {"left": 1, "right": -1, "centre": 0}[surface.side]
    if purpose == "pitch" and surface.role in PITCH:
        return 1 if surface.role == "canard" else -1
    if purpose == "yaw":
        return _yaw(surface)
    if purpose == "brake":
        return _BRAKING.get(surface.role, 0)
    return 1 if purpose == "camber" and surface.role in _CAMBERING else 0


def _yaw(surface: Surface) -> int:
    """To the right: rudders right; of a V-tail the left panel up and the right one down, inverted the other way."""
    if surface.role == "rudder":
        return -1
    panel = {"left": -1, "right": 1, "centre": 0}[surface.side]
    return {"ruddervator": panel, "ruddervator_inverted": -panel}.get(surface.role, 0)
