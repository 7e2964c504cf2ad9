"""The direction checks at the model, in the order one does them, from what the setup really does."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

from hangar.pictures.behind import from_behind
from hangar.pictures.estimates import is_estimated
from hangar.pictures.words import ARROWS, direction, short, side_of, stands, throw_words, together, without_side
from hangar.sheets.conditions import Condition, conditions, frame_at, in_phase, rest_phase
from mixing.document import Control, Setup, Surface, Use
from mixing.rig import Frame, Rig
from mixing.wording import capital, way_words

ORDER = ("roll", "pitch", "yaw", "brake", "camber", "other", "power")
MOTORS = ("electric_motor", "engine_throttle")

# From this throw on a surface counts as moved, as in the audit of directions; less only where nothing moves more.
_SEEN_MM = 0.5
_LEAST_MM = 0.05
_SEEN_LEVEL = 1.0


@dataclass(frozen=True)
class Seen:
    """What must be seen at one surface, or at several that do the same."""

    label: str
    way: str
    arrow: str
    note: str = ""


@dataclass(frozen=True)
class Check:
    """One step: what to move, what must be seen, and a picture of it from behind where a surface moves.

    `condition` is what must be set before; `phase` is the phase that is reached by the step; `motor` is true where a
    propeller may turn.
    """

    do: str
    seen: tuple[Seen, ...]
    condition: str = ""
    phase: str = ""
    picture: str = ""
    motor: bool = False


@dataclass(frozen=True)
class PictureSize:
    """Size of a small picture and of its lettering [px]."""

    width: float
    height: float
    type_px: float


@dataclass(frozen=True)
class Step:
    """A check whose picture is not drawn yet; `frame` is what it will show, if anything."""

    check: Check
    frame: Frame | None

    def drawn(self, setup: Setup, size: PictureSize) -> Check:
        """The check with its picture."""
        if self.frame is None:
            return self.check
        return replace(self.check, picture=_picture(setup, self.frame, self.check.do, size))


def direction_steps(setup: Setup) -> list[Step]:
    """One step a use of each control; only what this setup really does. How many there are tells how large their
    pictures may be."""
    found: list[Step] = []
    for purpose in ORDER:
        for control in setup.controls:
            use = control.use(purpose)
            if use is not None:
                step = _use_step(setup, control, use)
                found += [step] if step is not None else []
    return found


def _use_step(setup: Setup, control: Control, use: Use) -> Step | None:
    """The first case in which the control does something; for power, the first in which it turns a propeller."""
    found: Step | None = None
    for condition in conditions(setup, control):
        before, after = _both(setup, control, use, condition)
        surfaces, devices = _surfaces_seen(setup.surfaces, before, after), _devices_seen(setup, before, after)
        if not surfaces and not devices:
            continue
        do = stands(control, use.full)
        check = Check(do, surfaces + devices, _only_unusual(setup, condition), motor=_turns(setup, after))
        step = Step(check, after if surfaces and _moves(setup, after) else None)
        if use.purpose != "power" or check.motor:
            return step
        found = found or step
    return found


def _moves(setup: Setup, frame: Frame) -> bool:
    """Whether there is anything to draw."""
    return any(abs(float(frame.throw_mm[surface.key])) > _LEAST_MM for surface in setup.surfaces)


def _turns(setup: Setup, frame: Frame) -> bool:
    """Whether a propeller turns there."""
    return any(device.kind in MOTORS and float(frame.level_pct[device.key]) > 0 for device in setup.devices)


def _both(setup: Setup, control: Control, use: Use, condition: Condition) -> tuple[Frame, Frame]:
    """The model with the control at rest (or at its far end where it rests at the full one), and at its full end."""
    low, high = control.ends
    start = control.rest if control.rest != use.full else low if use.full == high else high
    before = frame_at(setup, condition, {control.key: start})
    return before, frame_at(setup, condition, {control.key: use.full})


def _only_unusual(setup: Setup, condition: Condition) -> str:
    """The case in words, unless it is the one in which the model stands at rest."""
    return "" if condition.words == in_phase(rest_phase(setup)) else condition.words


def phase_checks(setup: Setup) -> Iterator[Check]:
    """What each other phase does to the surfaces and devices, seen from the phase at rest."""
    base = rest_phase(setup)
    if base is None:
        return
    before = Rig(setup).at({}, phase=base.key)
    for phase in setup.phases:
        if phase is base:
            continue
        after = Rig(setup).at({}, phase=phase.key)
        seen = _surfaces_seen(setup.surfaces, before, after) + _devices_seen(setup, before, after)
        if seen:
            control = setup.control(phase.control)
            do = stands(control, phase.position)
            yield Check(do, _same_ways(seen), phase=phase.label, motor=_turns(setup, after))


def _surfaces_seen(surfaces: Sequence[Surface], before: Frame, after: Frame) -> tuple[Seen, ...]:
    moves = {s.key: float(after.throw_mm[s.key]) - float(before.throw_mm[s.key]) for s in surfaces}
    least = _SEEN_MM if any(abs(move) > _SEEN_MM for move in moves.values()) else _LEAST_MM
    moved = [surface for surface in surfaces if abs(moves[surface.key]) > least]
    seen = {s.key: _seen(s, moves[s.key], float(after.throw_mm[s.key])) for s in moved}
    told: list[Seen] = []
    for surface in moved:
        partner = next((s for s in moved if surface.pair and s.pair == surface.pair and s is not surface), None)
        if surface.key not in seen:
            continue
        one = seen.pop(surface.key)
        other = seen.pop(partner.key) if partner is not None else None
        told += [one] if other is None else _pair_seen(one, other)
    return tuple(told)


def _seen(surface: Surface, move_mm: float, at_mm: float) -> Seen:
    way = direction(move_mm, surface.role, digits=2)
    # A surface that stood deflected already can move up and still stand below neutral: say where it ends.
    note = "" if at_mm * move_mm > 0 else _("to {throw}").format(throw=throw_words(at_mm, surface.role))
    return Seen(surface.label, way_words(move_mm, surface.role) if way else "", ARROWS[way], note)


def _pair_seen(one: Seen, other: Seen) -> list[Seen]:
    """A pair in one breath: "Flap left + right down", or "Aileron left down, right up"."""
    if (one.way, one.note) == (other.way, other.note):
        return [replace(one, label=together((one.label, other.label)))]
    stem = without_side(one.label)
    sides = {side_of(one.label), side_of(other.label)}
    if sides != {"left", "right"} or stem.lower() != without_side(other.label).lower() or not stem:
        return [one, other]
    first = f"{capital(stem)} {side_of(one.label)}"
    return [replace(one, label=first), replace(other, label=side_of(other.label))]


def _same_ways(seen: tuple[Seen, ...]) -> tuple[Seen, ...]:
    """What goes the same way in one breath, for a line of text without a picture."""
    ways: dict[tuple[str, str, str], list[str]] = {}
    for one in seen:
        ways.setdefault((one.way, one.arrow, one.note), []).append(one.label)
    return tuple(Seen(", ".join(labels), *way) for way, labels in ways.items())


def _devices_seen(setup: Setup, before: Frame, after: Frame) -> tuple[Seen, ...]:
    seen = []
    for device in setup.devices:
        start, end = float(before.level_pct[device.key]), float(after.level_pct[device.key])
        if abs(end - start) > _SEEN_LEVEL:
            seen.append(Seen(device.label, _("{low} to {high} %").format(low=short(start), high=short(end)), ""))
    return tuple(seen)


def _picture(setup: Setup, frame: Frame, title: str, size: PictureSize) -> str:
    throws = {s.key: (float(frame.throw_mm[s.key]),) for s in setup.surfaces}
    guesses = [s.key for s in setup.surfaces if is_estimated(s)]
    return from_behind(
        setup, throws, title=title, estimated=guesses, width=size.width, height=size.height, type_px=size.type_px
    )
