"""What every picture promises: well-formed, escaped, titled, and nothing that a strict page would block."""

import re

import numpy as np
import pytest
from django.conf import settings
from font_source_sans_pro import font_files_ttf
from fontTools.ttLib import TTFont

from hangar.pictures.behind import from_behind
from hangar.pictures.profile import profile
from hangar.pictures.response import throw_plot
from hangar.pictures.svg import Drawing, broken, number, shorten, text_width, thinned
from mixing import Rig, Setup
from tests.hangar.sheets import layouts
from tests.mixing.example import example, example_data

from .reading import SVG, parsed, texts, title

DRAWN = {"svg", "title", "line", "path", "polyline", "polygon", "circle", "text"}
HOSTILE = """<img src="http://127.0.0.1:9/x" onload='1'>&amp;"]]>"""


def hostile() -> Setup:
    data = example_data()
    for surface in data["surfaces"]:
        surface["label"] = f"{surface['label']} {HOSTILE}"
    for channel in data["channels"]:
        channel["label"] = HOSTILE
    for control in data["controls"]:
        control["label"] = control["plus"] = HOSTILE
    return Setup.model_validate(data)


def pictures(setup: Setup) -> dict[str, str]:
    throws = {key: (float(throw), -8.0) for key, throw in Rig(setup).at({}).throw_mm.items()}
    key = setup.controls[0].key
    surface = setup.surfaces[0]
    return {
        "throws": throw_plot(setup, key),
        "behind": from_behind(setup, throws, title=HOSTILE, names=True),
        "profile": profile(surface, (-12.0, 8.0), (-14.0, 9.0)),
    }


@pytest.mark.parametrize("kind", ["throws", "behind", "profile"])
@pytest.mark.parametrize("setup", [example(), hostile()], ids=["plain", "hostile"])
def test_a_picture_is_well_formed_and_asks_for_nothing(kind: str, setup: Setup) -> None:
    markup = pictures(setup)[kind]
    root = parsed(markup)
    assert root.tag == f"{SVG}svg"
    assert root.attrib["role"] == "img"
    assert root[0].tag == f"{SVG}title"
    assert title(markup).strip()
    for element in root.iter():
        assert element.tag.removeprefix(SVG) in DRAWN
        # A strict policy blocks style=; a reference would have to be fetched.
        assert not {"style", "class", "id", "href", "onload"} & element.attrib.keys()
        assert not any("url(" in value for value in element.attrib.values())


@pytest.mark.parametrize("kind", ["throws", "behind", "profile"])
def test_what_a_member_typed_is_text(kind: str) -> None:
    markup = pictures(hostile())[kind]
    assert "<img" not in markup
    assert HOSTILE in " ".join([title(markup), *texts(markup)])


def test_a_character_that_xml_cannot_hold_is_replaced() -> None:
    drawing = Drawing(title="a\x00b", width=10, height=10)
    drawing.text(0, 0, "c\x0bd\ud800", size=10)
    assert title(drawing.markup()) == "a\ufffdb"
    assert texts(drawing.markup()) == ["c\ufffdd\ufffd"]


@pytest.mark.parametrize(("value", "text"), [(1.0, "1"), (1.256, "1.26"), (-0.001, "0"), (100.0, "100"), (-2, "-2")])
def test_coordinates_are_short(value: float, text: str) -> None:
    assert number(value) == text


def test_shortening_keeps_within_the_width() -> None:
    assert shorten("Flap", 100, 12) == "Flap"
    cut = shorten("An aileron with a very long name", 80, 12)
    assert cut.endswith("…")
    assert text_width(cut, 12) <= 80


def test_a_long_name_is_broken_at_a_space_before_it_is_cut() -> None:
    assert broken("Flap", 100, 12) == ["Flap"]
    assert broken("V-tail panel left + right", 80, 12) == ["V-tail panel", "left + right"]
    assert broken("Spoilerservosteckverbindung", 80, 12) == [shorten("Spoilerservosteckverbindung", 80, 12)]


def test_names_are_hardly_narrower_than_they_are_taken_for() -> None:
    """Held against the widths of the font itself, in which they are set."""
    font = TTFont(font_files_ttf["SourceSansProSemibold"])
    names, widths = font.getBestCmap(), font["hmtx"].metrics
    for text in ("Aileron left + right", "V-tail panel left + right", "Querruder links + rechts", "33.2 mm down"):
        real = sum(widths[names[ord(char)]][0] for char in text) / font["head"].unitsPerEm
        assert 1 <= text_width(text, 1) / real <= 1.08


def test_the_names_of_a_plot_on_paper_are_whole() -> None:
    """Six Bells, whose four curves are far apart at one end."""
    setup = Setup.from_text((settings.BASE_DIR / "fixtures/demo/six-bells.json").read_text("utf-8"))
    for width, height in ((302, 115), (340, 280)):
        told = " ".join(texts(throw_plot(setup, "lever", width=width, height=height, type_px=10.4)))
        assert "Aileron left + right" in told
        assert "V-tail panel left + right" in told
        assert "…" not in told


def test_points_that_a_straight_line_passes_are_left_out() -> None:
    x = np.linspace(0, 300, 81)
    y = 60 + x / 5 + 4 * np.sin(x / 70)
    kept = thinned(list(zip(x.tolist(), y.tolist(), strict=True)))
    assert kept[0] == (0.0, 60.0)
    assert kept[-1] == (300.0, y[-1])
    assert np.abs(np.interp(x, [at for at, _ in kept], [height for _, height in kept]) - y).max() <= 0.02
    assert len(kept) < 40


def test_a_corner_stays_and_the_rest_of_two_straight_lines_goes() -> None:
    points = [(float(x), abs(x - 5.0)) for x in range(11)]
    assert thinned(points) == [(0.0, 5.0), (5.0, 0.0), (10.0, 5.0)]
    assert thinned(points[:2]) == points[:2]
    assert thinned(points[:1]) == points[:1]
    assert thinned([]) == []


def test_lines_of_one_pen_are_one_element() -> None:
    drawing = Drawing(title="x", width=10, height=10)
    drawing.lines([], stroke="#111111")
    drawing.lines([((0, 1), (2, 3.456)), ((4, 5), (6, 7))], width=0.7)
    (path,) = parsed(drawing.markup()).iter(f"{SVG}path")
    assert path.attrib["d"] == "M0 1L2 3.46M4 5L6 7"
    assert (path.attrib["stroke-width"], path.attrib["fill"]) == ("0.7", "none")


@pytest.mark.parametrize("name", sorted(layouts.ONE_PAGE))
def test_every_lettering_lies_on_the_picture(name: str) -> None:
    setup = layouts.ONE_PAGE[name]()
    low = Rig(setup).at({"lever": -100.0})
    throws = {key: (float(throw),) for key, throw in low.throw_mm.items()}
    behind = from_behind(setup, throws, title="x", width=170, height=76, type_px=10)
    for markup in (behind, throw_plot(setup, "lever", width=318, height=120, type_px=10)):
        root = parsed(markup)
        width, height = float(root.attrib["width"]), float(root.attrib["height"])
        for element in root.iter(f"{SVG}text"):
            wide = text_width(element.text or "", float(element.attrib["font-size"]))
            left = (
                float(element.attrib["x"]) - wide * {"start": 0, "middle": 0.5, "end": 1}[element.attrib["text-anchor"]]
            )
            assert left >= -4, (element.text, left)
            assert left + wide <= width + 4, (element.text, left, wide)
            assert 0 < float(element.attrib["y"]) <= height + 1, (element.text, element.attrib["y"], height)


@pytest.mark.parametrize("name", sorted(layouts.ONE_PAGE))
def test_figures_on_the_model_do_not_cover_each_other(name: str) -> None:
    setup = layouts.ONE_PAGE[name]()
    for control, position in (("roll", 100.0), ("pitch", 100.0), ("lever", -100.0)):
        frame = Rig(setup).at({control: position})
        markup = from_behind(
            setup, {k: (float(v),) for k, v in frame.throw_mm.items()}, title="x", width=170, height=84, type_px=10
        )
        boxes = [
            (float(e.attrib["x"]), float(e.attrib["x"]) + text_width(e.text or "", 10), float(e.attrib["y"]))
            for e in parsed(markup).iter(f"{SVG}text")
        ]
        for i, (left, right, y) in enumerate(boxes):
            for other_left, other_right, other_y in boxes[:i]:
                apart = right <= other_left or other_right <= left or abs(y - other_y) >= 8
                assert apart, (name, control, boxes)


def test_the_picture_says_that_it_is_not_to_scale() -> None:
    assert re.search("not to scale", title(pictures(example())["behind"]))
