"""The angles of a row stand in one text, each ending below the position to which it belongs."""

import font_source_sans_pro
import pytest
from fontTools.ttLib import TTFont

from hangar.sheets.angles import in_columns
from mixing import Rig
from tests.mixing.example import example

from .rendering import html_of


@pytest.fixture(scope="module")
def advance() -> dict[str, int]:
    """How wide a sign of the printed font is, in thousandths of an em."""
    font = TTFont(font_source_sans_pro.font_files_ttf["SourceSansPro"])
    widths, names = font["hmtx"], font.getBestCmap()
    return {chr(code): widths[name][0] for code, name in names.items()}


@pytest.mark.parametrize(
    "texts",
    [
        ["20.9°", "10.6°", "0°", "10.6°", "20.9°"],
        ["8.2°", "", "90.0°", "0°", "1.1°"],
        ["−100", "−50", "0", "+50", "+100"],
    ],
)
def test_each_ends_where_the_angle_above_it_ends(texts: list[str], advance: dict[str, int]) -> None:
    shown = in_columns(texts)
    full = in_columns(["20.9°"] * len(texts))
    assert shown.split() == [text for text in texts if text]
    width = sum(advance[sign] for sign in shown)
    # A tenth of an em is 0.25 mm at 7 pt.
    assert width == pytest.approx(sum(advance[sign] for sign in full), abs=100)


def test_a_row_tells_the_angle_at_every_position() -> None:
    page = html_of(example())
    frame = Rig(example()).at({"roll": [-100.0, -50.0, 0.0, 50.0, 100.0]})
    angles = [f"{abs(float(deg)):.1f}°" for deg in frame.deflection_deg["right_aileron"]]
    assert in_columns("0°" if angle == "0.0°" else angle for angle in angles) in page
