"""Pictures in German and in inches: the words change, the drawing stays a drawing."""

from collections.abc import Callable

import pytest

from hangar.languages.speaking import speaking
from hangar.pictures.behind import from_behind
from hangar.pictures.edge import edge_view
from hangar.pictures.linkage import linkage_picture
from hangar.pictures.plan_view import plan_view
from hangar.pictures.profile import profile
from hangar.pictures.pulses import pulse_picture
from hangar.pictures.response import throw_plot
from hangar.pictures.stations import Size, Station, station_handles, station_plot
from hangar.pictures.words import position_words, throw_figure, throw_words
from hangar.setups.shapes import Shape, fitted
from mixing import Rig, wording
from mixing.document import Control, FourBar
from tests.mixing.example import example

from .reading import SVG, parsed, texts, title

SETUP = example()
SURFACE = SETUP.surfaces[0]
BAR = FourBar(arm_mm=12.5, horn_mm=14.0, pivot_mm=(900.0, -3.0), push="raises", longer_pulse="pulls")
COUPLING = next(one for one in SETUP.couplings if one.expo_pct)

PICTURES: dict[str, Callable[[], str]] = {
    "behind": lambda: from_behind(
        SETUP, {k: (float(t), -8.0) for k, t in Rig(SETUP).at({}).throw_mm.items()}, title="T"
    ),
    "edge": lambda: edge_view(SURFACE, 99.5, beside_deg=-7.5),
    "linkage": lambda: linkage_picture(SURFACE, BAR, (1100.0, 1912.5)),
    "narrow linkage": lambda: linkage_picture(SURFACE, BAR, (1100.0, 1912.5), width=340),
    "plan": lambda: plan_view(fitted(Shape()), tail="conventional"),
    "profile": lambda: profile(SURFACE, (-12.4, 8.1), (-14.0, 9.0)),
    "pulses": lambda: pulse_picture(
        SURFACE, BAR, centre_us=1500, limits_us=(900.5, 2100.5), used_us=(1100, 1900), readings=[(1000.5, 7.5)]
    ),
    "throws": lambda: throw_plot(SETUP, "lever"),
    "stations": lambda: station_plot(SETUP.control(COUPLING.control), COUPLING, 125.0, Size(520, 260)),
    "handles": lambda: station_handles(
        SETUP.control(COUPLING.control), [Station(0, -37.5, 12.5, "12,5")], 125.0, Size(520, 260), step=0.5, name="s"
    ),
}
_POINTS = ("points", "aria-label", "aria-valuetext", "transform", "font-family")


@pytest.mark.parametrize("kind", PICTURES)
@pytest.mark.parametrize("unit", ["mm", "inch"])
def test_no_attribute_has_a_decimal_comma(kind: str, unit: str) -> None:
    with speaking("de", unit):
        root = parsed(PICTURES[kind]())
    for element in root.iter():
        assert not [name for name, value in element.attrib.items() if "," in value and name not in _POINTS]
        for pair in element.attrib.get("points", "").split():
            x, y = pair.split(",")
            assert float(x) == float(x)
            assert float(y) == float(y)


@pytest.mark.parametrize("kind", sorted(set(PICTURES) - {"handles"}))
def test_the_title_is_put_in_the_language_of_the_reader(kind: str) -> None:
    english = title(PICTURES[kind]())
    with speaking("de"):
        german = title(PICTURES[kind]())
    assert german != english
    for word in (" up", " down", " seen ", "throw", "channel", " at ", "not to scale", "neutral;"):
        assert word not in german.lower()


def test_throws_and_their_axes_in_inches() -> None:
    with speaking("en", "inch"):
        plotted, pulses = texts(PICTURES["throws"]()), texts(PICTURES["pulses"]())
        assert "throw in in: ↑ up, ↓ down" not in plotted
        assert "throw in inches: ↑ up, ↓ down" in plotted
        assert "throw in inches: ↑ up, ↓ down" in pulses
        # The largest throw of the lever is the flaps', some 30 mm: an axis in mm would go past 10.
        ticks = [float(text) for text in plotted if text.replace(".", "").isdigit()]
        assert 0 < max(ticks) < 5
        assert "arm 0.49 in" in texts(PICTURES["linkage"]())
        assert any(" in, to scale; rod cut by 2" in text for text in texts(PICTURES["linkage"]()))


def test_what_is_nothing_in_inches_is_what_is_nothing_in_mm() -> None:
    assert throw_words(0.1, "flap") == "0.1 mm down"
    with speaking("en", "inch"):
        assert throw_words(0.1, "flap") == "0.004 in down"
        assert throw_words(0.04, "flap") == "neutral"
        assert wording.throw_words(12.7, "flap") == throw_words(12.7, "flap") == "0.50 in down"
        assert throw_figure(-0.1, "flap") == "0.004 ↑"
        assert throw_figure(-0.2, "flap") == "0.01 ↑"


def test_positions_in_german() -> None:
    lever = Control(key="c", label="Bremshebel", kind="lever", plus="vorn")
    with speaking("de"):
        words = [position_words(lever, p) for p in (-100, -50, 0, 37.5)]
    assert words == ["hinten", "halb hinten", "Mitte", "37,5 % vorn"]


def test_the_picture_of_a_long_rod_says_so_in_german() -> None:
    with speaking("de"):
        told = texts(PICTURES["linkage"]())
    assert "Arm 12,5 mm" in told
    assert any("maßstäblich; Gestänge" in text for text in told)
    assert [element.tag for element in parsed(PICTURES["linkage"]()).iter(f"{SVG}title")]
