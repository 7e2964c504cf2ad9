"""The model from above: every part inside the picture, where it belongs, with the number of its channel."""

from dataclasses import replace
from itertools import combinations
from math import hypot

import pytest

from hangar.pictures.plan_view import plan_view
from hangar.pictures.planform import HEIGHT, MIDDLE, WIDTH
from hangar.pictures.svg import TINT
from hangar.setups.plan import NARROW_PX, WIDE_PX
from hangar.setups.shapes import TAILS, WINGS, Shape, fitted
from tests.hangar.pictures.reading import SVG, lines, parsed, polygons, texts, title

FULL = Shape(
    inner_flaps=True, outer_flaps=True, spoilers=True, nose="electric", release=True, retract=True, wheel_brake=True
)


def drawn(shape: Shape, type_px: float = WIDE_PX) -> str:
    return plan_view(fitted(shape), tail=shape.tail, engine=shape.nose == "engine", type_px=type_px)


def moving(markup: str) -> list[list[tuple[float, float]]]:
    """The outlines of the surfaces."""
    tinted = [element.attrib.get("fill") == TINT for element in parsed(markup).iter(f"{SVG}polygon")]
    return [outline for outline, is_surface in zip(polygons(markup), tinted, strict=True) if is_surface]


@pytest.mark.parametrize("tail", TAILS)
@pytest.mark.parametrize("wing", WINGS)
def test_every_part_is_on_the_picture_with_its_number(wing: str, tail: str) -> None:
    for shape in (replace(FULL, wing=wing, tail=tail), replace(FULL, wing=wing, tail=tail, nose="engine")):
        parts = fitted(shape)
        for size in (WIDE_PX, NARROW_PX):
            markup = drawn(shape, size)
            assert texts(markup) == [str(part.channel) for part in parts]
            assert len(moving(markup)) == sum(bool(part.role) for part in parts)
            for outline in (*polygons(markup), *lines(markup)):
                assert all(0 <= x <= WIDTH and 0 <= y <= HEIGHT for x, y in outline)
            for dot in parsed(markup).iter(f"{SVG}circle"):
                x, y, r = (float(dot.attrib[name]) for name in ("cx", "cy", "r"))
                assert r <= x <= WIDTH - r, (wing, tail)
                assert r <= y <= HEIGHT - r, (wing, tail)


@pytest.mark.parametrize("size", [WIDE_PX, NARROW_PX])
@pytest.mark.parametrize("tail", TAILS)
def test_no_number_covers_another(tail: str, size: float) -> None:
    for wing in WINGS:
        dots = [
            tuple(float(dot.attrib[name]) for name in ("cx", "cy", "r"))
            for dot in parsed(drawn(replace(FULL, wing=wing, tail=tail), size)).iter(f"{SVG}circle")
        ]
        for (x, y, r), (other_x, other_y, other_r) in combinations(dots, 2):
            assert hypot(x - other_x, y - other_y) > r + other_r, (wing, x, y, other_x, other_y)


def test_leads_do_not_cross() -> None:
    """Each runs below those of the parts further in, or in front of the wing."""
    shape = replace(FULL, wing="one", flap_lead=True)
    heights = {line[1][1]: abs(line[0][0] - MIDDLE) for line in lines(drawn(shape)) if len(line) == 4}
    assert len(heights) == 4
    on_the_wing = [away for _, away in sorted(heights.items())][1:]
    assert on_the_wing == sorted(on_the_wing, reverse=True)


@pytest.mark.parametrize("tail", TAILS)
def test_left_and_right_mirror_each_other(tail: str) -> None:
    for part in fitted(replace(FULL, tail=tail)):
        (outline,) = moving(plan_view([part], tail=tail)) if part.role else (None,)
        if outline is not None and part.side != "centre":
            assert all((x < MIDDLE) == (part.side == "left") for x, _ in outline), part.label


def test_flaperons_take_the_wing_that_flaps_leave() -> None:
    def reach(shape: Shape) -> float:
        (right, *_) = moving(drawn(shape))
        return max(x for x, _ in right) - min(x for x, _ in right)

    alone = reach(Shape(wing="flaperons"))
    assert alone > reach(Shape(wing="flaperons", inner_flaps=True)) > reach(Shape(wing="flaperons", outer_flaps=True))


def test_a_shared_channel_is_a_line_between_its_parts() -> None:
    def leads(shape: Shape) -> int:
        return sum(len(line) == 4 for line in lines(drawn(shape)))

    assert leads(Shape(wing="one")) == 1
    assert leads(Shape(wing="two")) == 0
    assert leads(Shape(inner_flaps=True, outer_flaps=True, flap_lead=True)) == 2


def test_an_empty_place_is_hinted_at() -> None:
    assert len(lines(drawn(Shape()))) - len(lines(drawn(Shape(inner_flaps=True)))) == 2


def test_it_is_told_in_words() -> None:
    assert title(drawn(Shape(wing="one"))) == (
        "The model from above, not to scale: Right aileron, channel 1; Left aileron, channel 1; Elevator, channel 2; "
        "Rudder, channel 3"
    )
    assert title(plan_view([], tail="none")).endswith("nothing that moves yet")
