"""The linkage to scale: lengths and angles on the picture are those of the four-bar, whatever the setup says."""

import math
import re

import pytest
from hypothesis import given, settings

from hangar.pictures.linkage import Shape, linkage_picture
from hangar.pictures.pulses import pulse_picture
from hangar.pictures.svg import text_width
from mixing.document import FourBar, Measured, Surface
from mixing.linkage import Unmeasured
from tests.mixing.example import example
from tests.mixing.strategies import four_bars

from .reading import SVG, parsed

BAR = FourBar(arm_mm=12, horn_mm=15, pivot_mm=(80, 6), arm_neutral_deg=0, horn_neutral_deg=-5)


def surface(linkage: object = BAR, **changes: object) -> Surface:
    return Surface.model_validate(
        {
            "key": "flap", "label": "Left flap", "role": "flap", "side": "left", "channel": 1, "chord_mm": 40,
            "stop_up_deg": 20, "stop_down_deg": 60, "linkage": linkage, **changes,
        }
    )  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(four_bars())
def test_every_pose_is_the_linkage(data: dict[str, object]) -> None:
    """Arm, horn and rod keep their lengths, and the trailing edge goes the way and as far as the rig says."""
    try:
        bar = FourBar.model_validate(data)
    except ValueError:
        return
    shape = Shape(bar, 40.0)
    for pulse in (bar.neutral_us - 150, bar.neutral_us, bar.neutral_us + 150):
        pose = shape.at(pulse)
        assert math.dist((0, 0), pose.arm) == pytest.approx(bar.arm_mm)
        assert math.dist(shape.pivot, pose.horn) == pytest.approx(bar.horn_mm)
        assert math.dist(pose.arm, pose.horn) == pytest.approx(bar.rod_mm, abs=1e-4)
        followed = bar.follow(pulse)
        if not followed.blocked:
            assert pose.deflection_deg == pytest.approx(float(followed.deflection_deg), abs=1e-6)
            drop = shape.pivot[1] - pose.edge[1]
            assert drop == pytest.approx(40 * math.sin(math.radians(pose.deflection_deg)), abs=1e-6)


@pytest.mark.parametrize("along", [80.0, -80.0])
@pytest.mark.parametrize("push", ["lowers", "raises"])
def test_the_horn_and_its_surface_are_one_piece(along: float, push: str) -> None:
    """What turns the horn turns the surface by the same angle and the same way round on the picture."""
    bar = BAR.model_copy(update={"pivot_mm": (along, 6.0), "push": push})
    shape = Shape(FourBar.model_validate(bar.model_dump()), 40.0)
    before, after = shape.at(1500), shape.at(1700)

    def turn(first: tuple[float, float], second: tuple[float, float]) -> float:
        a, b = (math.atan2(y - shape.pivot[1], x - shape.pivot[0]) for x, y in (first, second))
        return math.degrees(b - a)

    assert turn(before.horn, after.horn) == pytest.approx(turn(before.edge, after.edge), abs=1e-6)
    assert abs(turn(before.horn, after.horn)) > 5


@pytest.mark.parametrize("width", [760, 340])
def test_one_scale_for_all(width: int) -> None:
    """The scale bar measures the arm: the picture can be held against the model."""
    picture = linkage_picture(surface(), BAR, (1200, 1800), width=width, type_px=13)
    told = re.search(r">(\d+) mm, to scale<", picture)
    assert told is not None
    lines = [
        tuple(map(float, found))
        for found in re.findall(
            r'<line x1="([\d.-]+)" y1="([\d.-]+)" x2="([\d.-]+)" y2="([\d.-]+)"[^>]*stroke-width="5"', picture
        )
    ]
    assert len(lines) == 2, "arm and horn at neutral"
    bar = re.findall(r'<line x1="([\d.-]+)" y1="([\d.-]+)" x2="([\d.-]+)" y2="\2"[^>]*stroke-width="1.4"', picture)
    scale = (float(bar[0][2]) - float(bar[0][0])) / float(told[1])
    arm, horn = (math.dist(one[:2], one[2:]) / scale for one in lines)
    assert arm == pytest.approx(12, abs=0.05)
    assert horn == pytest.approx(15, abs=0.05)


def test_a_long_rod_is_cut_and_says_so() -> None:
    long = FourBar.model_validate({**BAR.model_dump(), "pivot_mm": (700, 0)})
    picture = linkage_picture(surface(long), long, (1300, 1700), width=340)
    cut = re.search(r"to scale; rod cut by (\d+) mm", picture)
    assert cut is not None
    assert 300 < int(cut[1]) < 700
    assert f"pushrod {long.rod_mm:.1f} mm" in picture


@pytest.mark.parametrize(
    ("key", "pulses"), [("right_flap", (1480, 2075)), ("left_flap", (1520, 925)), ("right_aileron", (925, 2075))]
)
def test_no_horn_lies_over_the_words_of_a_narrow_picture(key: str, pulses: tuple[float, float]) -> None:
    drawn = example().surface(key)
    assert isinstance(drawn.linkage, FourBar)
    picture = linkage_picture(drawn, drawn.linkage, pulses, width=340, type_px=13)
    joints = [(float(e.attrib["cx"]), float(e.attrib["cy"])) for e in parsed(picture).iter(f"{SVG}circle")]
    for word in parsed(picture).iter(f"{SVG}text"):
        if word.attrib["text-anchor"] == "end":
            left, base = 336 - text_width(word.text or "", 13), float(word.attrib["y"])
            assert not [at for at in joints if at[0] > left and base - 10 < at[1] < base + 1], word.text


def test_dead_points_are_marked_and_told() -> None:
    short_horn = FourBar(arm_mm=16, horn_mm=8, pivot_mm=(60, 0))
    low, high = short_horn.geometry.reach
    assert abs(low) < 60 or abs(high) < 60
    picture = linkage_picture(surface(short_horn), short_horn, (1400, 1600))
    assert "dead point" in picture
    assert 'stroke="#a3211d"' in picture


def test_throws_are_written_with_their_way() -> None:
    picture = linkage_picture(surface(), BAR, (1200, 1800))
    throws = [BAR.follow(pulse).throw_mm(chord_mm=40) for pulse in (1200, 1800)]
    for throw in throws:
        assert f"{abs(float(throw)):.1f} mm {'down' if throw > 0 else 'up'}" in picture
    rudder = linkage_picture(surface(role="rudder", side="centre"), BAR, (1200, 1800))
    assert " mm left" in rudder


@pytest.mark.parametrize(
    ("linkage", "dots", "dashed"),
    [
        (Measured(points=((1100, -12), (1500, 0), (1900, 11))), 3, True),
        (Unmeasured(), 0, True),
        (BAR, 0, False),
    ],
)
def test_throw_over_pulse(linkage: Measured | FourBar | Unmeasured, dots: int, dashed: bool) -> None:
    picture = pulse_picture(surface(linkage), linkage, centre_us=1500, limits_us=(900, 2100), used_us=(1200, 1800))
    assert picture.count("<circle") == dots
    assert ('stroke-dasharray="6 4"' in picture) == dashed
    assert ("estimated" in picture) == isinstance(linkage, Unmeasured)
    assert picture.count('stroke-width="5"') == 1
