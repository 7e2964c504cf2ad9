"""Throw checks as pages tell them: what was read of each surface, how far from the prediction, and at which pulse."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import Count, QuerySet
from django.http import Http404
from django.utils.translation import gettext as _

from hangar.fleet.models import Airframe
from hangar.inputs import as_typed
from hangar.pictures.words import direction, length
from hangar.setups.matrix import Cell, stood, throw_told
from mixing.document import Setup, Surface
from mixing.rig import Rig
from mixing.wording import length_unit, way_words

from .models import Reading, ThrowCheck

FAR_MM = 1.0
"""A throw read further than this from the prediction is told."""


@dataclass(frozen=True)
class Compared:
    """One reading beside its prediction."""

    place: str
    predicted: Cell
    measured: Cell
    apart: str
    far: bool


@dataclass(frozen=True)
class SurfaceRead:
    """Everything that was read of one surface."""

    key: str
    label: str
    rows: tuple[Compared, ...]
    play: str
    may_be_linkage: bool


def checks_of(airframe: Airframe) -> "QuerySet[ThrowCheck]":
    """The throw checks of an airframe, the newest first, with how many throws were read."""
    return (
        ThrowCheck.objects.filter(revision__airframe=airframe)
        .select_related("revision", "by__personal")
        .annotate(read=Count("readings"))
        .order_by("-at", "-pk")
    )


def get_check_of(airframe: Airframe, pk: int) -> ThrowCheck:
    """The check of that number with its readings; Http404 where the airframe has none."""
    found = (
        ThrowCheck.objects.filter(revision__airframe=airframe, pk=pk)
        .select_related("revision__document", "by__personal")
        .prefetch_related("readings")
        .first()
    )
    if found is None:
        raise Http404(f"{airframe} has no throw check {pk}.")
    return found


def told(check: ThrowCheck) -> list[SurfaceRead]:
    """What was read, by surface in the order of the setup."""
    setup = check.revision.setup
    readings = list(check.readings.all())
    found = []
    for surface in setup.surfaces:
        own = [one for one in readings if one.surface == surface.key]
        if own:
            play = next((length(one.play_mm) for one in own if one.play_mm is not None), "")
            rows = tuple(_compared(setup, surface, one) for one in own)
            found.append(
                SurfaceRead(surface.key, surface.label, rows, play, len(set(_pulses(setup, surface, own))) > 1)
            )
    return found


def _compared(setup: Setup, surface: Surface, one: Reading) -> Compared:
    return Compared(
        stood(setup, one.positions, one.phase),
        throw_told(surface, one.predicted_mm), throw_told(surface, one.measured_mm),
        _apart(surface, one), abs(one.off_by_mm) > FAR_MM,
    )  # fmt: skip


def _apart(surface: Surface, one: Reading) -> str:
    """How far a reading is from its prediction, as a pilot says it."""
    way = direction(one.off_by_mm, surface.role)
    if not way:
        return _("as predicted")
    if not direction(one.predicted_mm, surface.role):
        told = _("{length} too far {way}")
    elif one.measured_mm * one.predicted_mm < 0:
        told = _("{length}, and the other way")
    else:
        told = _("{length} too far") if one.off_by_mm * one.predicted_mm > 0 else _("{length} short")
    return told.format(length=length(abs(one.off_by_mm)), way=way_words(one.off_by_mm, surface.role))


def linkage_lines(check: ThrowCheck, key: str) -> str:
    """Readings as a measured linkage takes them, one a line: the pulse at which the throw was read, and the throw."""
    setup = check.revision.setup
    surface = next((one for one in setup.surfaces if one.key == key), None)
    if surface is None:
        return ""
    own = [one for one in check.readings.all() if one.surface == key]
    pairs = sorted(zip(_pulses(setup, surface, own), (one.measured_mm for one in own), strict=True))
    return "\n".join(f"{as_typed(pulse)} {_typed(throw, surface)}" for pulse, throw in pairs)


def _typed(throw_mm: float, surface: Surface) -> str:
    """As a member of any language and unit may type it: with its unit, where theirs is another one."""
    unit = "" if length_unit() == "mm" else " mm"
    way = way_words(throw_mm, surface.role) if direction(throw_mm, surface.role, digits=9) else ""
    return f"{as_typed(abs(throw_mm))}{unit} {way}".strip()


def _pulses(setup: Setup, surface: Surface, readings: list[Reading]) -> Iterator[float]:
    """The pulse [µs] at each reading, rounded to a tenth."""
    rig = Rig(setup)
    for one in readings:
        chooses = rig.phase_control in one.positions
        frame = rig.at(one.positions, phase=None if chooses or not one.phase else one.phase)
        yield round(float(frame.pulse_us[surface.channel]), 1)
