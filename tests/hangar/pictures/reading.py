"""Reading an SVG back: what a test asks of a picture."""

import itertools
import re
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"


def parsed(markup: str) -> ElementTree.Element:
    """The picture as a tree; an error where it is not well-formed XML."""
    return ElementTree.fromstring(markup)


def texts(markup: str) -> list[str]:
    """Every lettering on the picture, the title left out."""
    return [element.text or "" for element in parsed(markup).iter(f"{SVG}text")]


def title(markup: str) -> str:
    return parsed(markup).findtext(f"{SVG}title") or ""


def lines(markup: str) -> list[list[tuple[float, float]]]:
    """The points of every polyline [px]."""
    return [_points(element) for element in parsed(markup).iter(f"{SVG}polyline")]


def polygons(markup: str) -> list[list[tuple[float, float]]]:
    return [_points(element) for element in parsed(markup).iter(f"{SVG}polygon")]


def dark_runs(markup: str) -> list[tuple[int, int, int]]:
    """(row, start, end) of the dark modules of a QR code, from the upright edges of its last path."""
    edges: dict[int, list[int]] = {}
    path = list(parsed(markup).iter(f"{SVG}path"))[-1]
    assert path.attrib["fill-rule"] == "evenodd"
    for loop in path.attrib["d"].split("M")[1:]:
        x, y, *steps = re.findall(r"[HV]?\d+", loop)
        points = [(int(x), int(y))]
        for step in steps:
            at = int(step[1:])
            points.append((at, points[-1][1]) if step[0] == "H" else (points[-1][0], at))
        for (x0, y0), (x1, y1) in itertools.pairwise([*points, points[0]]):
            assert x0 == x1 or y0 == y1
            if x0 == x1:
                for row in range(min(y0, y1), max(y0, y1)):
                    edges.setdefault(row, []).append(x0)
    ordered = {row: sorted(found) for row, found in edges.items()}
    return [(row, *run) for row, found in ordered.items() for run in zip(found[::2], found[1::2], strict=True)]


def _points(element: ElementTree.Element) -> list[tuple[float, float]]:
    pairs = (pair.split(",") for pair in element.attrib["points"].split())
    return [(float(x), float(y)) for x, y in pairs]
