"""Where the lines of an airframe and its surfaces lie on a picture from behind."""

from collections.abc import Sequence
from dataclasses import dataclass

from hangar.pictures.svg import text_width
from mixing.document import Setup, Surface

WING = ("flap", "flaperon", "spoiler", "other", "elevon", "aileron")
TAILPLANE = "elevator"
VEE = ("ruddervator", "ruddervator_inverted")

Point = tuple[float, float]


@dataclass(frozen=True)
class Place:
    """Where one surface sits on the picture.

    `start` and `end` are the ends of its hinge line; `normal` is the unit vector on the picture in which its trailing
    edge goes when the throw is positive. The figure goes beyond the trailing edge, or where `outside` is true beside
    `end`.
    """

    surface: Surface
    start: Point
    end: Point
    normal: Point
    outside: bool = False


def abreast(setup: Setup) -> int:
    """How many surfaces stand side by side on one wing."""
    return max(sum(s.role in WING and s.side == side for s in setup.surfaces) for side in ("left", "right"))


class Sketch:
    """The lines of the airframe and the places of its surfaces on a picture of a given size [px]."""

    def __init__(self, setup: Setup, width: float, height: float, type_px: float, margin: float = 0.0) -> None:
        self.width, self.height = width, height
        self.cx = width / 2
        self.roles = {surface.role for surface in setup.surfaces}
        centre_fin = any(s.role == "rudder" and s.side == "centre" for s in setup.surfaces)
        self.has_tail = centre_fin or bool(self.roles & {TAILPLANE, *VEE})
        winglets = any(s.role == "rudder" and s.side != "centre" for s in setup.surfaces) and not self.has_tail
        self.span = width * (0.4 if winglets else 0.49)
        self.radius = min(height * 0.055, width * 0.03)
        self.root = self.radius + width * 0.02
        slot = (self.span * 0.97 - self.root) / max(abreast(setup), 1)
        self.crowded = slot < text_width("00.0 ↓", type_px)
        self._heights(type_px, height - margin)
        self.body = (self.cx, self.wing_y)
        self.lines: list[tuple[Point, Point]] = []
        self.places: list[Place] = []
        self._wing(setup.surfaces)
        self._tailplane([s for s in setup.surfaces if s.role == TAILPLANE])
        self._vee([s for s in setup.surfaces if s.role in VEE])
        self._canard([s for s in setup.surfaces if s.role == "canard"])
        self._fins([s for s in setup.surfaces if s.role == "rudder"])

    def _heights(self, type_px: float, height: float) -> None:
        """The wing stands as low as the largest throw and the figures below it allow."""
        canard = "canard" in self.roles
        self.tip_rise = height * 0.06
        self.deepest = height * (0.15 if self.has_tail or canard else 0.22)
        below = self.deepest + type_px * (1.3 + self.crowded)
        # A canard is drawn below the wing, as seen past the tail of a model that is held nose down a little.
        self.canard_y = height - self.deepest - type_px * 0.6
        self.wing_y = self.canard_y - below if canard else height - below
        self.tail_y = self.wing_y * 0.45

    def _wing(self, surfaces: Sequence[Surface]) -> None:
        for side, sign in (("left", -1), ("right", 1)):
            self.lines.append(((self.cx + sign * self.radius, self.wing_y), self._on_wing(sign * self.span)))
            row = sorted((s for s in surfaces if s.role in WING and s.side == side), key=lambda s: WING.index(s.role))
            room = self.span * 0.97 - self.root
            for i, surface in enumerate(row):
                inner = self._on_wing(sign * (self.root + room * i / len(row)))
                outer = self._on_wing(sign * (self.root + room * (i + 1) / len(row) - self.width * 0.012))
                self.places.append(Place(surface, inner, outer, (0, 1)))
        half = self.width * 0.06
        for surface in surfaces:
            if surface.role in WING and surface.side == "centre":
                self.places.append(Place(surface, self._on_wing(-half), self._on_wing(half), (0, 1)))

    def _on_wing(self, x: float) -> Point:
        return self.cx + x, self.wing_y - abs(x) / self.span * self.tip_rise

    def _tailplane(self, surfaces: Sequence[Surface]) -> None:
        if surfaces:
            self.lines.append(((self.cx, self.wing_y - self.radius), (self.cx, self.tail_y)))
        self._across(surfaces, self.tail_y, self.width * 0.16)

    def _canard(self, surfaces: Sequence[Surface]) -> None:
        if surfaces:
            self.lines.append(((self.cx, self.wing_y + self.radius), (self.cx, self.canard_y)))
        self._across(surfaces, self.canard_y, self.width * 0.14)

    def _across(self, surfaces: Sequence[Surface], y: float, half: float) -> None:
        """A plane across the middle, its figures at its tips."""
        for surface in surfaces:
            self.lines.append(((self.cx - half, y), (self.cx + half, y)))
            start, end = {"centre": (-half, half), "left": (-2.0, -half), "right": (2.0, half)}[surface.side]
            self.places.append(Place(surface, (self.cx + start, y), (self.cx + end, y), (0, 1), outside=True))

    def _vee(self, surfaces: Sequence[Surface]) -> None:
        for surface in surfaces:
            sign = -1 if surface.side == "left" else 1
            upright = surface.role == "ruddervator"
            root = (self.cx, (self.wing_y - self.radius) if upright else self.height * 0.1)
            tip = (self.cx + sign * self.width * 0.13, self.height * 0.14 if upright else self.wing_y * 0.62)
            if not upright:
                self.lines.append(((self.cx, self.wing_y - self.radius), root))
            self.lines.append((root, tip))
            dx, dy = tip[0] - root[0], tip[1] - root[1]
            length = (dx * dx + dy * dy) ** 0.5
            start = (root[0] + dx * 0.15, root[1] + dy * 0.15)
            normal = (-dy / length * sign, dx / length * sign)
            self.places.append(Place(surface, start, tip, normal, outside=True))

    def _fins(self, surfaces: Sequence[Surface]) -> None:
        top = self.height * 0.05
        on_tail = TAILPLANE in self.roles
        for surface in surfaces:
            sign = {"left": -1, "centre": 0, "right": 1}[surface.side]
            x = self.cx + sign * (self.width * 0.16 if on_tail else self.span)
            base = self.wing_y - (self.tip_rise if sign else self.radius)
            if sign and on_tail:
                base = self.tail_y + self.height * 0.1
            self.lines.append(((x, base), (x, top)))
            lower = self.tail_y - 2 if on_tail and not sign else top + (base - top) * 0.9
            self.places.append(Place(surface, (x, lower), (x, top), (-1, 0)))
