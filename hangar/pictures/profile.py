"""One surface in profile: the fixed part, the hinge, and the surface at its ends, at true angles."""

import math
from collections.abc import Sequence

from hangar.pictures.svg import ACCENT, INK, PAPER, QUIET, TINT, Drawing
from hangar.pictures.words import length, plain, throw_words
from mixing.document import Surface
from mixing.language import say

_DASH = "5 3"


def profile(
    surface: Surface,
    throws_mm: tuple[float, float],
    deflections_deg: tuple[float, float],
    *,
    estimated: bool = False,
    width: float = 320,
    height: float = 180,
    type_px: float = 13,
) -> str:
    """An SVG of a surface seen along its hinge, nose to the left, deflected to two ends.

    Parameters
    ----------
    surface : Surface
        The surface; a rudder is seen from above, the others from the left wing tip.
    throws_mm, deflections_deg : (low, high)
        Throws [mm] and deflections [degrees] at the two ends, positive down (left for a rudder).
    estimated : bool
        Lead the figures by "≈".
    width, height, type_px : float
        Size of the picture and of its lettering [px].
    """
    approx = "≈" if estimated else ""
    words = [
        f"{approx}{throw_words(mm, surface.role)}, {plain(abs(deg))}°"
        for mm, deg in zip(throws_mm, deflections_deg, strict=True)
    ]
    drawing = Drawing(title=_title(surface, words), width=width, height=height)
    hinge, chord = _placed(width, height, type_px, deflections_deg)
    _fixed_part(drawing, hinge, chord)
    drawing.line(*hinge, hinge[0] + chord, hinge[1], stroke=QUIET, width=1, dash=_DASH)
    for text, deg in zip(words, deflections_deg, strict=True):
        _end(drawing, hinge, chord, deg, text, type_px)
    drawing.circle(*hinge, 4, fill=PAPER, stroke=INK, width=1.6)
    return drawing.markup()


def _title(surface: Surface, words: Sequence[str]) -> str:
    told = {"surface": surface.label, "low": words[0], "high": words[1], "chord": length(surface.chord_mm)}
    if surface.role == "rudder":
        return say("{surface} seen from above: {low}; {high}; chord {chord}", **told)
    return say("{surface} seen from the side: {low}; {high}; chord {chord}", **told)


def _placed(
    width: float, height: float, type_px: float, deflections_deg: tuple[float, float]
) -> tuple[tuple[float, float], float]:
    """The hinge and the length of the surface [px] at which both ends and their figures fit the picture."""
    depths = [math.sin(math.radians(deg)) for deg in deflections_deg]
    up, down = max(0.0, -min(depths)), max(0.0, *depths)
    margin = type_px * 1.7
    chord = min(width * 0.5, (height - 2 * margin) / max(up + down, 0.1))
    # In the middle of the room that is left, so that a flap which only goes down hangs from the upper part.
    y = (height + (up - down) * chord) / 2
    return (width * 0.3, y), chord


def _fixed_part(drawing: Drawing, hinge: tuple[float, float], chord: float) -> None:
    x, y = hinge
    thick = min(chord * 0.16, drawing.height * 0.12)
    upper = [(8, y), (x * 0.3, y - thick), (x, y - thick * 0.55)]
    drawing.polygon([*upper, (x, y + thick * 0.55), (x * 0.3, y + thick * 0.7)], fill=PAPER, stroke=INK, width=1.6)


def _end(drawing: Drawing, hinge: tuple[float, float], chord: float, deg: float, text: str, type_px: float) -> None:
    angle = math.radians(deg)
    tip = (hinge[0] + chord * math.cos(angle), hinge[1] + chord * math.sin(angle))
    thick = chord * 0.05
    root = (thick * math.sin(angle), thick * math.cos(angle))
    drawing.polygon(
        [(hinge[0] + root[0], hinge[1] - root[1]), tip, (hinge[0] - root[0], hinge[1] + root[1])],
        fill=TINT, stroke=ACCENT, width=1.3,
    )  # fmt: skip
    arc = [
        (hinge[0] + chord * math.cos(angle * i / 24), hinge[1] + chord * math.sin(angle * i / 24)) for i in range(25)
    ]
    drawing.polyline(arc, stroke=QUIET, width=0.9)
    below = deg > 0
    drawing.text(hinge[0], tip[1] + (type_px * 1.1 if below else -type_px * 0.5), text, size=type_px, weight=600)
