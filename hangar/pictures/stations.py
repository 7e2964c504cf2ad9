"""One response with its stations, and handles that lie over them so that they can be taken hold of.

The handles are a drawing of their own: a script moves them while the picture below is drawn anew.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree

import numpy as np

from hangar.pictures.plot import Area, Axes, draw_grid
from hangar.pictures.svg import ACCENT, PAPER, QUIET, Drawing, number, text_width
from hangar.pictures.words import position_words, short
from mixing.document import Control, Coupling
from mixing.language import say, say_count

_ROUND_PCT = 25.0
_HOLD_PX = 21
"""How far from its middle a handle can be taken hold of: a finger's width across."""


@dataclass(frozen=True)
class Station:
    """A station to take hold of: the row of the form in which it stands, and what it gives, in words."""

    row: int
    position: float
    travel: float
    told: str


@dataclass(frozen=True)
class Size:
    """Width, height and lettering of a picture [px]."""

    width: float
    height: float
    type_px: float = 13


def span_of(travels: Sequence[float], limit_pct: float) -> float:
    """How far the axis goes both ways [%]: to the transmitter's limit, or as far as the stations do."""
    most = max([limit_pct, *(abs(travel) for travel in travels)])
    return math.ceil(most / _ROUND_PCT - 1e-9) * _ROUND_PCT


def station_plot(control: Control, coupling: Coupling, span: float, size: Size) -> str:
    """The travel [%] that a coupling alone asks for over its control, with its stations.

    Behind an expo the response lies beside its stations: what the stations say is then drawn dashed.
    """
    area = _area(span, size)
    first, last = coupling.stations[0], coupling.stations[-1]
    title = say(
        "Response of {control}: {stations}, travel {first} % at {start} % to {last} % at {end} %",
        control=control.label, stations=say_count("{count} station", "{count} stations", len(coupling.stations)),
        first=short(first[1]), start=short(first[0]), last=short(last[1]), end=short(last[0]),
    )  # fmt: skip
    drawing = Drawing(title=title, width=size.width, height=size.height)
    ends = position_words(control, -100), position_words(control, 100)
    draw_grid(drawing, Axes(*ends, caption=say("travel in %, of this response alone")), area, size.type_px)
    x = np.unique([-100.0, 100.0, *coupling.response.x])
    drawing.polyline(_points(area, x, coupling.response(x)), stroke=ACCENT, width=2.2)
    if coupling.expo_pct:
        drawing.polyline(_points(area, *zip(*coupling.stations, strict=True)), stroke=QUIET, width=1, dash="3 4")
    for position, travel in coupling.stations:
        drawing.circle(area.x(position), area.y(travel), 4, fill=PAPER, stroke=ACCENT, width=2)
    return drawing.markup()


def station_handles(
    control: Control, stations: Sequence[Station], span: float, size: Size, *, step: float, name: str
) -> str:
    """A transparent drawing of the same size with a handle over each station.

    Each is a slider of the travel, whose text tells position, travel and throw. The drawing says where 100 % lie.
    """
    area = _area(span, size)
    root = ElementTree.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {number(size.width)} {number(size.height)}",
            "role": "group",
            "aria-label": say("Stations to move: up and down for travel, left and right along the control"),
            "data-left": number(area.left), "data-right": number(area.right),
            "data-top": number(area.top), "data-bottom": number(area.bottom),
            "data-span": number(span), "data-step": number(step),
            **({"data-fixed": "true"} if control.positions else {}),
        },
    )  # fmt: skip
    for n, station in enumerate(stations):
        handle = ElementTree.SubElement(
            root,
            "g",
            {
                "class": "handle", "id": f"{name}-{station.row}", "role": "slider", "tabindex": "0",
                "data-row": str(station.row),
                "aria-label": say("Station {number} of {count}", number=n + 1, count=len(stations)),
                "aria-orientation": "vertical",
                "aria-valuemin": number(-span), "aria-valuemax": number(span), "aria-valuenow": number(station.travel),
                "aria-valuetext": station.told,
                "transform": f"translate({number(area.x(station.position))} {number(area.y(station.travel))})",
            },
        )  # fmt: skip
        for kind, radius in (("hold", _HOLD_PX), ("ring", 13), ("knob", 8)):
            ElementTree.SubElement(handle, "circle", {"class": kind, "r": str(radius)})
    return ElementTree.tostring(root, encoding="unicode")


def _area(span: float, size: Size) -> Area:
    ticks = text_width("−100", size.type_px * 0.9) + 7
    return Area(
        left=ticks, right=size.width - ticks, top=size.type_px * 2.0, bottom=size.height - size.type_px * 2.7,
        low=-span, high=span, flip=False,
    )  # fmt: skip


def _points(area: Area, x: Iterable[float], y: Iterable[float]) -> list[tuple[float, float]]:
    return [(area.x(float(a)), area.y(float(b))) for a, b in zip(x, y, strict=True)]
