"""One surface along its hinge at its true angle, between its stops: small enough to stand in a row of a table.

The frame is set by the stops, not by where the surface is, so that nothing jumps while a lever is moved.
"""

import math

from hangar.pictures.svg import ACCENT, HAIRLINE, INK, PAPER, QUIET, TINT, WARNING, Drawing
from hangar.pictures.words import direction, plain
from mixing.document import Surface
from mixing.language import say
from mixing.wording import way_words

BEYOND_DEG = 0.05
"""A surface this far past its stop is told to be [degrees]."""

_LEAST_DEG = 12.0
_MARGIN = 9.0

Point = tuple[float, float]


def is_beyond(surface: Surface, deflection_deg: float) -> bool:
    """Whether a surface goes further than its stops let it."""
    return deflection_deg > surface.stop_down_deg + BEYOND_DEG or deflection_deg < -surface.stop_up_deg - BEYOND_DEG


def edge_view(
    surface: Surface,
    deflection_deg: float,
    *,
    beside_deg: float | None = None,
    cut: bool = False,
    width: float = 190,
    height: float = 84,
) -> str:
    """An SVG of a surface at its angle, nose to the left.

    Parameters
    ----------
    surface : Surface
        A rudder is seen from above with the nose up, the others from the left wing tip.
    deflection_deg : float
        Positive down, for a rudder left.
    beside_deg : float, optional
        The angle that another setup gives: a dashed outline.
    cut : bool
        Whether the channel's limit or the linkage holds it there: a bar across the trailing edge.
    width, height : float
        Size of the picture [px].
    """
    beyond = is_beyond(surface, deflection_deg)
    drawing = Drawing(title=_title(surface, deflection_deg, beside_deg, beyond=beyond), width=width, height=height)
    view = _View(surface, width, height)
    drawing.polygon(view.nose(), fill=PAPER, stroke=INK, width=1.4)
    drawing.line(*view.hinge, *view.at(1.0, 0.0), stroke=HAIRLINE, width=1, dash="4 3")
    _stops(drawing, view, surface, deflection_deg if beyond else 0.0)
    if beside_deg is not None:
        wedge = view.wedge(beside_deg)
        drawing.polyline([*wedge, wedge[0]], stroke=INK, width=1.3, dash="3 2.5")
    colour, wide = (WARNING, 2.0) if beyond else (ACCENT, 1.5)
    drawing.polygon(view.wedge(deflection_deg), fill=TINT, stroke=colour, width=wide)
    if cut:
        for start, end in view.bars(deflection_deg):
            drawing.line(*start, *end, stroke=INK, width=1.6)
    if direction(deflection_deg, surface.role):
        drawing.polygon(view.arrow(deflection_deg), fill=colour, stroke=colour, width=1)
    drawing.circle(*view.hinge, 3.2, fill=PAPER, stroke=INK, width=1.4)
    return drawing.markup()


def _stops(drawing: Drawing, view: "_View", surface: Surface, beyond_deg: float) -> None:
    """A short bar across the way of the trailing edge at each stop; the one that is passed stands out."""
    for stop in (-surface.stop_up_deg, surface.stop_down_deg):
        if abs(stop) > 0.5:
            colour = WARNING if stop * beyond_deg > 0 else QUIET
            drawing.line(*view.at(0.8, stop), *view.at(1.08, stop), stroke=colour, width=2.4)


def _title(surface: Surface, deg: float, beside_deg: float | None, *, beyond: bool) -> str:
    def told(angle: float) -> str:
        moved = direction(angle, surface.role)
        return f"{plain(abs(angle))}° {way_words(angle, surface.role)}" if moved else say("neutral")

    text = f"{surface.label}: {told(deg)}"
    if beyond:
        text = say("{told}, beyond its stop", told=text)
    return say("{told}, beside it {other}", told=text, other=told(beside_deg)) if beside_deg is not None else text


class _View:
    """Where the parts lie [px]: the chord as long as both stops allow; a rudder points down, its left to the left."""

    def __init__(self, surface: Surface, width: float, height: float) -> None:
        self.rudder = surface.role == "rudder"
        along, across = (height, width) if self.rudder else (width, height)
        stops = (surface.stop_up_deg, surface.stop_down_deg)
        up, down = (math.sin(math.radians(min(90.0, max(deg, _LEAST_DEG)))) for deg in stops)
        room = across - 2 * _MARGIN
        front = along * (0.26 if self.rudder else 0.36)
        self.chord = min((along - front) / 1.32 - 4.0, room / (up + down))
        aside = _MARGIN + (room - self.chord * (up + down)) / 2 + self.chord * up
        self.origin = (front, across / 2 if self.rudder else aside)
        self.across = across
        self.thick = min(9.0, self.chord * 0.13)
        self.hinge = self._placed(*self.origin)

    def _placed(self, along: float, aside: float) -> Point:
        return (self.across - aside, along) if self.rudder else (along, aside)

    def at(self, share: float, deg: float) -> Point:
        """The point at a share of the chord, at a deflection."""
        x, y = self.origin
        angle = math.radians(deg)
        return self._placed(x + share * self.chord * math.cos(angle), y + share * self.chord * math.sin(angle))

    def nose(self) -> list[Point]:
        """The fixed part in front of the hinge."""
        x, y = self.origin
        thick = self.thick
        points = [(x * 0.08, y), (x * 0.4, y - thick * 1.2), (x, y - thick * 0.8), (x, y + thick * 0.8)]
        return [self._placed(*point) for point in (*points, (x * 0.4, y + thick * 0.9))]

    def wedge(self, deg: float) -> list[Point]:
        """The surface."""
        root = self.thick * 0.7 / self.chord
        return [self.at(root, deg - 90), self.at(1.0, deg), self.at(root, deg + 90)]

    def bars(self, deg: float) -> list[tuple[Point, Point]]:
        """Two strokes across the trailing edge: it would go on, but is held."""
        angle = math.radians(deg)
        found = []
        for share in (1.05, 1.12):
            x, y = (self.origin[0] + share * self.chord * math.cos(angle),
                    self.origin[1] + share * self.chord * math.sin(angle))  # fmt: skip
            across = (6 * math.sin(angle), -6 * math.cos(angle))
            found.append((self._placed(x + across[0], y + across[1]), self._placed(x - across[0], y - across[1])))
        return found

    def arrow(self, deg: float) -> list[Point]:
        """A filled head beyond the trailing edge that points the way which it went."""
        sign = 1.0 if deg > 0 else -1.0
        x = self.origin[0] + self.chord * 1.22
        y = self.origin[1] + sign * max(8.0, abs(self.chord * math.sin(math.radians(deg))) * 0.5)
        return [self._placed(*point) for point in ((x, y + sign * 6), (x - 6, y - sign * 4), (x + 6, y - sign * 4))]
