"""A response with handles: where they lie, what they tell, and that the dashed line shows what expo bends."""

from xml.etree import ElementTree

import pytest

from hangar.pictures.stations import Size, Station, span_of, station_handles, station_plot
from mixing.document import Control, Coupling

SVG = "{http://www.w3.org/2000/svg}"
LEVER = Control(key="lever", label="Left lever", kind="lever", plus="forward", rest=100)
SWITCH = Control(key="rate", label="Rate", kind="switch", plus="up", rest=-100, positions=(-100, 100))
SIZE = Size(500, 300)


def coupling(*stations: tuple[float, float], expo: float = 0) -> Coupling:
    return Coupling(control="lever", channel=1, stations=stations, expo_pct=expo)


def handles(control: Control = LEVER) -> ElementTree.Element:
    stations = [Station(0, -100, 95, "back: 95 %"), Station(3, 100, 0, "forward: 0 %")]
    return ElementTree.fromstring(station_handles(control, stations, 125, SIZE, step=1, name="handle-wide"))


def test_handles_lie_on_the_axes_that_they_state() -> None:
    root = handles()
    left, right, top, bottom = (float(root.attrib[f"data-{edge}"]) for edge in ("left", "right", "top", "bottom"))
    low, high = root.findall(f"{SVG}g")
    assert low.attrib["transform"] == f"translate({left:g} {round(top + (125 - 95) / 250 * (bottom - top), 2):g})"
    assert high.attrib["transform"] == f"translate({right:g} {round((top + bottom) / 2, 2):g})"
    assert root.attrib["data-span"] == "125"


def test_each_is_a_slider_that_tells_what_it_gives() -> None:
    low, high = handles().findall(f"{SVG}g")
    assert (low.attrib["role"], low.attrib["tabindex"]) == ("slider", "0")
    assert (low.attrib["aria-valuemin"], low.attrib["aria-valuemax"], low.attrib["aria-valuenow"]) == (
        "-125", "125", "95",
    )  # fmt: skip
    assert low.attrib["aria-valuetext"] == "back: 95 %"
    assert (low.attrib["id"], high.attrib["id"], high.attrib["data-row"]) == ("handle-wide-0", "handle-wide-3", "3")


def test_a_switch_is_not_moved_along() -> None:
    assert "data-fixed" in handles(SWITCH).attrib
    assert "data-fixed" not in handles().attrib


@pytest.mark.parametrize(
    ("travels", "limit", "span"), [((95, 0), 125, 125), ((95, -130), 125, 150), ((150,), 100, 150), ((0,), 120, 125)]
)
def test_the_axis_holds_limit_and_stations(travels: tuple[float, ...], limit: float, span: float) -> None:
    assert span_of(travels, limit) == span


def test_zero_is_a_line_of_the_grid() -> None:
    """Also where the axis goes to 125, which no step of 50 meets."""
    texts = {one.text for one in ElementTree.fromstring(
        station_plot(LEVER, coupling((-100, 95), (100, 0)), 125, SIZE)).iter(f"{SVG}text")}  # fmt: skip
    assert {"−100", "−50", "0", "50", "100"} <= texts


@pytest.mark.parametrize("width", [340, 500, 560])
def test_the_figures_stand_at_the_left(width: float) -> None:
    root = ElementTree.fromstring(station_plot(LEVER, coupling((-100, 95), (100, 0)), 125, Size(width, 300)))
    figure = next(one for one in root.iter(f"{SVG}text") if one.text == "50")
    assert float(figure.attrib["x"]) < 40


def test_expo_is_drawn_beside_its_stations() -> None:
    def dashed(expo: float) -> list[str]:
        root = ElementTree.fromstring(station_plot(LEVER, coupling((-100, 95), (100, 0), expo=expo), 125, SIZE))
        return [
            one.attrib["stroke-dasharray"] for one in root.iter(f"{SVG}polyline") if "stroke-dasharray" in one.attrib
        ]

    assert dashed(0) == []
    assert len(dashed(30)) == 1


def test_the_title_says_what_is_drawn() -> None:
    root = ElementTree.fromstring(station_plot(LEVER, coupling((-100, 95), (0, 20), (60, 0)), 125, SIZE))
    assert root.findtext(f"{SVG}title") == ("Response of Left lever: 3 stations, travel 95 % at −100 % to 0 % at 60 %")
