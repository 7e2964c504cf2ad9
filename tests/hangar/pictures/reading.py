"""Reading an SVG back: what a test asks of a picture."""

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


def _points(element: ElementTree.Element) -> list[tuple[float, float]]:
    pairs = (pair.split(",") for pair in element.attrib["points"].split())
    return [(float(x), float(y)) for x, y in pairs]
