"""A polyline plot over the travel of a control, labelled at the ends of its lines.

Lines differ by dash pattern and by the name written at their end, so that the plot reads on a grey printer.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hangar.pictures.svg import ACCENT, HAIRLINE, INK, PAPER, QUIET, Drawing, broken, shorten, text_width, thinned
from mixing.wording import given, typeset

DASHES: tuple[str | None, ...] = (None, "7 3", "2 3", "9 3 2 3", "13 4", "4 2", "12 3 2 3 2 3", "1 5")
_GRID = (-100.0, -50.0, 0.0, 50.0, 100.0)


@dataclass(frozen=True)
class Curve:
    """One line of a plot.

    Parameters
    ----------
    label : str
        What is written at the end of the line.
    points : sequence of (x, y)
        Control [%], and the value in the plot's unit; x ascending.
    dots : sequence of (x, y)
        Stations to mark.
    ends : (str, str)
        The values in words at the low and the high end of the control.
    """

    label: str
    points: Sequence[tuple[float, float]]
    dots: Sequence[tuple[float, float]] = ()
    ends: tuple[str, str] = ("", "")


@dataclass(frozen=True)
class Axes:
    """How a plot is written upon.

    Parameters
    ----------
    low, high : str
        Names of the control's ends, under the axis.
    caption : str
        The quantity and its unit, above the plot.
    flip : bool
        Draw positive values downwards: a trailing edge that goes down then goes down on the picture.
    """

    low: str
    high: str
    caption: str
    flip: bool = False


@dataclass(frozen=True)
class Area:
    """Where the axes lie on the picture, and how values become pixels."""

    left: float
    right: float
    top: float
    bottom: float
    low: float
    high: float
    flip: bool

    def x(self, value: float) -> float:
        return self.left + (value + 100) / 200 * (self.right - self.left)

    def y(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return self.top + (share if self.flip else 1 - share) * (self.bottom - self.top)


def nice_step(span: float, most: int = 5) -> float:
    """The smallest step of 1, 2 or 5 times a power of ten that divides `span` into at most `most` parts.

    >>> nice_step(23.0), nice_step(0.7)
    (5.0, 0.2)
    """
    raw = span / most
    power = 10.0 ** math.floor(math.log10(raw))
    return next(step * power for step in (1, 2, 5, 10) if step * power >= raw * (1 - 1e-9))


def plot(
    curves: Sequence[Curve],
    axes: Axes,
    *,
    title: str,
    width: float,
    height: float,
    type_px: float,
    mark: float | None = None,
) -> str:
    """An SVG of `curves` over −100 … 100 % of a control; `mark` is where the control stands, as an upright line.

    The names stand at the end of the control where the lines are furthest apart; names that would overlap are moved
    apart and joined to their line by a hairline.
    """
    drawing = Drawing(title=title, width=width, height=height)
    at_left = _spread(curves, 0) > _spread(curves, -1)
    frame = _frame(curves, axes, at_left, width, height, type_px)
    draw_grid(drawing, axes, frame, type_px)
    for curve, dash in zip(curves, _cycle(len(curves)), strict=True):
        points = thinned([(frame.x(x), frame.y(y)) for x, y in curve.points])
        drawing.polyline(points, stroke=ACCENT, width=1.8, dash=dash)
    for curve in curves:
        for x, y in curve.dots:
            drawing.circle(frame.x(x), frame.y(y), 2.6, fill=PAPER, stroke=ACCENT, width=1.6)
    if mark is not None:
        _draw_mark(drawing, curves, frame, mark)
    _draw_labels(drawing, curves, frame, at_left, type_px)
    return drawing.markup()


def _draw_mark(drawing: Drawing, curves: Sequence[Curve], frame: Area, mark: float) -> None:
    """Where the control stands now, with a full dot on every line."""
    drawing.line(frame.x(mark), frame.top, frame.x(mark), frame.bottom, stroke=INK, width=1.6)
    for curve in curves:
        y = float(np.interp(mark, [x for x, _ in curve.points], [y for _, y in curve.points]))
        drawing.circle(frame.x(mark), frame.y(y), 4, fill=INK)


def _cycle(count: int) -> list[str | None]:
    return [DASHES[i % len(DASHES)] for i in range(count)]


def _spread(curves: Sequence[Curve], end: int) -> float:
    values = [curve.points[end][1] for curve in curves]
    return max(values) - min(values) if len(values) > 1 else abs(values[0]) if values else 0


def _label(curve: Curve, at_left: bool) -> tuple[str, str]:
    return curve.label, curve.ends[0 if at_left else 1]


def _frame(curves: Sequence[Curve], axes: Axes, at_left: bool, width: float, height: float, type_px: float) -> Area:
    values = [y for curve in curves for _, y in curve.points] + [0.0]
    low, high = min(values), max(values)
    if high - low < 1e-9:
        low, high = low - 1, high + 1
    step = nice_step(high - low)
    ticks = text_width("−100", type_px * 0.9) + 7
    names = max([text_width(part, type_px) for curve in curves for part in _label(curve, at_left)], default=0) + 16
    names = min(names, width * 0.42)
    left, right = (names + 4, width - ticks) if at_left else (ticks, width - names)
    return Area(
        left=left, right=right, top=type_px * 2.0, bottom=height - type_px * 2.7,
        low=math.floor(low / step + 1e-9) * step, high=math.ceil(high / step - 1e-9) * step, flip=axes.flip,
    )  # fmt: skip


def draw_grid(drawing: Drawing, axes: Axes, frame: Area, type_px: float) -> None:
    """The axes with their figures, the names of the control's ends, and the caption."""
    small = type_px * 0.9
    step = nice_step(frame.high - frame.low)
    ticks_right = frame.left > drawing.width - frame.right + 1
    first, last = math.ceil(frame.low / step - 1e-9), math.floor(frame.high / step + 1e-9)
    levels = [i * step for i in range(first, last + 1)]
    _draw_rules(drawing, frame, levels)
    for value in levels:
        y = frame.y(value)
        text = given(abs(value) if axes.flip else value)
        if ticks_right:
            drawing.text(frame.right + 5, y + small * 0.34, text, size=small, fill=QUIET)
        else:
            drawing.text(frame.left - 5, y + small * 0.34, text, size=small, anchor="end", fill=QUIET)
    narrow = (frame.right - frame.left) / 4 < 1.8 * text_width("−100", small)
    for x in _GRID:
        text = typeset(f"{x:+g}") if x else "0"
        if abs(x) == 50 and narrow:
            continue
        # What stands beside the axes, names and values, may reach down here on a low plot.
        inwards = {-100.0: "start", 100.0: "end"}.get(x, "middle")
        drawing.text(frame.x(x), frame.bottom + small * 1.15, text, size=small, anchor=inwards, fill=QUIET)
    room = (frame.right - frame.left) / 2 - 4
    below = frame.bottom + small * 2.3
    drawing.text(frame.left, below, shorten(axes.low, room, small), size=small, fill=INK)
    drawing.text(frame.right, below, shorten(axes.high, room, small), size=small, anchor="end", fill=INK)
    anchor, at = ("end", frame.right) if ticks_right else ("start", frame.left)
    drawing.text(at, frame.top - small * 0.7, axes.caption, size=small, anchor=anchor, fill=QUIET)


def _draw_rules(drawing: Drawing, frame: Area, levels: Sequence[float]) -> None:
    """The lines of the grid, those of the zeros above the others."""
    across = {value: ((frame.left, frame.y(value)), (frame.right, frame.y(value))) for value in levels}
    upright = {x: ((frame.x(x), frame.top), (frame.x(x), frame.bottom)) for x in _GRID}
    hairlines = [rule for rules in (across, upright) for value, rule in rules.items() if value]
    drawing.lines(hairlines, stroke=HAIRLINE, width=0.7)
    drawing.lines([rule for value, rule in across.items() if not value], stroke=QUIET, width=0.9)
    drawing.lines([upright[0.0]], stroke=QUIET, width=0.7)


def _draw_labels(drawing: Drawing, curves: Sequence[Curve], frame: Area, at_left: bool, type_px: float) -> None:
    end = 0 if at_left else -1
    edge = frame.left if at_left else frame.right
    text_x = edge + (-12 if at_left else 12)
    room = edge - 14 if at_left else drawing.width - edge - 14
    anchor = "end" if at_left else "start"
    targets = [frame.y(curve.points[end][1]) for curve in curves]
    texts = _texts([_label(curve, at_left) for curve in curves], room, drawing.height, type_px)
    middles = _apart(targets, [_height(lines, type_px) for lines in texts], drawing.height)
    away = -1 if at_left else 1
    leads = [
        ((edge + 2 * away, target), (edge + 9 * away, middle)) for target, middle in zip(targets, middles, strict=True)
    ]
    drawing.lines(leads, stroke=QUIET, width=0.7)
    for lines, middle in zip(texts, middles, strict=True):
        first = middle + type_px * (0.34 - 0.54 * (len(lines) - 1))
        for i, (text, weight) in enumerate(lines):
            drawing.text(text_x, first + i * type_px * 1.08, text, size=type_px, anchor=anchor, weight=weight)


def _texts(
    labels: Sequence[tuple[str, str]], room: float, height: float, type_px: float
) -> list[list[tuple[str, int]]]:
    """The lines of every label with their weights: a long name takes two of them where the height has room for all."""
    values = [[(value, 600)] if value else [] for _, value in labels]
    whole = [
        [(part, 400) for part in broken(name, room, type_px)] + v for (name, _), v in zip(labels, values, strict=True)
    ]
    if sum(_height(lines, type_px) for lines in whole) <= height:
        return whole
    return [[(shorten(name, room, type_px), 400), *v] for (name, _), v in zip(labels, values, strict=True)]


def _height(lines: Sequence[object], type_px: float) -> float:
    return len(lines) * type_px * 1.12 + 2


def _apart(targets: Sequence[float], heights: Sequence[float], limit: float) -> list[float]:
    """Middles as near to `targets` as they can be without overlapping, kept within 0 … `limit` where they fit."""
    order = sorted(range(len(targets)), key=lambda i: targets[i])
    places = list(targets)
    for before, after in itertools.pairwise(order):
        places[after] = max(places[after], places[before] + (heights[before] + heights[after]) / 2)
    ceiling = limit
    for i in reversed(order):
        places[i] = min(places[i], ceiling - heights[i] / 2)
        ceiling = places[i] - heights[i] / 2
    return places
