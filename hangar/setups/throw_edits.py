"""One throw typed into the matrix changes the setup: a response, a rate or a stance, and its other side."""

from collections.abc import Collection
from dataclasses import dataclass

from django.utils.translation import gettext as _

from hangar.pictures.words import sentence, short
from mixing import Setup, SetupError, solve, throw_mm
from mixing.document import Coupling, Surface
from mixing.misses import TELL_MM
from mixing.rig import Frame, Rig
from mixing.solve.along import coupling_of
from mixing.solve.ends import TRAVEL_DIGITS
from mixing.transplant import sides_differ
from mixing.wording import capital

from .throw_units import figure, read_figure
from .ties import mirrored, partner_of

_MET_MM = 0.1


@dataclass(frozen=True)
class Spot:
    """A cell of the matrix: a surface at one end of a control, perhaps with a rate switch at one of its positions."""

    control: str
    position: float
    surface: str
    switch: str | None = None
    at: float | None = None

    @property
    def positions(self) -> dict[str, float]:
        """Where the controls stand that are not at rest."""
        rate = {self.switch: self.at} if self.switch is not None and self.at is not None else {}
        return {self.control: self.position, **rate}


@dataclass(frozen=True)
class Way:
    """How an edit is meant: in which unit and phase it was typed, whether that phase alone changes, what is tied."""

    unit: str
    phase: str | None = None
    own: bool = False
    tied: Collection[str] = ()


class Refused(ValueError):
    """What cannot be had, and what would do."""


def frame_at(setup: Setup, spot: Spot, phase: str | None) -> Frame:
    """What everything does there. Where the control chooses the phase, it is that of its position."""
    return Rig(setup).at(dict(spot.positions), phase=None if chooses_phase(setup, spot.control) else phase)


def chooses_phase(setup: Setup, control: str) -> bool:
    """Whether a control chooses the phase: what it moves is then the stance."""
    return bool(setup.phases) and setup.phases[0].control == control


def value_in(frame: Frame, surface: Surface, unit: str) -> float:
    """What a surface does in a frame: mm, degrees, or % of travel."""
    if unit == "travel":
        return float(frame.travel_pct[surface.channel])
    given = frame.deflection_deg if unit == "deg" else frame.throw_mm
    return float(given[surface.key])


def edited(setup: Setup, spot: Spot, text: str, way: Way) -> Setup:
    """The setup with what was typed into a cell. Refused, in words, where it cannot be had."""
    surface = setup.surface(spot.surface)
    now = value_in(frame_at(setup, spot, way.phase), surface, way.unit)
    try:
        value = read_figure(text, surface.role, way.unit, now=now)
        changed = _given(setup, spot, surface, _travel(setup, surface, value, way.unit), way)
        if way.unit != "travel":
            _check_met(changed, spot, surface, value, way)
        partner = partner_of(changed, surface)
        if partner is not None and (surface.key in way.tied or partner.key in way.tied):
            changed = _other_side(changed, spot, surface, partner, way)
    except SetupError as error:
        raise Refused(error.problems[0].sentence) from None
    except ValueError as error:
        raise Refused(sentence(str(error))) from None
    return changed


def _travel(setup: Setup, surface: Surface, value: float, unit: str) -> float:
    """The travel [%] of the surface's channel that gives a value."""
    if unit == "travel":
        return value
    if unit == "deg" and abs(value) > 90:
        told = _("{angle}° is more than a surface can turn; give at most 90°.")
        raise Refused(told.format(angle=short(abs(value))))
    throw = float(throw_mm(deflection_deg=value, chord_mm=surface.chord_mm)) if unit == "deg" else value
    return solve.travel_for(setup, surface.key, throw)


def _given(setup: Setup, spot: Spot, surface: Surface, travel: float, way: Way) -> Setup:
    if chooses_phase(setup, spot.control):
        return _with_stance(setup, spot.position, surface, travel)
    if spot.switch is not None and spot.at is not None:
        return solve.with_rate(
            setup, spot.control, surface.key, spot.position, travel, switch=spot.switch, at=spot.at, phase=way.phase
        )
    own = way.own and way.phase is not None
    return solve.with_end(setup, spot.control, surface.key, spot.position, travel, phase=way.phase, own=own)


def _with_stance(setup: Setup, position: float, surface: Surface, travel: float) -> Setup:
    """The stance of the phase there, so that the channel has that travel with all controls at rest."""
    phase = next((one for one in setup.phases if one.position == position), None)
    if phase is None:
        raise Refused(_("This position has no phase of its own: it takes the first phase."))
    number = surface.channel
    now = float(Rig(setup).at({}, phase=phase.key).travel_pct[number])
    stands = round(phase.stance.get(number, 0.0) + travel - now, TRAVEL_DIGITS) + 0.0
    stance = {str(each): kept for each, kept in phase.stance.items() if each != number}
    stance |= {str(number): stands} if stands else {}
    phases = [{**one.model_dump(), "stance": stance} if one is phase else one.model_dump() for one in setup.phases]
    return setup.changed(phases=phases)


def _check_met(setup: Setup, spot: Spot, surface: Surface, value: float, way: Way) -> None:
    """A fade can take away what the solver was sure of: what was asked for is looked at, not believed."""
    got = value_in(frame_at(setup, spot, way.phase), surface, way.unit)
    if abs(got - value) > _MET_MM:
        told = _("This would give {got}, not {wanted}: open the response and set its stations.")
        raise Refused(told.format(**{name: figure(each, surface.role, way.unit)
                                     for name, each in (("got", got), ("wanted", value))}))  # fmt: skip


def _other_side(setup: Setup, spot: Spot, surface: Surface, partner: Surface, way: Way) -> Setup:
    """The same for the other side of a tied pair; Refused where its linkage or limits do not allow it."""
    turned = sides_differ(setup.control(spot.control)) and not chooses_phase(setup, spot.control)
    there = Spot(spot.control, -spot.position if turned else spot.position, partner.key, spot.switch, spot.at)
    wanted = float(frame_at(setup, spot, way.phase).throw_mm[surface.key])
    try:
        travel = solve.travel_for(setup, partner.key, wanted)
    except solve.SolveError as error:
        told = _("{problem}; or untie the pair to have it on one side only.")
        raise Refused(told.format(problem=capital(str(error)).rstrip("."))) from None
    if chooses_phase(setup, spot.control):
        return _with_stance(setup, spot.position, partner, travel)
    same = _mirrored(setup, spot, surface, way.phase)
    if same is None:
        return _given(setup, there, partner, travel, way)
    others = [c for c in setup.couplings if c.place != same.place]
    changed = setup.changed(couplings=[*others, same.model_dump()])
    got = float(frame_at(changed, there, way.phase).throw_mm[partner.key])
    if abs(got - wanted) > TELL_MM:
        # Stances or other controls differ between the sides: its end at least is given the throw itself.
        return _given(changed, there, partner, travel, way)
    return changed


def _mirrored(setup: Setup, spot: Spot, surface: Surface, phase: str | None) -> Coupling | None:
    mine = coupling_of(setup, spot.control, surface.channel, phase)
    if mine is None:
        return None
    return mirrored(setup, surface, spot.control, mine.phase)
