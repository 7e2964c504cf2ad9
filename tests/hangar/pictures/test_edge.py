"""A surface along its hinge: the angle is the true one, the frame stays still, and each way has its own shape."""

import math
import re

import pytest

from hangar.pictures.edge import edge_view, is_beyond
from mixing.document import Surface
from mixing.linkage import Unmeasured


def surface(**changes: object) -> Surface:
    return Surface.model_validate(
        {
            "key": "flap", "label": "Left flap", "role": "flap", "side": "left", "channel": 1, "chord_mm": 40,
            "stop_up_deg": 25, "stop_down_deg": 60, "linkage": Unmeasured(), **changes,
        }
    )  # fmt: skip


def polygons(picture: str) -> list[list[tuple[float, float]]]:
    found = re.findall(r'<polygon points="([^"]*)"', picture)
    return [[tuple(map(float, point.split(","))) for point in one.split()] for one in found]  # type: ignore[misc]


def angle(picture: str) -> float:
    """The angle of the surface on the picture, from its hinge to its trailing edge; down is positive."""
    first, edge, second = polygons(picture)[1]
    x, y = (first[0] + second[0]) / 2, (first[1] + second[1]) / 2
    return math.degrees(math.atan2(edge[1] - y, edge[0] - x))


@pytest.mark.parametrize("deg", [-24.0, -3.0, 0.0, 7.5, 58.0])
def test_the_true_angle(deg: float) -> None:
    assert angle(edge_view(surface(), deg)) == pytest.approx(deg, abs=0.2)
    # A rudder is seen from above with the nose up: to the left is to the left.
    assert angle(edge_view(surface(role="rudder"), deg)) == pytest.approx(90 + deg, abs=0.2)


@pytest.mark.parametrize("role", ["flap", "rudder"])
def test_the_arrow_points_the_way_it_went(role: str) -> None:
    for deg in (-20.0, 20.0):
        tip, *foot = polygons(edge_view(surface(role=role), deg))[2]
        along = 1 if role == "flap" else 0
        went = tip[along] - foot[0][along]
        # Down on the picture for a flap that goes down, to the left for a rudder that goes left.
        assert went * deg > 0 if role == "flap" else went * deg < 0
    assert len(polygons(edge_view(surface(role=role), 0.0))) == 2


@pytest.mark.parametrize(("up", "down"), [(25, 60), (0, 90), (90, 90), (5, 0), (0, 0), (90, 3)])
@pytest.mark.parametrize("role", ["flap", "rudder"])
def test_everything_is_on_the_picture(up: float, down: float, role: str) -> None:
    one = surface(stop_up_deg=up, stop_down_deg=down, role=role)
    for deg in (-up, 0.0, down):
        picture = edge_view(one, float(deg), beside_deg=0.0, cut=True)
        for x, y in (point for polygon in polygons(picture) for point in polygon):
            assert 0 <= x <= 190
            assert 0 <= y <= 84


def test_the_frame_does_not_move() -> None:
    noses = {tuple(polygons(edge_view(surface(), deg))[0]) for deg in (-20.0, 0.0, 55.0)}
    assert len(noses) == 1


def test_beyond_its_stop() -> None:
    assert not is_beyond(surface(), 60.0)
    assert is_beyond(surface(), 60.2)
    assert is_beyond(surface(), -25.2)
    assert "beyond its stop" in edge_view(surface(), 65.0)
    assert "#a3211d" not in edge_view(surface(), 60.0)


def test_beside_it() -> None:
    picture = edge_view(surface(), 10.0, beside_deg=-5.0)
    assert "10.0° down, beside it 5.0° up" in picture
    assert picture.count("<polyline") == 1
