"""A drawing that escapes everything put into it.

Only literal presentation attributes are written: a strict content security policy blocks `style=`, and the PDF
renderer does not hand the page's style sheet to an SVG. No ids are used, so that many pictures share one page.
"""

import itertools
import math
import re
from collections.abc import Iterable, Sequence
from xml.etree import ElementTree

INK = "#15212b"
QUIET = "#4c5a63"
HAIRLINE = "#c7ccc8"
ACCENT = "#0a5a6b"
PAPER = "#ffffff"
TINT = "#d3e3e6"
WARNING = "#a3211d"
CAUTION = "#8a5200"
FONTS = "Source Sans Pro, DejaVu Sans, sans-serif"

# Source Sans Pro's semibold advance widths in em, read from the font's hmtx table: letters of about one width together,
# by the widest, and all others by a generous mean.
_WIDTHS = {
    **dict.fromkeys("ijlIíìîïı", 0.28), **dict.fromkeys("ft", 0.36), **dict.fromkeys("r()/-", 0.37),
    **dict.fromkeys(".,:;", 0.275), **dict.fromkeys("cskvxyzJ", 0.5), **dict.fromkeys("DGHNOQU", 0.67),
    **dict.fromkeys("BKwß", 0.75), **dict.fromkeys("MWm", 0.843), "%": 0.841, " ": 0.2, "°": 0.348,
}  # fmt: skip
_DIGIT_EM = 0.513
_LETTER_EM = 0.58

Point = tuple[float, float]

# XML 1.0, section 2.2: what is not a Char cannot be written in a document, escaped or not.
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def thinned(points: Sequence[Point], tolerance: float = 0.02) -> list[Point]:
    """`points`, x ascending, without those that a straight line passes at `tolerance` or less above or below [px].

    >>> thinned([(0, 0), (1, 1), (2, 2), (3, 0)])
    [(0, 0), (2, 2), (3, 0)]
    """
    kept, low, high = list(points[:1]), -math.inf, math.inf
    for before, (x, y) in itertools.pairwise(points):
        start_x, start_y = kept[-1]
        if before != kept[-1] and not low <= (y - start_y) / (x - start_x) <= high:
            kept.append(before)
            (start_x, start_y), low, high = before, -math.inf, math.inf
        low = max(low, (y - tolerance - start_y) / (x - start_x))
        high = min(high, (y + tolerance - start_y) / (x - start_x))
    return [*kept, points[-1]] if len(points) > 1 else kept


def text_width(text: str, size: float) -> float:
    """About how wide `text` is at a type size of `size`, in the same unit: for placing, never for measuring."""
    return size * sum(_WIDTHS.get(char, _DIGIT_EM if not char.isalpha() else _LETTER_EM) for char in text)


def shorten(text: str, width: float, size: float) -> str:
    """`text`, cut with an ellipsis where it would be wider than `width`.

    >>> shorten("Left inner wing flap", 60, 10)
    'Left inner w…'
    """
    if text_width(text, size) <= width:
        return text
    kept = text
    while kept and text_width(kept + "…", size) > width:
        kept = kept[:-1]
    return kept.rstrip(" …") + "…"


def broken(text: str, width: float, size: float) -> list[str]:
    """`text` on one line, or on two where it is wider than `width` and a space lets it be broken; cut where need be."""
    if text_width(text, size) <= width:
        return [text]
    spaces = [i for i, char in enumerate(text) if char == " " and text_width(text[:i], size) <= width]
    lines = [text[: spaces[-1]], text[spaces[-1] + 1 :]] if spaces else [text]
    return [shorten(line, width, size) for line in lines]


def number(value: float) -> str:
    """A coordinate with at most two decimals: what a printer resolves, and the same text on every machine."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if abs(value) >= 0.005 else "0"


class Drawing:
    """One SVG picture under construction; lengths are CSS pixels (1/96 inch) at full size.

    Parameters
    ----------
    title : str
        What the picture shows, in words: it becomes the accessible name and the PDF's alternative text.
    width, height : float
        Size of the picture [px].
    """

    def __init__(self, *, title: str, width: float, height: float) -> None:
        self.width, self.height = width, height
        self.root = ElementTree.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "viewBox": f"0 0 {number(width)} {number(height)}",
                "width": number(width),
                "height": number(height),
                "role": "img",
                "font-family": FONTS,
            },
        )
        self._add("title").text = _NOT_XML.sub("\ufffd", title)

    def _add(self, tag: str, **attributes: float | str | None) -> ElementTree.Element:
        written = {
            name.replace("_", "-"): number(value) if isinstance(value, int | float) else value
            for name, value in attributes.items()
            if value is not None
        }
        return ElementTree.SubElement(self.root, tag, written)

    def line(
        self,
        x1: float,
        y1: float,
        x2: float,
        y2: float,
        *,
        stroke: str = INK,
        width: float = 1,
        dash: str | None = None,
    ) -> None:
        """A straight line with round ends."""
        pen = _pen(stroke, width, dash)
        self._add("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke_linecap="round", **pen)

    def lines(
        self, ends: Iterable[tuple[Point, Point]], *, stroke: str = INK, width: float = 1, dash: str | None = None
    ) -> None:
        """Straight lines with round ends, all of one pen, as one element."""
        path = "".join(f"M{_point(start)}L{_point(end)}" for start, end in ends)
        if path:
            self._add("path", d=path, fill="none", stroke_linecap="round", **_pen(stroke, width, dash))

    def polyline(
        self, points: Iterable[Point], *, stroke: str = INK, width: float = 1, dash: str | None = None
    ) -> None:
        """An open line through `points`."""
        pen = _pen(stroke, width, dash)
        self._add("polyline", points=_points(points), fill="none", stroke_linejoin="round", **pen)

    def polygon(self, points: Iterable[Point], *, fill: str = "none", stroke: str = INK, width: float = 1) -> None:
        """A closed shape."""
        self._add("polygon", points=_points(points), fill=fill, stroke_linejoin="round", **_pen(stroke, width))

    def circle(
        self, x: float, y: float, r: float, *, fill: str = INK, stroke: str | None = None, width: float = 1
    ) -> None:
        """A dot, or a ring where `fill` is the paper and `stroke` is given."""
        self._add("circle", cx=x, cy=y, r=r, fill=fill, stroke=stroke, stroke_width=width if stroke else None)

    def text(
        self, x: float, y: float, text: str, *, size: float, anchor: str = "start", weight: int = 400, fill: str = INK
    ) -> None:
        """A line of text on the baseline `y`."""
        element = self._add("text", x=x, y=y, font_size=size, text_anchor=anchor, font_weight=str(weight), fill=fill)
        element.text = _NOT_XML.sub("\ufffd", text)

    def markup(self) -> str:
        """The picture as one `<svg>` element."""
        return ElementTree.tostring(self.root, encoding="unicode")


def _pen(stroke: str, width: float, dash: str | None = None) -> dict[str, float | str | None]:
    return {"stroke": stroke, "stroke_width": width, "stroke_dasharray": dash}


def _point(point: Point) -> str:
    return f"{number(point[0])} {number(point[1])}"


def _points(points: Iterable[Point]) -> str:
    return " ".join(f"{number(x)},{number(y)}" for x, y in points)
