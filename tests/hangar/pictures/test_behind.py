"""The model from behind: left is left, down is down, and every kind of tail has its place."""

import re

import pytest

from hangar.pictures.behind import from_behind
from hangar.pictures.profile import profile
from mixing import Rig, Setup
from tests.hangar.sheets import layouts
from tests.mixing.example import example

from .reading import polygons, texts, title

WIDTH, HEIGHT = 640, 240


def behind(setup: Setup, throws: dict[str, tuple[float, ...]], *, names: bool = False) -> str:
    return from_behind(setup, throws, title="A state", width=WIDTH, height=HEIGHT, names=names)


def middle(points: list[tuple[float, float]]) -> tuple[float, float]:
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def hinge_and_edge(points: list[tuple[float, float]]) -> tuple[tuple[float, float], tuple[float, float]]:
    """The middles of hinge line and trailing edge: the first two and the last two corners."""
    return middle(points[:2]), middle(points[2:])


def test_left_is_drawn_left() -> None:
    (left,) = polygons(behind(example(), {"left_aileron": (9.0,)}))
    (right,) = polygons(behind(example(), {"right_aileron": (9.0,)}))
    assert middle(left)[0] < WIDTH / 2 < middle(right)[0]


def test_flaps_stand_inboard_of_ailerons() -> None:
    (flap,) = polygons(behind(example(), {"right_flap": (9.0,)}))
    (aileron,) = polygons(behind(example(), {"right_aileron": (9.0,)}))
    assert max(x for x, _ in flap) < min(x for x, _ in aileron)


@pytest.mark.parametrize(("throw", "sign"), [(9.0, 1), (-9.0, -1)])
@pytest.mark.parametrize("key", ["left_aileron", "right_flap", "elevator"])
def test_down_is_drawn_down(key: str, throw: float, sign: int) -> None:
    (points,) = polygons(behind(example(), {key: (throw,)}))
    hinge, edge = hinge_and_edge(points)
    assert (edge[1] - hinge[1]) * sign > 0


@pytest.mark.parametrize(("throw", "sign"), [(9.0, -1), (-9.0, 1)])
def test_a_rudder_swings_to_its_side(throw: float, sign: int) -> None:
    (points,) = polygons(behind(example(), {"rudder": (throw,)}))
    hinge, edge = hinge_and_edge(points)
    assert (edge[0] - hinge[0]) * sign > 0


@pytest.mark.parametrize(
    ("make", "key", "outward"),
    [
        # A V-tail's panels lean outward, so that a trailing edge that goes down also goes outward; inverted, inward.
        (layouts.vee_tail, "right_ruddervator_0", 1),
        (layouts.vee_tail, "left_ruddervator_0", 1),
        (layouts.inverted_vee, "right_ruddervator_inverted_0", -1),
        (layouts.inverted_vee, "left_ruddervator_inverted_0", -1),
    ],
)
def test_panels_of_a_vee_swing_square_to_themselves(make: object, key: str, outward: int) -> None:
    assert callable(make)
    (points,) = polygons(behind(make(), {key: (9.0,)}))
    hinge, edge = hinge_and_edge(points)
    assert edge[1] > hinge[1]
    side = 1 if middle(points)[0] > WIDTH / 2 else -1
    assert (edge[0] - hinge[0]) * side * outward > 0
    along = (points[1][0] - points[0][0], points[1][1] - points[0][1])
    assert along[0] * (edge[0] - hinge[0]) + along[1] * (edge[1] - hinge[1]) == pytest.approx(0, abs=1)


def test_an_upright_vee_points_up_and_an_inverted_one_down() -> None:
    (up,) = polygons(behind(layouts.vee_tail(), {"right_ruddervator_0": (9.0,)}))
    (down,) = polygons(behind(layouts.inverted_vee(), {"right_ruddervator_inverted_0": (9.0,)}))
    assert up[1][1] < up[0][1]
    assert down[1][1] > down[0][1]


def test_fins_of_a_flying_wing_stand_at_its_tips() -> None:
    both = polygons(behind(layouts.flying_wing(), {"left_rudder_0": (9.0,), "right_rudder_0": (9.0,)}))
    left, right = sorted(middle(points)[0] for points in both)
    assert left < WIDTH * 0.2
    assert right > WIDTH * 0.8


def test_both_ends_can_be_shown_at_once() -> None:
    markup = behind(example(), {"right_flap": (-3.0, 45.8)})
    assert len(polygons(markup)) == 2
    assert {"3.0 ↑", "45.8 ↓"} <= set(texts(markup))


def test_the_largest_throw_is_drawn_largest_and_small_ones_stay_visible() -> None:
    large, small = polygons(behind(example(), {"right_flap": (45.8,), "elevator": (1.6,)}))
    depths = [abs(edge[1] - hinge[1]) for hinge, edge in map(hinge_and_edge, (large, small))]
    assert max(depths) > 3 * min(depths)
    assert min(depths) >= 4


def test_a_surface_at_neutral_is_not_drawn() -> None:
    assert polygons(behind(example(), {"right_flap": (0.03,)})) == []


def test_estimates_are_marked_in_picture_and_title() -> None:
    markup = from_behind(example(), {"elevator": (-9.0,)}, title="A state", estimated=["elevator"])
    assert "≈9.0 ↑" in texts(markup)
    assert "Elevator 9.0 mm up (estimated)" in title(markup)


def test_names_are_written_where_they_are_asked_for() -> None:
    names = {surface.label for surface in example().surfaces}
    assert names <= set(texts(behind(example(), {}, names=True)))
    assert not names & set(texts(behind(example(), {})))


def test_the_title_tells_the_throws_of_the_rig() -> None:
    setup = example()
    frame = Rig(setup).at({"roll": 100.0})
    told = title(behind(setup, {key: (float(throw),) for key, throw in frame.throw_mm.items()}))
    assert "Right aileron 19.1 mm up" in told
    assert "Left aileron 12.4 mm down" in told
    assert "Elevator" not in told


def test_a_profile_is_drawn_at_true_angles() -> None:
    surface = example().surface("right_flap")
    markup = profile(surface, (-3.0, 45.8), (-3.4, 54.5))
    _, up, down = polygons(markup)
    assert "45.8 mm down, 54.5°" in texts(markup)
    assert "3.0 mm up, 3.4°" in texts(markup)
    assert up[1][1] < down[1][1]
    hinge = middle([down[0], down[2]])
    slope = (down[1][1] - hinge[1]) / (down[1][0] - hinge[0])
    # tan 54.5° = 1.402
    assert slope == pytest.approx(1.402, abs=0.01)


def test_a_rudder_in_profile_is_seen_from_above() -> None:
    assert "seen from above" in title(profile(example().surface("rudder"), (-38.0, 38.0), (-31.5, 31.5)))


def test_another_setup_beside_it() -> None:
    """Dashed where it differs by what a ruler reads, and on the same scale."""
    one = from_behind(example(), {"left_flap": (20.0,), "elevator": (-5.0,)}, title="A state",
                      beside_mm={"left_flap": 30.0, "elevator": -5.0})  # fmt: skip
    assert one.count("<polyline") == 1
    outline = re.search(r'<polyline points="([^"]*)"', one)
    polygon = re.search(r'<polygon points="([^"]*)"', one)
    assert outline is not None
    assert polygon is not None

    def depth(points: str) -> float:
        ys = [float(point.split(",")[1]) for point in points.split()]
        return ys[2] - ys[1]

    assert depth(outline[1]) == pytest.approx(1.5 * depth(polygon[1]), rel=0.02)
