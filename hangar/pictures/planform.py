"""Where the lines of a model and its surfaces lie on a picture from above [px], nose up, the left wing to the left."""

from collections.abc import Sequence
from math import cos, pi, sin, sqrt
from typing import Protocol

WIDTH, HEIGHT, MIDDLE = 640.0, 456.0, 320.0

Point = tuple[float, float]
Outline = list[Point]

_ROOT, _HALF_SPAN = 16.0, 304.0
_LEADING, _TRAILING = (140.0, 158.0), (236.0, 214.0)
"""Of the wing, at the root and near the tip."""
_TIP_FROM = 0.93
_HINGE = 0.7
"""Of the chord, where the hinge lines lie."""

# Along the half span, where each place begins and ends.
_PLACES = {"inner": (0.075, 0.345), "middle": (0.36, 0.615), "outer": (0.63, 0.93), "spoiler": (0.4, 0.6)}
_TAIL = {"conventional": 362.0, "t": 376.0}


class Placed(Protocol):
    """A surface or device by its place and side."""

    @property
    def place(self) -> str: ...
    @property
    def side(self) -> str: ...
    @property
    def role(self) -> str: ...


def _along(side: int, share: float, chord: float) -> Point:
    """A point of the wing: `share` of the half span out, `chord` of the chord back."""
    leading = _LEADING[0] + (_LEADING[1] - _LEADING[0]) * share
    trailing = _TRAILING[0] + (_TRAILING[1] - _TRAILING[0]) * share
    return MIDDLE + side * (_ROOT + (_HALF_SPAN - _ROOT) * share), leading + (trailing - leading) * chord


def _wing(side: int) -> Outline:
    """One half, its tip a quarter of an ellipse at either edge."""
    root = [_along(side, 0.0, 0.0), _along(side, _TIP_FROM, 0.0)]
    tip = []
    for n in range(1, 16):
        turn = pi * n / 16
        share = _TIP_FROM + (1 - _TIP_FROM) * sin(turn)
        tip.append(_along(side, share, 0.5 - 0.5 * cos(turn)))
    return [*root, *tip, _along(side, _TIP_FROM, 1.0), _along(side, 0.0, 1.0)]


def on_wing(side: int, place: str, start: float | None = None) -> Outline:
    """The outline of a place on one half of the wing, from `start` of the half span where it is given."""
    begin, end = _PLACES[place]
    begin = begin if start is None else start
    front, back = (0.27, 0.36) if place == "spoiler" else (_HINGE, 1.0)
    corners = ((begin, front), (end, front), (end, back), (begin, back))
    return [_along(side, share, chord) for share, chord in corners]


def surface(part: Placed, *, tail: str, places: set[str]) -> Outline:
    """The outline of a surface; empty for a device."""
    side = {"left": -1, "right": 1}.get(part.side, 0)
    if part.place in _PLACES:
        start = None
        if part.role in ("flaperon", "elevon") and "middle" not in places:
            start = _PLACES["middle"][0] if "inner" in places or part.role == "elevon" else _PLACES["inner"][0]
        return on_wing(side, part.place, start)
    if part.place == "tail" and side:
        return _panel(side, tail, _HINGE - 0.05, 1.0)
    if part.place == "tail":
        y = _TAIL.get(tail, 362.0)
        return [(MIDDLE - 84, y + 21), (MIDDLE + 84, y + 21), (MIDDLE + 76, y + 37), (MIDDLE - 76, y + 37)]
    if part.place == "canard":
        return [(MIDDLE - 74, 80), (MIDDLE + 74, 80), (MIDDLE + 68, 96), (MIDDLE - 68, 96)]
    if part.place == "fin":
        y = _fin_hinge(tail)
        return [(MIDDLE - 4.5, y), (MIDDLE + 4.5, y), (MIDDLE + 1.5, y + 30), (MIDDLE - 1.5, y + 30)]
    return []


def badge(part: Placed, outline: Sequence[Point], tail: str) -> Point:
    """Where the number of a part's channel stands."""
    if outline and part.place in _PLACES:
        x, y = _centre(outline)
        return x, y - 18 if part.place == "spoiler" else y
    if part.place == "fin":
        return MIDDLE, _fin_hinge(tail) + 38
    if part.place == "tail" and part.side != "centre":
        return _centre(outline)
    if outline:
        return MIDDLE + 52, _centre(outline)[1]
    if part.place == "motor":
        y, _ = propeller(tail)
        return MIDDLE + 62, y
    return MIDDLE, {"release": 118.0, "retract": 168.0, "wheel_brake": 218.0}[part.place]


def lead(place: str) -> float:
    """How far down the line between two parts of one channel runs: nested, so that none crosses another."""
    return {"spoiler": 128.0, "outer": 187.0, "middle": 194.0, "inner": 201.0}[place]


def _centre(outline: Sequence[Point]) -> Point:
    return sum(x for x, _ in outline) / len(outline), sum(y for _, y in outline) / len(outline)


def hinted_tail() -> Outline:
    """Where a tail could be."""
    return [*planes("conventional", 1)[1], *reversed(planes("conventional", -1)[1])]


def planes(tail: str, side: int) -> list[Outline]:
    """One half of the wing and of what else is spread out: tailplane, V-tail panel, foreplane."""
    found = [_wing(side)]
    if tail in _TAIL:
        y = _TAIL[tail]
        found.append([(MIDDLE, y), (MIDDLE + side * 78, y + 10), (MIDDLE + side * 84, y + 21),
                      (MIDDLE + side * 76, y + 37), (MIDDLE, y + 37)])  # fmt: skip
    elif tail in ("v", "inverted_v"):
        found.append(_panel(side, tail, 0.0, 1.0))
    elif tail == "canard":
        found.append([(MIDDLE, 62), (MIDDLE + side * 70, 70), (MIDDLE + side * 74, 80), (MIDDLE + side * 68, 96),
                      (MIDDLE, 96)])  # fmt: skip
    return found


def _panel(side: int, tail: str, front: float, back: float) -> Outline:
    """A panel of a V-tail, raked; of an inverted one between boom and middle."""
    root, tip = ((MIDDLE + side * 4, 346.0, 392.0), (MIDDLE + side * 92, 372.0, 406.0))
    if tail == "inverted_v":
        root, tip = ((MIDDLE + side * 2, 352.0, 396.0), (MIDDLE + side * 84, 340.0, 384.0))
    (x1, a1, b1), (x2, a2, b2) = root, tip
    return [
        (x1, a1 + (b1 - a1) * front), (x2, a2 + (b2 - a2) * front),
        (x2, a2 + (b2 - a2) * back), (x1, a1 + (b1 - a1) * back),
    ]  # fmt: skip


def booms(tail: str) -> list[Outline]:
    """The two tail booms that an inverted V-tail sits on."""
    if tail != "inverted_v":
        return []
    return [
        [(MIDDLE + side * 80, 200), (MIDDLE + side * 88, 200), (MIDDLE + side * 87, 388), (MIDDLE + side * 81, 388)]
        for side in (-1, 1)
    ]


def _ends(tail: str) -> tuple[float, float]:
    """Nose and tail of the fuselage."""
    if tail in ("canard", "inverted_v", "none"):
        return {"canard": 30.0, "inverted_v": 52.0, "none": 82.0}[tail], 268.0
    return 34.0, 398.0


def fuselage(tail: str) -> Outline:
    """Round at the nose, widest under the canopy, thin at the tail or cut off short behind the wing."""
    nose, end = _ends(tail)
    short = end < 300
    right = []
    for n in range(41):
        share = n / 40
        width = 19.0 * sqrt(max(1 - (1 - min(share / 0.28, 1.0)) ** 2, 0.0))
        after = max(share - 0.34, 0.0) / 0.66
        width *= 1 - (0.55 if short else 0.8) * (after * after * (3 - 2 * after))
        right.append((width, nose + (end - nose) * share))
    return [*((MIDDLE + w, y) for w, y in right), *((MIDDLE - w, y) for w, y in reversed(right))]


def canopy(tail: str) -> Outline:
    """A line round the canopy."""
    nose, end = _ends(tail)
    top, length = nose + 30, min((end - nose) * 0.22, 62.0)
    circle = [2 * pi * n / 32 for n in range(33)]
    return [(MIDDLE + 10 * sin(a), top + length / 2 - length / 2 * cos(a)) for a in circle]


def _fin_hinge(tail: str) -> float:
    return {"canard": 262.0, "none": 262.0}.get(tail, 396.0 if tail == "conventional" else 388.0)


def fin(tail: str) -> Outline:
    """The fin, as thin as it is from above; a V-tail has none."""
    if tail in ("v", "inverted_v"):
        return []
    y = _fin_hinge(tail)
    return [(MIDDLE, y - 44), (MIDDLE + 3.5, y - 20), (MIDDLE + 4, y), (MIDDLE - 4, y), (MIDDLE - 3.5, y - 20)]


def propeller(tail: str) -> tuple[float, bool]:
    """Where the propeller turns, and whether it pushes."""
    nose, end = _ends(tail)
    pusher = tail in ("canard", "inverted_v", "none")
    return (end + 6, True) if pusher else (nose - 5, False)


def blades(y: float) -> Outline:
    """The two blades from the edge, as one leaf."""
    half = 44.0
    turns = [2 * pi * n / 40 for n in range(40)]
    return [(MIDDLE + half * cos(a), y + 4.0 * sin(a)) for a in turns]
