"""The model seen from behind, with a throw written at every surface.

The view is the one the pilot has when checking directions: left is left, a trailing edge that goes down is drawn
down. Spans and throws are not to scale; the largest throw fills the room there is, small ones stay visible.
"""

from collections.abc import Collection, Mapping, Sequence

from hangar.pictures.sketch import Place, Sketch
from hangar.pictures.svg import ACCENT, INK, PAPER, QUIET, TINT, Drawing, shorten, text_width
from hangar.pictures.words import is_nothing, throw_figure, throw_words
from mixing import wording
from mixing.document import Setup
from mixing.language import say

_SMALLEST_PX = 4.0


def from_behind(
    setup: Setup,
    throws_mm: Mapping[str, Sequence[float]],
    *,
    title: str,
    estimated: Collection[str] = (),
    names: bool = False,
    full_mm: float = 0.0,
    beside_mm: Mapping[str, float] | None = None,
    width: float = 640,
    height: float = 240,
    type_px: float = 13,
) -> str:
    """An SVG of the model from behind.

    Parameters
    ----------
    setup : Setup
        Its surfaces say what is drawn: wing, tail of any kind, fins.
    throws_mm : mapping
        {surface key: throws}: one throw for a momentary state, two for the ends of its movement. Surfaces left out
        and throws that round to nothing are drawn at neutral, without a figure.
    title : str
        What state is shown; the throws are added to it in words.
    estimated : collection of str
        Keys of surfaces whose throw is an estimate: their figure is led by "≈".
    names : bool
        Write the surfaces' names as well.
    full_mm : float
        The throw that fills the room there is [mm], so that pictures of one model share a scale; where 0, or where
        some throw is larger, the largest throw fills it.
    beside_mm : mapping, optional
        {surface key: throw} of another setup at the same place of the controls: dashed outlines without figures.
    width, height, type_px : float
        Size of the picture and of its lettering [px].
    """
    drawing = Drawing(title=_title(setup, throws_mm, title, estimated), width=width, height=height)
    # Names of wing surfaces take a line of their own along the lower edge.
    sketch = Sketch(setup, width, height, type_px, margin=type_px * 1.1 if names else 0.0)
    drawing.lines(sketch.lines, stroke=INK, width=1.6)
    drawing.circle(*sketch.body, sketch.radius, fill=PAPER, stroke=INK, width=1.6)
    shown = [t for throws in throws_mm.values() for t in throws] + list((beside_mm or {}).values())
    largest = max((abs(t) for t in shown), default=0)
    largest = max(largest, full_mm) or 1
    figures = _Figures(drawing, type_px)
    for place in sketch.places:
        throws = throws_mm.get(place.surface.key, ())
        other = (beside_mm or {}).get(place.surface.key)
        if other is not None and any(abs(other - throw) > 0.05 for throw in throws):
            outline = _outline(place, other / largest * sketch.deepest)
            drawing.polyline([*outline, outline[0]], stroke=INK, width=1.4, dash="4 3")
        approx = "≈" if place.surface.key in estimated else ""
        for throw in throws:
            if not is_nothing(throw):
                _draw_throw(figures, place, throw, other, sketch.deepest / largest, approx, both=len(throws) > 1)
        if names:
            _name(drawing, place, sketch, type_px)
    return drawing.markup()


def _title(setup: Setup, throws_mm: Mapping[str, Sequence[float]], title: str, estimated: Collection[str]) -> str:
    parts = []
    for surface in setup.surfaces:
        told = [throw_words(t, surface.role) for t in throws_mm.get(surface.key, ()) if not is_nothing(t)]
        if told:
            part = f"{surface.label} {wording.together(told)}"
            parts.append(say("{part} (estimated)", part=part) if surface.key in estimated else part)
    throws = "; ".join(parts) or say("every surface neutral")
    return say("{title}, seen from behind, not to scale: {throws}", title=title, throws=throws)


def _outline(place: Place, depth: float) -> list[tuple[float, float]]:
    (ax, ay), (bx, by), (nx, ny) = place.start, place.end, place.normal
    inset = 0.06
    cx, cy = ax + (bx - ax) * inset + nx * depth, ay + (by - ay) * inset + ny * depth
    dx, dy = bx - (bx - ax) * inset + nx * depth, by - (by - ay) * inset + ny * depth
    return [(ax, ay), (bx, by), (dx, dy), (cx, cy)]


class _Figures:
    """Writes figures beside their surfaces; one that would cover another moves away from the wing, line by line."""

    def __init__(self, drawing: Drawing, type_px: float) -> None:
        self.drawing, self.type_px = drawing, type_px
        self.taken: list[tuple[float, float, float]] = []

    def write(self, place: Place, depth: float, figure: str, *, both: bool) -> None:
        """Write `figure` for a trailing edge that lies `depth` px from the hinge line along the place's normal."""
        (ax, ay), (bx, by), (nx, ny) = place.start, place.end, place.normal
        size = self.type_px
        if place.outside:
            sign = 1 if bx >= self.drawing.width / 2 else -1
            x = bx + nx * depth * 0.5 + sign * (6 + abs(nx * depth) * 0.5)
            away = 0.62 if both else 0.4 if abs(depth) >= size else 0.0
            self._put(x, by + size * (0.34 + away * (1 if ny * depth > 0 else -1)), figure, sign, 0)
            return
        mx, my = (ax + bx) / 2 + nx * depth, (ay + by) / 2 + ny * depth
        if nx:
            outward = 1 if nx * depth > 0 else -1
            end = mx + outward * (4 + text_width(figure, size))
            # Beyond a fin at the edge of the picture there is no room: the figure then stands on the other side.
            start, side = (mx, outward) if 0 <= end <= self.drawing.width else (ax, -outward)
            self._put(start + side * 4, my + size * 0.2, figure, side, 0)
        else:
            self._put(mx, my + 3 + size * 0.72 if depth > 0 else my - 3, figure, 0, 1 if depth > 0 else -1)

    def _put(self, x: float, y: float, figure: str, side: int, step: int) -> None:
        wide = text_width(figure, self.type_px)
        left = x - wide * {1: 0.0, 0: 0.5, -1: 1.0}[side]
        left = min(max(left, 0.0), self.drawing.width - wide)
        while step and any(self._meets(left, wide, y, other) for other in self.taken):
            y += step * self.type_px * 0.25
        self.taken.append((left, left + wide, y))
        self.drawing.text(left, y, figure, size=self.type_px, weight=600)

    def _meets(self, left: float, wide: float, y: float, other: tuple[float, float, float]) -> bool:
        return left < other[1] + 2 and other[0] < left + wide + 2 and abs(y - other[2]) < self.type_px * 0.9


def _draw_throw(
    figures: _Figures, place: Place, throw: float, other: float | None, px_per_mm: float, approx: str, *, both: bool
) -> None:
    """A surface away from neutral, with its figure; `other` is the throw whose outline is drawn there too."""
    depth = max(abs(throw) * px_per_mm, _SMALLEST_PX) * (1 if throw > 0 else -1)
    figures.drawing.polygon(_outline(place, depth), fill=TINT, stroke=ACCENT, width=1.3)
    if other is not None and other * throw > 0 and abs(other) > abs(throw):
        # Beyond the outline of the other setup, which the figure would else cover.
        depth = other * px_per_mm
    figures.write(place, depth, approx + throw_figure(throw, place.surface.role), both=both)


def _name(drawing: Drawing, place: Place, sketch: Sketch, type_px: float) -> None:
    """The surface's name: along the lower edge for the wing, beside the tail surfaces beyond their figures."""
    (ax, _), (bx, by), (nx, _) = place.start, place.end, place.normal
    small = type_px * 0.85
    if not place.outside and not nx:
        label = shorten(place.surface.label, abs(bx - ax) + 6, small)
        drawing.text((ax + bx) / 2, sketch.height - small * 0.4, label, size=small, anchor="middle", fill=QUIET)
        return
    sign = 1 if bx >= sketch.cx else -1
    # Above the figures of a surface that shows both ends, and past a rudder's trailing edge.
    x, y = (
        (bx + sign * 6, by - type_px * 0.95) if place.outside else (bx + sign * (sketch.deepest + 6), by + small * 0.6)
    )
    drawing.text(x, y, place.surface.label, size=small, anchor="start" if sign > 0 else "end", fill=QUIET)
