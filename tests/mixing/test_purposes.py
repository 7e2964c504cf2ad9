"""Which way a surface must go for a purpose: the whole table, sign by sign."""

import pytest

from mixing.purposes import wanted_way

from .building import setup, stick, surface

ROWS = [
    # purpose, role, left, right, centre
    ("roll", "aileron", 1, -1, 0),
    ("roll", "flap", 1, -1, 0),
    ("roll", "flaperon", 1, -1, 0),
    ("roll", "elevon", 1, -1, 0),
    ("roll", "spoiler", 0, 0, 0),
    ("roll", "rudder", 0, 0, 0),
    ("pitch", "elevator", -1, -1, -1),
    ("pitch", "elevon", -1, -1, -1),
    ("pitch", "ruddervator", -1, -1, -1),
    ("pitch", "ruddervator_inverted", -1, -1, -1),
    ("pitch", "canard", 1, 1, 1),
    ("pitch", "flap", 0, 0, 0),
    ("yaw", "rudder", -1, -1, -1),
    ("yaw", "ruddervator", -1, 1, 0),
    ("yaw", "ruddervator_inverted", 1, -1, 0),
    ("yaw", "aileron", 0, 0, 0),
    ("brake", "flap", 1, 1, 1),
    ("brake", "spoiler", -1, -1, -1),
    ("brake", "aileron", -1, -1, -1),
    ("brake", "elevator", 0, 0, 0),
    ("camber", "aileron", 1, 1, 1),
    ("camber", "flap", 1, 1, 1),
    ("camber", "flaperon", 1, 1, 1),
    ("camber", "elevator", 0, 0, 0),
    ("power", "flap", 0, 0, 0),
]


@pytest.mark.parametrize(("purpose", "role", "left", "right", "centre"), ROWS)
def test_the_way_that_is_wanted(purpose: str, role: str, left: int, right: int, centre: int) -> None:
    for side, way in (("left", left), ("right", right), ("centre", centre)):
        (made,) = setup(controls=[stick()], surfaces=[surface(role=role, side=side)]).surfaces
        assert wanted_way(purpose, made) == way
