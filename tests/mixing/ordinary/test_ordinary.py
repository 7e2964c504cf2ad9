"""Ordinary models: nothing is found in them, and each is one edit away from a finding."""

from collections.abc import Callable
from typing import Any

import pytest

from mixing import Setup, audit

from .models import MODELS


@pytest.mark.parametrize("name", MODELS)
def test_nothing_is_found(name: str) -> None:
    made = MODELS[name]()
    assert audit(made, receiver_channels=8) == []


def _reversed(number: int) -> Callable[[Setup], Setup]:
    def edit(made: Setup) -> Setup:
        lines = [
            {**line.model_dump(), "reversed": not line.reversed} if line.number == number else line
            for line in made.channels
        ]
        return made.changed(channels=lines)

    return edit


def _role(key: str, role: str) -> Callable[[Setup], Setup]:
    def edit(made: Setup) -> Setup:
        return made.changed(
            surfaces=[{**one.model_dump(), "role": role} if one.key == key else one for one in made.surfaces]
        )

    return edit


def _without(control: str, number: int) -> Callable[[Setup], Setup]:
    def edit(made: Setup) -> Setup:
        return made.changed(
            couplings=[one for one in made.couplings if (one.control, one.channel) != (control, number)]
        )

    return edit


def _unarmed(made: Setup) -> Setup:
    return made.changed(
        couplings=[{**one.model_dump(), "fades": []} if one.control == "power" else one for one in made.couplings]
    )


def _steep_stance(made: Setup) -> Setup:
    first, *others = made.phases
    return made.changed(phases=[{**dict(first), "stance": {"5": 80, "6": 80}}, *others])


EDITS: list[tuple[str, Callable[[Setup], Setup], set[str]]] = [
    ("v_tail", _role("left_ruddervator", "ruddervator_inverted"), {"wrong-way"}),
    ("inverted_v_tail", _reversed(4), {"wrong-way", "uneven"}),
    ("elevons", _reversed(1), {"wrong-way", "uneven", "past-stop"}),
    ("flaperons", _without("camber", 2), {"uneven"}),
    ("spoilers", _without("brake", 3), {"uncompensated-brake"}),
    ("snap_flap", _role("elevator", "canard"), {"wrong-way"}),
    ("full_differential", _without("roll", 1), {"uneven", "little-travel"}),
    ("canard", _role("canard", "elevator"), {"wrong-way"}),
    ("engine", _unarmed, {"motor-at-rest", "motor-lock"}),
    ("six_flap", _reversed(7), {"wrong-way", "uneven", "past-stop"}),
    ("reflexed_wing", _reversed(4), {"wrong-way"}),
    ("launch_first", _unarmed, {"motor-lock"}),
    ("launch_first", _steep_stance, {"phase-jump", "held"}),
]


@pytest.mark.parametrize(
    ("name", "edit", "codes"), EDITS, ids=[f"{name}-{index}" for index, (name, *_) in enumerate(EDITS)]
)
def test_one_edit_away_something_is(name: str, edit: Callable[[Setup], Setup], codes: set[str]) -> None:
    found: list[Any] = audit(edit(MODELS[name]()))
    assert {finding.code for finding in found} == codes
