"""Where controls stand, in words: one way in lists and one inside a sentence, from the same ends."""

from typing import Any

import pytest

from mixing.document import Control
from mixing.positions import control_words, position_words, standing_words

from . import building

LEVER = Control.model_validate(building.lever())
MODE = Control.model_validate(building.switch("mode", (0, 100)))
ODD = Control.model_validate(building.stick(plus="teatime"))


@pytest.mark.parametrize(
    ("control", "position", "listed", "told"),
    [
        (LEVER, 100, "forward", "full forward"),
        (LEVER, -100, "back", "full back"),
        (LEVER, 0, "middle", "in the middle"),
        (LEVER, 50, "half forward", "half forward"),
        (LEVER, -33.333, "33.3 % back", "33.3 % back"),
        # The lower of two positions is an end, wherever it lies.
        (MODE, 0, "down", "down"),
        (MODE, 100, "up", "up"),
        # Nobody knows what the other end of this is called.
        (ODD, -100, "the other way", "at −100 %"),
        (ODD, -20, "20 % the other way", "at −20 %"),
        (ODD, 20, "20 % teatime", "20 % teatime"),
    ],
)
def test_a_position_is_named_by_the_ends_of_its_control(control: Any, position: float, listed: str, told: str) -> None:
    assert position_words(control, position) == listed
    assert standing_words(control, position) == told


def test_a_control_and_where_it_stands() -> None:
    assert control_words(LEVER, -50) == "lever half back"
