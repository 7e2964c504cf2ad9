"""Servo arm, pushrod and horn to scale: at neutral and at both ends of what is asked of a surface.

Seen along the hinge with the nose to the left, so that a trailing edge which goes down is drawn down; a rudder is seen
from above. Lengths and angles are true. A long rod is drawn shortened, with a break in it, and the picture says so.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hangar.pictures.plot import nice_step
from hangar.pictures.svg import ACCENT, CAUTION, HAIRLINE, INK, PAPER, QUIET, TINT, WARNING, Drawing, text_width
from hangar.pictures.words import length, plain, throw_words, unit_mm
from mixing import wording
from mixing.document import FourBar, Surface
from mixing.language import later, say
from mixing.throws import throw_mm

Point = tuple[float, float]

_FAR_DEG = 115.0
"""Dead and turning points further than this from neutral are told nowhere: no servo arm goes there."""
_LEAST_SHARE = 0.033
"""The shorter of arm and horn is drawn at least this long, as a share of the picture's width."""
_NARROW_PX = 480.0
"""Below this width the figures stand above and below the trailing edge, and the lengths in a line of their own."""


@dataclass(frozen=True)
class Pose:
    """The linkage at one pulse: where its parts are [mm], in the plane of the picture, y upwards."""

    arm: Point
    horn: Point
    edge: Point
    deflection_deg: float
    neutral: bool = False


class Shape:
    """The places of a four-bar with its surface, the servo's pivot at the origin and the trailing edge to the right."""

    def __init__(self, linkage: FourBar, chord_mm: float) -> None:
        self.linkage, self.chord_mm = linkage, chord_mm
        along, across = linkage.pivot_mm
        self.mirror = -1.0 if along < 0 else 1.0
        lowers = linkage.push == "lowers"
        # The horn sits on the side on which a push goes the way that it is said to go.
        self.flip = (1.0 if lowers else -1.0) * self.mirror
        self.tilt = math.atan2(across, along)
        self.pivot = self._placed(along, across)

    def _placed(self, x: float, y: float) -> Point:
        return x * self.mirror, y * self.flip

    def _leaning(self, lean_deg: float, length: float) -> Point:
        angle = self.tilt + math.radians(90.0 - lean_deg)
        return self._placed(length * math.cos(angle), length * math.sin(angle))

    def arm_tip(self, movement_deg: float) -> Point:
        """The tip of the arm after a movement φ from neutral."""
        return self._leaning(self.linkage.arm_neutral_deg + movement_deg, self.linkage.arm_mm)

    def at(self, pulse_us: float, *, neutral: bool = False) -> Pose:
        """The pose at a pulse; where the linkage cannot follow, the last one that it reaches."""
        linkage, geometry = self.linkage, self.linkage.geometry
        turned = (pulse_us - linkage.neutral_us) / 1000.0 * linkage.servo_deg_per_1000_us
        phi = float(np.clip(turned if linkage.longer_pulse == "pushes" else -turned, *geometry.reach))
        delta = float(geometry.horn_movement(np.asarray(phi)))
        x, y = self._leaning(linkage.horn_neutral_deg + delta, linkage.horn_mm)
        deflection = delta if linkage.push == "lowers" else -delta
        angle = math.radians(deflection)
        edge = (self.pivot[0] + self.chord_mm * math.cos(angle), self.pivot[1] - self.chord_mm * math.sin(angle))
        return Pose(self.arm_tip(phi), (self.pivot[0] + x, self.pivot[1] + y), edge, deflection, neutral)

    def marks(self) -> list[tuple[Point, str, str]]:
        """Where the arm must not come: its tip there, what it is, and the colour."""
        dead = [phi for phi in self.linkage.geometry.reach if abs(phi) <= _FAR_DEG]
        turns = [float(phi) for phi in self.linkage.geometry.turning_deg if abs(phi) <= _FAR_DEG]
        return [
            *((self.arm_tip(phi), later("dead point"), WARNING) for phi in dead),
            *((self.arm_tip(phi), later("turns back"), CAUTION) for phi in turns),
        ]


class _Paper:
    """From mm to px: one scale for all, a long rod shortened by a cut."""

    def __init__(self, shape: Shape, poses: Sequence[Pose], width: float, type_px: float, right_px: float) -> None:
        points = [point for pose in poses for point in (pose.arm, pose.horn, pose.edge)]
        points += [mark for mark, _, _ in shape.marks()]
        arm = shape.linkage.arm_mm
        points += [(-arm * 0.5, 0.0), (0.0, -arm * 0.5), shape.pivot]
        self.low, self.high = (min(p[0] for p in points), max(p[0] for p in points))
        self.bottom, self.top = (min(p[1] for p in points), max(p[1] for p in points))
        room = width - right_px - 3.2 * type_px
        least = _LEAST_SHARE * width / min(arm, shape.linkage.horn_mm)
        self.cut_at = max(*(pose.arm[0] for pose in poses), arm) + 0.25 * arm
        end = min(*(pose.horn[0] for pose in poses), shape.pivot[0] - shape.linkage.horn_mm * 0.6)
        self.cut = max(0.0, min(self.high - self.low - room / least, end - self.cut_at - 4.0))
        self.scale = min(room / (self.high - self.low - self.cut), 0.62 * width / (self.top - self.bottom))
        self.left = 1.6 * type_px + max(0.0, room - self.scale * (self.high - self.low - self.cut)) / 2
        self.above = 2.6 * type_px
        below = 4.0 if width >= _NARROW_PX else 5.6
        self.height = self.scale * (self.top - self.bottom) + self.above + below * type_px

    def __call__(self, point: Point) -> Point:
        x = point[0] - (self.cut if point[0] > self.cut_at + self.cut / 2 else 0.0)
        return self.left + (x - self.low) * self.scale, self.above + (self.top - point[1]) * self.scale


def linkage_picture(
    surface: Surface, linkage: FourBar, pulses_us: Sequence[float], *, width: float = 720, type_px: float = 14
) -> str:
    """An SVG of a four-bar to scale.

    Parameters
    ----------
    surface : Surface
        Its role and chord; its own linkage is not used.
    linkage : FourBar
    pulses_us : sequence of float
        The pulses at the ends of what is asked of it [µs]; neutral is always drawn.
    width, type_px : float
        Width of the picture and size of its lettering [px]; the height follows from the scale.
    """
    shape = Shape(linkage, surface.chord_mm)
    poses = [shape.at(linkage.neutral_us, neutral=True), *(shape.at(pulse) for pulse in pulses_us)]
    words = [_words(surface, pose) for pose in poses[1:]]
    right = max((text_width(text, type_px) for pair in words for text in pair), default=0.0) + 16
    if width < _NARROW_PX:
        right = 0.0
    paper = _Paper(shape, poses, width, type_px, right)
    drawing = Drawing(title=_title(surface, shape, words), width=width, height=paper.height)
    _fixed(drawing, shape, paper)
    for pose in poses[1:]:
        _surface(drawing, paper, shape, pose)
    _surface(drawing, paper, shape, poses[0])
    _arc(drawing, paper, shape, poses)
    for pose in (*poses[1:], poses[0]):
        _rods(drawing, paper, shape, pose)
    _pivots(drawing, paper, shape)
    _dead(drawing, paper, shape, type_px)
    for end, pair in enumerate(words, 1):
        _throw(drawing, paper, shape, poses, end, pair, type_px)
    _lengths(drawing, paper, shape, poses[0], type_px)
    _scale_bar(drawing, paper, type_px)
    return drawing.markup()


def _title(surface: Surface, shape: Shape, words: Sequence[tuple[str, str]]) -> str:
    linkage = shape.linkage
    told = say(
        "Linkage of {surface} to scale: arm {arm}, horn {horn}, pushrod {rod}; {ends}", surface=surface.label,
        arm=wording.length(linkage.arm_mm), horn=wording.length(linkage.horn_mm), rod=length(linkage.rod_mm),
        ends="; ".join(" ".join(pair) for pair in words) or say("neutral"),
    )  # fmt: skip
    marks = [say(word) for word in dict.fromkeys(word for _, word, _ in shape.marks())]
    return say("{told}; marked on the arm's circle: {marks}", told=told, marks=", ".join(marks)) if marks else told


def _words(surface: Surface, pose: Pose) -> tuple[str, str]:
    throw = float(throw_mm(deflection_deg=pose.deflection_deg, chord_mm=surface.chord_mm))
    return throw_words(throw, surface.role), f"{plain(abs(pose.deflection_deg))}°"


def _fixed(drawing: Drawing, shape: Shape, paper: _Paper) -> None:
    """The skin in front of the hinge, and the line of neutral behind it."""
    hinge = paper(shape.pivot)
    deep = max(8.0, shape.chord_mm * 0.11 * paper.scale)
    left = paper((paper.low, 0.0))[0] - 6
    drawing.polygon(
        [(left, hinge[1] - deep * 1.5), (hinge[0], hinge[1] - deep * 0.7), (hinge[0], hinge[1] + deep * 0.7),
         (left, hinge[1] + deep * 1.5)], fill=PAPER, stroke=HAIRLINE, width=1.2,
    )  # fmt: skip


def _surface(drawing: Drawing, paper: _Paper, shape: Shape, pose: Pose) -> None:
    hinge, edge = paper(shape.pivot), paper(pose.edge)
    length = math.dist(hinge, edge)
    deep = max(4.0, length * 0.055)
    nx, ny = -(edge[1] - hinge[1]) / length * deep, (edge[0] - hinge[0]) / length * deep
    wedge = [(hinge[0] - nx, hinge[1] - ny), edge, (hinge[0] + nx, hinge[1] + ny)]
    if pose.neutral:
        drawing.polyline([*wedge, wedge[0]], stroke=QUIET, width=1.1, dash="5 3")
    else:
        drawing.polygon(wedge, fill=TINT, stroke=ACCENT, width=1.3)


def _arc(drawing: Drawing, paper: _Paper, shape: Shape, poses: Sequence[Pose]) -> None:
    """The way of the arm's tip between the ends, and of the trailing edge."""
    centre, radius = paper((0.0, 0.0)), shape.linkage.arm_mm * paper.scale
    angles = sorted(math.atan2(pose.arm[1], pose.arm[0]) for pose in poses)
    if angles[-1] - angles[0] < math.pi:
        steps = np.linspace(angles[0], angles[-1], 25)
        way = [(centre[0] + radius * math.cos(a), centre[1] - radius * math.sin(a)) for a in steps]
        drawing.polyline(way, stroke=QUIET, width=1, dash="2 3")
    hinge, chord = paper(shape.pivot), shape.chord_mm * paper.scale
    deflections = [math.radians(pose.deflection_deg) for pose in poses]
    steps = np.linspace(min(deflections), max(deflections), 25)
    drawing.polyline(
        [(hinge[0] + chord * math.cos(a), hinge[1] + chord * math.sin(a)) for a in steps], stroke=QUIET, width=1
    )


def _rods(drawing: Drawing, paper: _Paper, shape: Shape, pose: Pose) -> None:
    colour, wide = (INK, 2.4) if pose.neutral else (ACCENT, 1.6)
    servo, hinge, arm, horn = (paper(point) for point in ((0.0, 0.0), shape.pivot, pose.arm, pose.horn))
    drawing.line(*servo, *arm, stroke=colour, width=wide + 2.6)
    drawing.line(*hinge, *horn, stroke=colour, width=wide + 2.6)
    if paper.cut:
        # The rod keeps its direction on both sides of the break.
        share = [(x - pose.arm[0]) / (pose.horn[0] - pose.arm[0]) for x in (paper.cut_at, paper.cut_at + paper.cut)]
        cuts = [
            (pose.arm[0] + s * (pose.horn[0] - pose.arm[0]), pose.arm[1] + s * (pose.horn[1] - pose.arm[1]))
            for s in share
        ]
        before, after = paper((cuts[0][0], cuts[0][1])), paper((cuts[1][0] + 1e-6, cuts[1][1]))
        gap = 4.0
        drawing.line(*arm, before[0] - gap, before[1], stroke=colour, width=wide)
        drawing.line(after[0] + gap, after[1], *horn, stroke=colour, width=wide)
        for x, y in ((before[0] - gap, before[1]), (after[0] + gap, after[1])):
            drawing.line(x - 3, y + 6, x + 3, y - 6, stroke=colour, width=1.2)
    else:
        drawing.line(*arm, *horn, stroke=colour, width=wide)
    for x, y in (arm, horn):
        drawing.circle(x, y, 2.8, fill=PAPER, stroke=colour, width=1.4)


def _pivots(drawing: Drawing, paper: _Paper, shape: Shape) -> None:
    x, y = paper((0.0, 0.0))
    drawing.circle(x, y, max(5.0, shape.linkage.arm_mm * 0.22 * paper.scale), fill=PAPER, stroke=INK, width=1.8)
    drawing.circle(x, y, 1.8)
    drawing.circle(*paper(shape.pivot), 4.4, fill=PAPER, stroke=INK, width=1.8)


def _dead(drawing: Drawing, paper: _Paper, shape: Shape, type_px: float) -> None:
    """A cross on the arm's circle where the rod comes in line, with a word."""
    centre = paper((0.0, 0.0))
    for point, told, colour in shape.marks():
        x, y, word = *paper(point), say(told)
        drawing.line(*centre, x, y, stroke=colour, width=1, dash="3 3")
        for dx, dy in ((4, 4), (4, -4)):
            drawing.line(x - dx, y - dy, x + dx, y + dy, stroke=colour, width=1.8)
        if drawing.width >= _NARROW_PX:
            size = type_px * 0.85
            at = max(x, text_width(word, size) * 0.5 + 2)
            below = y > centre[1] + 1
            drawing.text(at, y + (size * 1.35 if below else -size * 0.7), word, size=size, anchor="middle", fill=colour)


def _throw(
    drawing: Drawing,
    paper: _Paper,
    shape: Shape,
    poses: Sequence[Pose],
    end: int,
    words: tuple[str, str],
    type_px: float,
) -> None:
    """What the pose at an end is, beside its trailing edge."""
    x, y = paper(poses[end].edge)
    hinge_y = paper(shape.pivot)[1]
    away = 1 if y > hinge_y else -1
    if drawing.width < _NARROW_PX:
        text = ", ".join(words)
        left = drawing.width - 10 - text_width(text, type_px)
        # Beyond every horn that reaches over the words.
        horns = [point[1] for point in (paper(pose.horn) for pose in poses) if point[0] > left]
        low = max(y, hinge_y + type_px * 0.2, *horns) + type_px * 1.2
        high = min(y, hinge_y, *horns) - type_px * 0.5
        drawing.text(drawing.width - 4, low if away > 0 else high, text, size=type_px, anchor="end", weight=600)
        return
    middle = y + away * type_px * (0.5 if abs(y - hinge_y) > type_px * 2 else 1.4)
    drawing.text(x + 8, middle, words[0], size=type_px, weight=600)
    drawing.text(x + 8, middle + type_px * 1.1, words[1], size=type_px, fill=QUIET)


def _lengths(drawing: Drawing, paper: _Paper, shape: Shape, neutral: Pose, type_px: float) -> None:
    """The three lengths, beside what they are the lengths of, on the side away from the hinge line."""
    linkage, size = shape.linkage, type_px * 0.92
    words = [
        say("arm {length}", length=wording.length(linkage.arm_mm)),
        say("pushrod {length}", length=length(linkage.rod_mm)),
        say("horn {length}", length=wording.length(linkage.horn_mm)),
    ]
    if drawing.width < _NARROW_PX:
        drawing.text(type_px * 0.6, drawing.height - type_px * 2.5, ", ".join(words), size=size)
        return
    arm, horn = paper(neutral.arm), paper(neutral.horn)
    over = -1 if arm[1] + horn[1] <= 2 * paper(shape.pivot)[1] else 1
    base = (min if over < 0 else max)(arm[1], horn[1]) + over * type_px * (1.6 if over > 0 else 1.0)
    wide = [text_width(word, size) for word in words]
    first = max(2.0, arm[0] - wide[0] * 0.5)
    last = max(horn[0] - wide[2] * 0.5, first + wide[0] + wide[1] + 4 * size)
    between = (first + wide[0] + last) / 2
    for word, x, anchor in zip(words, (first, between, last), ("start", "middle", "start"), strict=True):
        drawing.text(x, base, word, size=size, anchor=anchor, fill=INK)


def _scale_bar(drawing: Drawing, paper: _Paper, type_px: float) -> None:
    shown_mm = nice_step(drawing.width * 0.16 / paper.scale / unit_mm(), 1) * unit_mm()
    y = drawing.height - type_px * 1.1
    start, end = type_px * 0.6, type_px * 0.6 + shown_mm * paper.scale
    drawing.line(start, y, end, y, stroke=INK, width=1.4)
    for x in (start, end):
        drawing.line(x, y - 4, x, y + 4, stroke=INK, width=1.4)
    told = say("{length}, to scale", length=wording.length(shown_mm))
    if paper.cut:
        told = say("{told}; rod cut by {length}", told=told, length=wording.length(paper.cut, 0))
    drawing.text(end + 8, y + type_px * 0.34, told, size=type_px * 0.92, fill=QUIET)
