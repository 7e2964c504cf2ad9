"""The model from above, nose up, with every surface and device where it sits and the number of its channel.

Not to scale, and always the same model: what changes is what is put on it. A place that could carry a surface and does
not is drawn as a broken line.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Protocol

from hangar.pictures import planform
from hangar.pictures.planform import HEIGHT, MIDDLE, WIDTH, Outline, Placed, Point
from hangar.pictures.svg import ACCENT, HAIRLINE, INK, PAPER, QUIET, TINT, Drawing, text_width
from mixing.language import say


class Drawn(Placed, Protocol):
    """What a part must say of itself to be drawn: where it sits, its name and its channel."""

    @property
    def label(self) -> str: ...
    @property
    def channel(self) -> int: ...


def plan_view(parts: Sequence[Drawn], *, tail: str, engine: bool = False, type_px: float = 15) -> str:
    """An SVG of the model from above.

    Parameters
    ----------
    parts : sequence of Drawn
        Surfaces and devices; `place` is outer, middle, inner, spoiler, tail, canard, fin, motor, release, retract or
        wheel_brake. Parts with one channel are joined by a line: a Y-lead, or one servo.
    tail : str
        conventional, t, v, inverted_v, canard or none.
    engine : bool
        Draw a cylinder behind the propeller.
    type_px : float
        Size of the lettering [px] on a picture that is 640 px wide.
    """
    drawing = Drawing(title=_title(parts), width=WIDTH, height=HEIGHT)
    there = {part.place for part in parts}
    _airframe(drawing, tail, there)
    if "motor" in there:
        _propeller(drawing, tail, engine=engine)
    badges: list[tuple[Point, Drawn]] = []
    for part in parts:
        outline = planform.surface(part, tail=tail, places=there)
        if outline:
            drawing.polygon(outline, fill=TINT, stroke=ACCENT, width=2)
        badges.append((planform.badge(part, outline, tail), part))
    _leads(drawing, badges)
    for (x, y), part in badges:
        _badge(drawing, x, y, str(part.channel), type_px)
    return drawing.markup()


def _title(parts: Iterable[Drawn]) -> str:
    told = "; ".join(say("{part}, channel {channel}", part=part.label, channel=part.channel) for part in parts)
    return say("The model from above, not to scale: {parts}", parts=told or say("nothing that moves yet"))


def _airframe(drawing: Drawing, tail: str, there: set[str]) -> None:
    for boom in planform.booms(tail):
        drawing.polygon(boom, fill=PAPER, stroke=INK, width=1.6)
    for side in (-1, 1):
        for plane in planform.planes(tail, side):
            drawing.polygon(plane, fill=PAPER, stroke=INK, width=1.8)
    for place in ("inner", "middle", "outer"):
        if place not in there:
            for side in (-1, 1):
                _hint(drawing, planform.on_wing(side, place))
    if tail == "none":
        _hint(drawing, planform.hinted_tail())
    drawing.polygon(planform.fuselage(tail), fill=PAPER, stroke=INK, width=1.8)
    drawing.polyline(planform.canopy(tail), stroke=HAIRLINE, width=1.6)
    fin = planform.fin(tail)
    if fin:
        drawing.polygon(fin, fill=PAPER, stroke=INK, width=1.4)


def _hint(drawing: Drawing, outline: Outline) -> None:
    drawing.polyline([*outline, outline[0]], stroke=QUIET, width=1.2, dash="3 5")


def _propeller(drawing: Drawing, tail: str, *, engine: bool) -> None:
    y, backward = planform.propeller(tail)
    sign = 1 if backward else -1
    drawing.polygon(planform.blades(y), fill=PAPER, stroke=INK, width=1.5)
    if engine:
        drawing.polygon(
            [(MIDDLE - 20, y - sign * 10), (MIDDLE + 20, y - sign * 10), (MIDDLE + 20, y - sign * 22),
             (MIDDLE - 20, y - sign * 22)], fill=PAPER, stroke=INK, width=1.5,
        )  # fmt: skip


def _leads(drawing: Drawing, badges: Sequence[tuple[Point, Drawn]]) -> None:
    """A line between parts of one channel."""
    for (place, part), (other_place, other) in pairwise(badges):
        if part.channel == other.channel:
            (x1, y1), (x2, y2) = place, other_place
            bend = planform.lead(part.place)
            drawing.polyline([(x1, y1), (x1, bend), (x2, bend), (x2, y2)], stroke=ACCENT, width=1.6, dash="6 4")


def _badge(drawing: Drawing, x: float, y: float, number: str, size: float) -> None:
    radius = max(size * 0.72, text_width(number, size) * 0.5 + size * 0.28)
    drawing.circle(x, y, radius, fill=ACCENT, stroke=PAPER, width=2)
    drawing.text(x, y + size * 0.35, number, size=size, anchor="middle", weight=600, fill=PAPER)
