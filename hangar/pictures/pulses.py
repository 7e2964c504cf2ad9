"""The throw of one surface over the pulse of its servo: readings as dots, what the setup uses as the thick part."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from hangar.pictures.estimates import beyond_measured, is_estimated
from hangar.pictures.plot import nice_step
from hangar.pictures.svg import ACCENT, HAIRLINE, INK, PAPER, QUIET, WARNING, Drawing, text_width
from hangar.pictures.words import short, throw_caption, throw_words, unit_mm
from mixing import wording
from mixing.document import FourBar, Measured, Surface
from mixing.language import say
from mixing.linkage import Unmeasured
from mixing.throws import throw_mm

_STEPS = 121


class _Frame:
    """Where pulses and throws lie on the picture: a trailing edge that goes down is drawn down."""

    def __init__(
        self, pulses: tuple[float, float], throws: tuple[float, float], width: float, height: float, type_px: float
    ) -> None:
        self.pulses = pulses
        self.unit_mm = unit_mm()
        step = nice_step(max(throws[1] - throws[0], 1e-6) / self.unit_mm) * self.unit_mm
        self.step = step
        self.low, self.high = np.floor(throws[0] / step) * step, np.ceil(throws[1] / step) * step
        self.left, self.right = text_width("100", type_px) + 12, width - type_px * 0.8
        self.top, self.bottom = type_px * 2.0, height - type_px * 2.4

    def x(self, pulse: float) -> float:
        return self.left + (pulse - self.pulses[0]) / (self.pulses[1] - self.pulses[0]) * (self.right - self.left)

    def y(self, throw: float) -> float:
        return float(self.top + (throw - self.low) / (self.high - self.low) * (self.bottom - self.top))


def pulse_picture(
    surface: Surface,
    linkage: Measured | FourBar | Unmeasured,
    *,
    centre_us: float,
    limits_us: tuple[float, float],
    used_us: Sequence[float] = (),
    readings: Sequence[tuple[float, float]] = (),
    width: float = 520,
    height: float = 280,
    type_px: float = 13,
) -> str:
    """An SVG of throw [mm] over pulse [µs].

    Parameters
    ----------
    surface : Surface
        Its role, chord and stops; its own linkage is not used.
    linkage : Measured, FourBar or Unmeasured
    centre_us : float
        The transmitter's centre, about which an unmeasured linkage turns.
    limits_us : (low, high)
        The channel's limits: how far the plot goes.
    used_us : sequence of float
        The pulses between which the setup moves the servo.
    readings : sequence of (pulse, throw)
        What a ruler read, where that is not what a measured linkage says itself.
    width, height, type_px : float
        Size of the picture and of its lettering [px].
    """
    dots = list(readings) or (list(linkage.points) if isinstance(linkage, Measured) else [])
    ends = [*limits_us, *used_us, *(pulse for pulse, _ in dots)]
    pulses = np.linspace(min(ends) - 20, max(ends) + 20, _STEPS)
    throws = linkage.follow(pulses, chord_mm=surface.chord_mm, centre_us=centre_us).throw_mm(chord_mm=surface.chord_mm)
    shown = [*throws.tolist(), *(throw for _, throw in dots), 0.0]
    frame = _Frame((float(pulses[0]), float(pulses[-1])), (min(shown), max(shown)), width, height, type_px)
    drawing = Drawing(title=_title(surface, linkage, centre_us, used_us, dots), width=width, height=height)
    _grid(drawing, frame, type_px)
    caption = throw_caption({surface.role})
    drawing.text(frame.left, frame.top - type_px * 0.72, caption, size=type_px * 0.9, fill=QUIET)
    _stops(drawing, frame, surface, (float(throws[0]), float(throws[-1])), type_px)
    for limit in limits_us:
        drawing.line(frame.x(limit), frame.top, frame.x(limit), frame.bottom, stroke=QUIET, width=1, dash="3 3")
    copy = surface.model_copy(update={"linkage": linkage})
    known = np.array([not (is_estimated(copy) or beyond_measured(copy, float(pulse))) for pulse in pulses])
    points = [(frame.x(p), frame.y(t)) for p, t in zip(pulses.tolist(), throws.tolist(), strict=True)]
    _line(drawing, points, known)
    if len(used_us) > 1:
        inside = [xy for xy, p in zip(points, pulses, strict=True) if min(used_us) <= p <= max(used_us)]
        drawing.polyline(inside, stroke=ACCENT, width=5)
    for pulse, throw in dots:
        drawing.circle(frame.x(pulse), frame.y(throw), 4, fill=PAPER, stroke=INK, width=1.8)
    return drawing.markup()


def _line(drawing: Drawing, points: Sequence[tuple[float, float]], known: NDArray[np.bool_]) -> None:
    """Throw over pulse: dashed where nobody measured, and the measured part over it."""
    drawing.polyline(points, stroke=ACCENT, width=1.6, dash=None if known.all() else "6 4")
    if known.any() and not known.all():
        drawing.polyline([xy for xy, sure in zip(points, known, strict=True) if sure], stroke=ACCENT, width=1.8)


def _title(
    surface: Surface, linkage: Measured | FourBar | Unmeasured, centre_us: float, used: Sequence[float],
    dots: Sequence[tuple[float, float]],
) -> str:  # fmt: skip
    told = []
    for pulse in used:
        followed = linkage.follow(np.asarray(pulse), chord_mm=surface.chord_mm, centre_us=centre_us)
        throw = float(followed.throw_mm(chord_mm=surface.chord_mm))
        told.append(say("{throw} at {pulse} µs", throw=throw_words(throw, surface.role), pulse=short(pulse, 0)))
    text = (
        say("Throw of {surface} over the pulse, estimated: {ends}", surface=surface.label, ends=_ends(told))
        if isinstance(linkage, Unmeasured)
        else say("Throw of {surface} over the pulse: {ends}", surface=surface.label, ends=_ends(told))
    )
    if not dots:
        return text
    pulses = ", ".join(short(pulse, 0) for pulse, _ in dots)
    return say("{told}; read with a ruler at {pulses} µs", told=text, pulses=pulses)


def _ends(told: Sequence[str]) -> str:
    return wording.together(told) or say("nothing asked")


def _grid(drawing: Drawing, frame: _Frame, type_px: float) -> None:
    small = type_px * 0.9
    for i in range(round((frame.high - frame.low) / frame.step) + 1):
        value = frame.low + i * frame.step
        zero = abs(value) < frame.step / 1000
        y = frame.y(value)
        drawing.line(frame.left, y, frame.right, y, stroke=QUIET if zero else HAIRLINE, width=0.9 if zero else 0.7)
        drawing.text(frame.left - 6, y + small * 0.34, wording.given(abs(value / frame.unit_mm)), size=small,
                     anchor="end", fill=QUIET)  # fmt: skip
    low, high = frame.pulses
    step = nice_step(high - low, 6)
    first = np.ceil(low / step) * step
    for pulse in np.arange(first, high + 1, step).tolist():
        x = frame.x(pulse)
        drawing.line(x, frame.top, x, frame.bottom, stroke=HAIRLINE, width=0.7)
        drawing.text(x, frame.bottom + small * 1.25, f"{pulse:g}", size=small, anchor="middle", fill=QUIET)
    drawing.text(frame.right, frame.bottom + small * 2.3, say("pulse in µs"), size=small, anchor="end", fill=QUIET)


def _stops(drawing: Drawing, frame: _Frame, surface: Surface, ends: tuple[float, float], type_px: float) -> None:
    """Where something touches, as far as that is on the picture; named at the end from which the line is further."""
    for deg in (-surface.stop_up_deg, surface.stop_down_deg):
        throw = float(throw_mm(deflection_deg=deg, chord_mm=surface.chord_mm))
        if frame.low < throw < frame.high:
            y = frame.y(throw)
            drawing.line(frame.left, y, frame.right, y, stroke=WARNING, width=1.2, dash="8 3")
            room = (frame.bottom - y if deg > 0 else y - frame.top) > type_px * 1.2
            above = -0.35 if (deg < 0) == room else 1.0
            at_right = abs(ends[1] - throw) >= abs(ends[0] - throw)
            x, anchor = (frame.right - type_px * 1.6, "end") if at_right else (frame.left + type_px * 1.6, "start")
            drawing.text(x, y + type_px * above, say("stop"), size=type_px * 0.9, anchor=anchor, fill=WARNING)
