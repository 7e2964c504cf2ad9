"""Every setup of the demo club and every layout, without a database."""

import json
from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path

import numpy as np
from django.conf import settings
from numpy.typing import NDArray

from hangar.demo.changes import changed
from hangar.demo.club import first_setup, read_histories, read_history
from hangar.demo.events import Record, RollBack
from hangar.setups.composing import compose
from hangar.setups.shapes import Shape
from mixing import Frame, Rig, Setup

LAYOUTS: Path = settings.BASE_DIR / "fixtures" / "layouts"
AT_FAULT = "six-bells"
"""The airframe whose current setup is left at fault, to show the audit."""

SLUGS = [history.slug for history in read_histories()]
LAYOUT_KEYS = [entry["key"] for entry in json.loads((LAYOUTS / "index.json").read_text(encoding="utf-8"))]


@cache
def revisions(slug: str) -> tuple[Setup, ...]:
    """The setup of each revision of an airframe, the first one first."""
    setups: list[Setup] = []
    for event in read_history(slug).events:
        if isinstance(event, Record):
            setups.append(changed(setups[-1] if setups else first_setup(slug), event.changes))
        elif isinstance(event, RollBack):
            setups.append(setups[event.to - 1])
    return tuple(setups)


def layout(key: str) -> Setup:
    return Setup.from_text((LAYOUTS / f"{key}.json").read_text(encoding="utf-8"))


_FULL = Shape(inner_flaps=True, outer_flaps=True, spoilers=True, crow=True, nose="electric", release=True)
COMPOSED = {
    "full house": _FULL,
    "full flaperons with a V-tail": replace(_FULL, wing="flaperons", tail="v"),
    "full inverted V-tail on two leads": replace(_FULL, tail="inverted_v", flap_lead=True),
    "elevons alone": Shape(wing="elevons", tail="none", rudder=False),
    "elevons, canard and spoilers": Shape(wing="elevons", tail="canard", spoilers=True, nose="engine"),
    "one servo, T-tail": Shape(wing="one", tail="t", spoilers=True),
    "no ailerons, flaps, V-tail": Shape(wing="none", tail="v", inner_flaps=True),
}


def sound_setups() -> dict[str, Setup]:
    """What may be flown, or flown from: each current setup but the one at fault, each layout, some composed ones."""
    current = {slug: revisions(slug)[-1] for slug in SLUGS if slug != AT_FAULT}
    composed = {f"composed {name}": compose(shape) for name, shape in COMPOSED.items()}
    return current | {f"layout {key}": layout(key) for key in LAYOUT_KEYS} | composed


def everywhere(setup: Setup, left_out: str = "") -> dict[str, NDArray[np.float64]]:
    """Every combination of the places where something bends, for all controls but one."""
    places = {control.key: _places(setup, control.key) for control in setup.controls if control.key != left_out}
    combined = np.array(list(product(*places.values())), dtype=np.float64)
    return dict(zip(places, combined.T, strict=True))


def _places(setup: Setup, key: str) -> list[float]:
    control = setup.control(key)
    if control.positions:
        return list(control.positions)
    found = {-100.0, 100.0, control.rest}
    for coupling in setup.couplings:
        lists = [coupling.stations] if coupling.control == key else []
        lists += [fade.stations for fade in coupling.fades if fade.control == key]
        found |= {station[0] for stations in lists for station in stations}
    return sorted(found)


def moved_by(setup: Setup, key: str, position: float) -> dict[str, NDArray[np.float64]]:
    """By surface, how far it moves [mm] as one control goes from rest to a position, for all combinations of others."""
    others = everywhere(setup, left_out=key)
    there: Frame = Rig(setup).at({**others, key: position})
    rest: Frame = Rig(setup).at({**others, key: setup.control(key).rest})
    return {surface.key: there.throw_mm[surface.key] - rest.throw_mm[surface.key] for surface in setup.surfaces}


def moves(setup: Setup, key: str, channel: int) -> bool:
    return any(coupling.control == key and coupling.channel == channel for coupling in setup.couplings)
