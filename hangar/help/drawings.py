"""The drawings of the help page. Where they show a model, it is a composed one, moved by the computation itself."""

from functools import cache
from math import cos, radians, sin

from django.utils.translation import get_language, pgettext
from django.utils.translation import gettext as _

from hangar.pictures import words
from hangar.pictures.behind import from_behind
from hangar.pictures.plot import Axes, Curve, plot
from hangar.pictures.response import throw_plot
from hangar.pictures.svg import ACCENT, INK, PAPER, QUIET, TINT, Drawing
from hangar.pictures.words import plain, throw_words
from hangar.setups.composing import compose
from hangar.setups.shapes import Shape
from mixing import Response, Rig, Setup, throw_mm
from mixing.document import Coupling

_WIDE, _TYPE = 420.0, 15.0
# The figures at the axes of a plot are nine tenths of this, and on a phone the drawing is three quarters as wide.
_PLOT_TYPE = 17.0
Point = tuple[float, float]
_X = [float(x) for x in range(-100, 101, 2)]


def _model() -> Setup:
    return _composed(get_language() or "")


@cache
def _composed(_language: str) -> Setup:
    """Its labels are in the language of the reader."""
    return compose(Shape(inner_flaps=True, crow=True))


def throw() -> str:
    """A surface in profile with what a ruler reads."""
    chord, angle = 40.0, 25.0
    told = throw_words(float(throw_mm(deflection_deg=angle, chord_mm=chord)), "aileron")
    title = _("A surface with a chord of {chord} that goes {throw}, which is {angle}°").format(
        chord=words.length(chord, 0), throw=told, angle=plain(angle, 0)
    )
    drawing = Drawing(title=title, width=_WIDE, height=190)
    hinge, reach = (124.0, 62.0), 160.0
    tip = (hinge[0] + reach * cos(radians(angle)), hinge[1] + reach * sin(radians(angle)))
    neutral = (hinge[0] + reach, hinge[1])
    _draw_surface(drawing, hinge, tip, neutral, angle)
    drawing.text(neutral[0] + 6, (neutral[1] + tip[1]) / 2 + 5, told, size=_TYPE, weight=600)
    told_chord = _("chord {length}").format(length=words.length(chord, 0))
    drawing.text((hinge[0] + neutral[0]) / 2, 18, told_chord, size=_TYPE, anchor="middle")
    drawing.text(hinge[0] + 34, hinge[1] + 60, f"{plain(angle, 0)}°", size=_TYPE, fill=QUIET)
    return drawing.markup()


def _draw_surface(drawing: Drawing, hinge: Point, tip: Point, neutral: Point, angle: float) -> None:
    """The end of the wing, the surface where it went, the line where it was, the chord above."""
    drawing.polygon(
        [(8, 62), (36, 42), (80, 40), (124, 51), (124, 73), (70, 76), (28, 71)], fill=PAPER, stroke=INK, width=1.6
    )
    drawing.line(*hinge, *neutral, stroke=QUIET, width=1, dash="5 3")
    across = (sin(radians(angle)) * 9, -cos(radians(angle)) * 9)
    drawing.polygon(
        [(hinge[0] + across[0], hinge[1] + across[1]), tip, (hinge[0] - across[0], hinge[1] - across[1])],
        fill=TINT, stroke=ACCENT, width=1.6,
    )  # fmt: skip
    drawing.line(*neutral, *tip, stroke=ACCENT, width=2.2)
    drawing.line(hinge[0], 26, neutral[0], 26, stroke=QUIET, width=1)
    for x in (hinge[0], neutral[0]):
        drawing.line(x, 20, x, 32, stroke=QUIET, width=1)
    drawing.circle(*hinge, 4, fill=PAPER, stroke=INK, width=1.6)


def _behind(positions: dict[str, float], title: str) -> str:
    setup = _model()
    throws = {key: (float(mm),) for key, mm in Rig(setup).at(positions).throw_mm.items()}
    return from_behind(setup, throws, title=title, width=_WIDE, height=190, type_px=_TYPE)


def differential() -> str:
    return _behind({"roll": 100}, _("Aileron stick fully right"))


def crow() -> str:
    return _behind({"brake": -100}, _("Brake lever fully back"))


def compensation() -> str:
    """What the tail does by the brake lever."""
    only = compose(Shape(wing="none", inner_flaps=True))
    hidden = [coupling for coupling in only.couplings if coupling.control != "brake" or _is_tail(only, coupling)]
    return throw_plot(only.changed(couplings=hidden), "brake", width=_WIDE, height=240, type_px=_PLOT_TYPE)


def _is_tail(setup: Setup, coupling: Coupling) -> bool:
    return any(surface.role == "elevator" for surface in setup.surfaces_on(coupling.channel))


def _axes(low: str, high: str) -> Axes:
    return Axes(low, high, _("travel in %"))


def _curve(label: str, response: Response) -> Curve:
    y = [float(value) for value in response(_X)]
    return Curve(label, list(zip(_X, y, strict=True)), ends=(f"{plain(y[0], 0)} %", f"{plain(y[-1], 0)} %"))


def response() -> str:
    """Three stations: nothing in the upper half, everything in the lower one."""
    stations = ((-100, 100), (0, 0), (100, 0))
    bent = _curve(pgettext("curve", "flap"), Response(stations))
    curve = Curve(bent.label, bent.points, dots=stations, ends=bent.ends)
    title = _("A response with three stations: 100 % at one end, 0 from the middle to the other end")
    return plot(
        [curve],
        _axes(pgettext("lever", "back"), pgettext("lever", "forward")),
        title=title,
        width=_WIDE,
        height=240,
        type_px=_PLOT_TYPE,
    )


def expo() -> str:
    straight = Response.from_ends(-60, 60)
    curves = [_curve(_("expo 0"), straight), _curve(_("expo 50"), straight.with_expo(50))]
    title = _("The same ends with and without expo: with 50 % the middle is flatter")
    return plot(curves, _axes(_("left"), _("right")), title=title, width=_WIDE, height=240, type_px=_PLOT_TYPE)


def rates() -> str:
    curves = [
        _curve(pgettext("rate", "high"), Response.from_ends(-80, 80)),
        _curve(pgettext("rate", "low"), Response.from_ends(-50, 50)),
    ]
    title = _("Two rates of one control: 80 % and 50 % at its ends")
    return plot(curves, _axes(_("left"), _("right")), title=title, width=_WIDE, height=240, type_px=_PLOT_TYPE)


def y_lead() -> str:
    """One channel of the receiver, two servos."""
    title = _("One channel of the receiver feeds two servos through a Y-lead")
    drawing = Drawing(title=title, width=_WIDE, height=150)
    drawing.polyline([(120, 75), (200, 75), (250, 35), (300, 35)], stroke=ACCENT, width=2.2)
    drawing.polyline([(200, 75), (250, 115), (300, 115)], stroke=ACCENT, width=2.2)
    drawing.polygon([(20, 45), (120, 45), (120, 105), (20, 105)], fill=PAPER, stroke=INK, width=1.6)
    drawing.text(70, 70, _("receiver"), size=_TYPE, anchor="middle")
    drawing.text(70, 92, _("channel {number}").format(number=6), size=_TYPE, anchor="middle", weight=600)
    for y, flap in ((35, _("right flap")), (115, _("left flap"))):
        drawing.polygon([(300, y - 22), (400, y - 22), (400, y + 22), (300, y + 22)], fill=TINT, stroke=INK, width=1.6)
        drawing.text(350, y + 5, flap, size=_TYPE, anchor="middle", weight=600)
    return drawing.markup()


def balance() -> str:
    """Half a wing from above: the datum, the allowed range behind it, where the model balances."""
    title = _("A wing from above: the balance lies between the foremost and the rearmost place behind the datum")
    drawing = Drawing(title=title, width=_WIDE, height=190)
    drawing.polygon([(60, 34), (400, 50), (400, 124), (60, 156)], fill=PAPER, stroke=INK, width=1.6)
    drawing.polygon([(62, 84), (190, 84), (190, 110), (62, 110)], fill=TINT, stroke=ACCENT, width=1.2)
    drawing.line(10, 34, 260, 34, stroke=INK, width=1.2, dash="5 3")
    drawing.text(62, 24, _("datum: leading edge at the root"), size=_TYPE)
    drawing.line(84, 34, 84, 94, stroke=ACCENT, width=2)
    drawing.circle(84, 94, 5, fill=ACCENT)
    drawing.text(94, 72, _("balances here"), size=_TYPE, weight=600)
    drawing.text(198, 103, _("allowed range"), size=_TYPE, weight=600)
    return drawing.markup()


ALL = (throw, differential, crow, compensation, response, expo, rates, y_lead, balance)
