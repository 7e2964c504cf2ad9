"""The model seen from behind, with a throw written at every surface.

The view is the one the pilot has when checking directions: left is left, a trailing edge that goes down is drawn
down. Spans and throws are not to scale; the largest throw fills the room there is, small ones stay visible.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from hangar.pictures.svg import ACCENT, INK, PAPER, QUIET, Drawing, shorten, text_width
from hangar.pictures.words import throw_figure, throw_words
from mixing.document import Setup, Surface

TINT = "#d3e3e6"
_WING = ("flap", "flaperon", "spoiler", "other", "elevon", "aileron")
_TAILPLANE = ("elevator",)
_VEE = ("ruddervator", "ruddervator_inverted")
_SMALLEST_PX = 4.0

Point = tuple[float, float]


@dataclass(frozen=True)
class Place:
    """Where one surface sits on the picture.

    `start` and `end` are the ends of its hinge line; `normal` is the unit vector on the picture in which its trailing
    edge goes when the throw is positive; `text` says where the figure goes: beyond the trailing edge, or outside `end`.
    """

    surface: Surface
    start: Point
    end: Point
    normal: Point
    text: str = "beyond"


def from_behind(
    setup: Setup,
    throws_mm: Mapping[str, Sequence[float]],
    *,
    title: str,
    estimated: Collection[str] = (),
    names: bool = False,
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
    width, height, type_px : float
        Size of the picture and of its lettering [px].
    """
    drawing = Drawing(title=_title(setup, throws_mm, title, estimated), width=width, height=height)
    sketch = Sketch(setup, width, height, type_px)
    for start, end in sketch.lines:
        drawing.line(*start, *end, stroke=INK, width=1.6)
    drawing.circle(*sketch.body, sketch.radius, fill=PAPER, stroke=INK, width=1.6)
    largest = max((abs(t) for throws in throws_mm.values() for t in throws), default=0) or 1
    for index, place in enumerate(sketch.places):
        throws = throws_mm.get(place.surface.key, ())
        for throw in throws:
            if throw_figure(throw, place.surface.role) != "0":
                depth = max(abs(throw) / largest * sketch.deepest, _SMALLEST_PX)
                _draw_surface(drawing, place, depth if throw > 0 else -depth)
                approx = "≈" if place.surface.key in estimated else ""
                figure = approx + throw_figure(throw, place.surface.role)
                _write(drawing, place, depth if throw > 0 else -depth, figure, type_px, index, both=len(throws) > 1)
        if names:
            _name(drawing, place, sketch, type_px)
    return drawing.markup()


def _title(setup: Setup, throws_mm: Mapping[str, Sequence[float]], title: str, estimated: Collection[str]) -> str:
    parts = []
    for surface in setup.surfaces:
        words = [throw_words(t, surface.role) for t in throws_mm.get(surface.key, ())]
        told = [word for word in words if word != "neutral"]
        if told:
            note = " (estimated)" if surface.key in estimated else ""
            parts.append(f"{surface.label} {' and '.join(told)}{note}")
    return f"{title}, seen from behind, not to scale: {'; '.join(parts) or 'every surface neutral'}"


class Sketch:
    """The lines of the airframe and the places of its surfaces on a picture of a given size."""

    def __init__(self, setup: Setup, width: float, height: float, type_px: float) -> None:
        self.width, self.height = width, height
        self.cx = width / 2
        self.roles = {surface.role for surface in setup.surfaces}
        centre_fin = any(s.role == "rudder" and s.side == "centre" for s in setup.surfaces)
        self.has_tail = centre_fin or bool(self.roles & {*_TAILPLANE, *_VEE})
        below = 2.6 if any(s.role == "canard" for s in setup.surfaces) else 1.3
        self.tip_rise = height * 0.06
        self.deepest = height * (0.15 if self.has_tail else 0.22)
        # Room below for the largest throw and its figure.
        self.wing_y = height - self.deepest - type_px * below
        self.radius = min(height * 0.055, width * 0.03)
        self.body = (self.cx, self.wing_y)
        self.lines: list[tuple[Point, Point]] = []
        self.places: list[Place] = []
        self._wing(setup.surfaces)
        self._tailplane([s for s in setup.surfaces if s.role in _TAILPLANE])
        self._vee([s for s in setup.surfaces if s.role in _VEE])
        self._canard([s for s in setup.surfaces if s.role == "canard"])
        self._fins([s for s in setup.surfaces if s.role == "rudder"])

    def _wing(self, surfaces: Sequence[Surface]) -> None:
        tip = self.width * 0.49
        for sign in (-1, 1):
            start = (self.cx + sign * self.radius, self.wing_y)
            self.lines.append((start, (self.cx + sign * tip, self.wing_y - self.tip_rise)))
        for side, sign in (("left", -1), ("right", 1)):
            row = sorted((s for s in surfaces if s.role in _WING and s.side == side), key=lambda s: _WING.index(s.role))
            root, room = self.radius + self.width * 0.02, tip * 0.97 - self.radius - self.width * 0.02
            for i, surface in enumerate(row):
                a, b = root + room * i / len(row), root + room * (i + 1) / len(row) - self.width * 0.012
                self.places.append(Place(surface, self._on_wing(sign * a), self._on_wing(sign * b), (0, 1)))
        for surface in surfaces:
            if surface.role in _WING and surface.side == "centre":
                half = self.width * 0.06
                self.places.append(Place(surface, self._on_wing(-half), self._on_wing(half), (0, 1)))

    def _on_wing(self, x: float) -> Point:
        return self.cx + x, self.wing_y - abs(x) / (self.width * 0.49) * self.tip_rise

    def _tailplane(self, surfaces: Sequence[Surface]) -> None:
        if not surfaces:
            return
        y, half = self.height * 0.33, self.width * 0.16
        self.lines.append(((self.cx - half, y), (self.cx + half, y)))
        if not any(s.role == "rudder" for s in surfaces):
            self.lines.append(((self.cx, self.wing_y - self.radius), (self.cx, y)))
        for surface in surfaces:
            start, end = {"centre": (-half, half), "left": (-2.0, -half), "right": (2.0, half)}[surface.side]
            self.places.append(Place(surface, (self.cx + start, y), (self.cx + end, y), (0, 1), "outside"))

    def _vee(self, surfaces: Sequence[Surface]) -> None:
        for surface in surfaces:
            sign = -1 if surface.side == "left" else 1
            upright = surface.role == "ruddervator"
            root_y = self.wing_y - self.radius if upright else self.height * 0.12
            tip = (self.cx + sign * self.width * 0.13, self.height * (0.16 if upright else 0.46))
            root = (self.cx + sign * (self.radius * 0.6 if upright else 0.0), root_y)
            if not upright:
                self.lines.append(((self.cx, self.wing_y - self.radius), (self.cx, root_y)))
            self.lines.append((root, tip))
            dx, dy = tip[0] - root[0], tip[1] - root[1]
            length = (dx * dx + dy * dy) ** 0.5
            normal = (-dy / length * sign, dx / length * sign)
            start = (root[0] + dx * 0.15, root[1] + dy * 0.15)
            self.places.append(Place(surface, start, tip, normal, "outside"))

    def _canard(self, surfaces: Sequence[Surface]) -> None:
        y, half = self.height * 0.95, self.width * 0.14
        for surface in surfaces:
            self.lines.append(((self.cx - half, y), (self.cx + half, y)))
            start, end = {"centre": (-half, half), "left": (-2.0, -half), "right": (2.0, half)}[surface.side]
            self.places.append(Place(surface, (self.cx + start, y), (self.cx + end, y), (0, 1), "outside"))

    def _fins(self, surfaces: Sequence[Surface]) -> None:
        top = self.height * 0.06
        for surface in surfaces:
            if surface.side == "centre":
                x, base = self.cx, self.wing_y - self.radius
            else:
                sign = -1 if surface.side == "left" else 1
                at_tail = bool(self.roles & set(_TAILPLANE))
                x = self.cx + sign * self.width * (0.16 if at_tail else 0.485)
                base = self.height * 0.45 if at_tail else self.wing_y - self.tip_rise
            self.lines.append(((x, base), (x, top)))
            lower = top + (base - top) * (0.42 if "elevator" in self.roles and surface.side == "centre" else 0.9)
            self.places.append(Place(surface, (x, lower), (x, top), (-1, 0)))


def _draw_surface(drawing: Drawing, place: Place, depth: float) -> None:
    (ax, ay), (bx, by), (nx, ny) = place.start, place.end, place.normal
    inset = 0.06
    cx, cy = ax + (bx - ax) * inset + nx * depth, ay + (by - ay) * inset + ny * depth
    dx, dy = bx - (bx - ax) * inset + nx * depth, by - (by - ay) * inset + ny * depth
    drawing.polygon([(ax, ay), (bx, by), (dx, dy), (cx, cy)], fill=TINT, stroke=ACCENT, width=1.3)


def _write(
    drawing: Drawing, place: Place, depth: float, figure: str, type_px: float, index: int, *, both: bool
) -> None:
    (ax, ay), (bx, by), (nx, ny) = place.start, place.end, place.normal
    if place.text == "outside":
        sign = 1 if bx >= drawing.width / 2 else -1
        x = bx + nx * depth * 0.5 + sign * (6 + abs(nx * depth) * 0.5)
        away = 0.62 if both else 0.4 if abs(depth) >= type_px else 0.0
        y = by + type_px * (0.34 + away * (1 if ny * depth > 0 else -1))
        drawing.text(x, y, figure, size=type_px, anchor="start" if sign > 0 else "end", weight=600)
        return
    mx, my = (ax + bx) / 2 + nx * depth, (ay + by) / 2 + ny * depth
    if nx:
        outward = 1 if nx * depth > 0 else -1
        anchor = "start" if outward > 0 else "end"
        drawing.text(mx + outward * 4, my + type_px * 0.2, figure, size=type_px, weight=600, anchor=anchor)
        return
    crowded = text_width(figure, type_px) > abs(bx - ax) and index % 2 == 1
    gap = 3 + (type_px if crowded else 0)
    y = my + gap + type_px * 0.72 if depth > 0 else my - gap
    drawing.text(mx, y, figure, size=type_px, anchor="middle", weight=600)


def _name(drawing: Drawing, place: Place, sketch: Sketch, type_px: float) -> None:
    (ax, _), (bx, by), (nx, _) = place.start, place.end, place.normal
    small = type_px * 0.85
    if place.text == "outside" or nx:
        sign = 1 if bx >= sketch.cx else -1
        drawing.text(
            bx + sign * 6, by + type_px * (1.4 if not nx else 0.2), place.surface.label, size=small,
            anchor="start" if sign > 0 else "end", fill=QUIET,
        )  # fmt: skip
        return
    y = sketch.height - small * 0.4
    label = shorten(place.surface.label, abs(bx - ax) + 6, small)
    drawing.text((ax + bx) / 2, y, label, size=small, anchor="middle", fill=QUIET)
