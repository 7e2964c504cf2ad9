"""What goes with a model to its next owner: its setup, and what was measured when. It names nobody: no member, mark,
reason, note or remark is in it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery
from django.template.loader import render_to_string
from django.utils import timezone

from hangar.fleet.models import Airframe
from hangar.languages.speaking import speaking
from hangar.pictures.words import throw_words
from hangar.setups.channel_map import Line, channel_map
from hangar.setups.handover import without_people, written
from hangar.setups.matrix import Cell, Column, at_rest, cells_at, stood, throw_matrix
from hangar.setups.models import Revision
from hangar.setups.summaries import layout_words
from mixing import Rig, Setup

from . import pdf
from .heading import NOT_FLOWN

READINGS = 40


@dataclass(frozen=True)
class Place:
    """Where the controls stand, and what moves there."""

    words: str
    moved: tuple[tuple[Column, Cell], ...]


@dataclass(frozen=True)
class Phase:
    """The throws of one phase: at rest where something stands off neutral, then at the ends of the controls."""

    label: str
    places: tuple[Place, ...]


@dataclass(frozen=True)
class Handover:
    """All that is handed over, in words."""

    airframe: Airframe
    revision: Revision
    setup: Setup
    layout: str
    on: date
    phases: tuple[Phase, ...]
    channels: list[Line]
    balance: list[dict[str, Any]]
    throws: list[dict[str, Any]]
    history: list[dict[str, Any]]


def handover_of(revision: Revision, on: date | None = None) -> Handover:
    """What is told of the model with one revision as its setup."""
    setup = without_people(revision.setup)
    phases: list[tuple[str | None, str]] = [(one.key, one.label) for one in setup.phases]
    phases = phases or [(None, "")]
    return Handover(
        airframe=revision.airframe, revision=revision, setup=setup, layout=layout_words(setup),
        on=on or timezone.localdate(), channels=channel_map(setup), balance=_balance(revision),
        throws=_throws(revision), history=_history(revision),
        phases=tuple(Phase(label, tuple(_places(setup, key))) for key, label in phases),
    )  # fmt: skip


def _places(setup: Setup, phase: str | None) -> Iterator[Place]:
    """What stands elsewhere in this phase is told once, at rest; each end of a control tells what it changes."""
    matrix, rig = throw_matrix(setup, phase), Rig(setup)
    rest = cells_at(setup, rig.at({}, phase=phase))
    standing = tuple(pair for pair in zip(matrix.columns, rest, strict=True) if not pair[1].still)
    if standing:
        yield Place(at_rest(), standing)
    for row in matrix.rows:
        # The switch that chooses the phase would tell here what stands under the other phases.
        if row.control.key == rig.phase_control:
            continue
        moved = tuple(pair for pair, still in zip(row.cells, rest, strict=True) if pair[1] != still)
        if moved:
            yield Place(f"{row.control.label} {row.words}", moved)


# What flying and measuring showed is kept by a package beside this one: it is reached by the names of the relations.


def _history(revision: Revision) -> list[dict[str, Any]]:
    revisions: QuerySet[Revision] = Revision.objects.filter(airframe=revision.airframe, number__lte=revision.number)
    flights = Revision.objects.filter(pk=OuterRef("pk"), flights__withdrawn_at=None).order_by(
        "-flights__flown_on", "-flights__recorded_at", "-flights__pk"
    )
    told = revisions.annotate(last=Subquery(flights.values("flights__verdict")[:1])).order_by("number")
    return [
        {"revision": number, "recorded_on": timezone.localdate(at), "verdict": verdict or NOT_FLOWN}
        for number, at, verdict in told.values_list("number", "recorded_at", "last")
    ]


def _balance(revision: Revision) -> list[dict[str, Any]]:
    """The newest with each load that the setup has."""
    checks = Revision.objects.filter(
        airframe=revision.airframe, balance_checks__isnull=False, balance_checks__withdrawn_at=None
    )
    found = {}
    for load, cg_mm, mass_g, at in checks.order_by("balance_checks__at", "balance_checks__pk").values_list(
        "balance_checks__load", "balance_checks__cg_mm", "balance_checks__mass_g", "balance_checks__at"
    ):
        found[load] = {"cg_mm": cg_mm, "mass_g": mass_g, "on": timezone.localdate(at)}
    loads = revision.setup.balance.loads
    return [{"load": load.label, **found[load.key]} for load in loads if load.key in found]


def _throws(revision: Revision) -> list[dict[str, Any]]:
    """Those read of a revision with this very document, the newest first."""
    same = Revision.objects.filter(
        airframe=revision.airframe, document=revision.document_id, throw_checks__readings__isnull=False,
        throw_checks__withdrawn_at=None,
    )  # fmt: skip
    fields = ("surface", "positions", "phase", "measured_mm", "predicted_mm")
    names = [f"throw_checks__readings__{name}" for name in fields]
    rows = same.order_by("-throw_checks__at", "throw_checks__readings__pk").values_list("throw_checks__at", *names)
    setup, told = revision.setup, []
    for at, key, positions, phase, measured, predicted in rows[:READINGS]:
        role = setup.surface(key).role
        told.append({
            "surface": setup.surface(key).label, "on": timezone.localdate(at),
            "with": stood(setup, positions, phase),
            "read": throw_words(measured, role), "predicted": throw_words(predicted, role),
        })  # fmt: skip
    return told


def handover_json(revision: Revision, on: date | None = None) -> bytes:
    """As a file, for another hangar: in English and mm, like every file of ours."""
    with speaking("en"):
        return _as_file(handover_of(revision, on))


def _as_file(told: Handover) -> bytes:
    airframe = told.airframe
    area = airframe.wing_area_dm2
    facts = {
        "name": airframe.name, "span_mm": airframe.span_mm, "wing_area_dm2": None if area is None else float(area),
    }  # fmt: skip
    return written(
        {
            "airframe": facts, "handed_over_on": told.on.isoformat(), "history": _plain_days(told.history),
            "balance": _plain_days(told.balance), "throws_read": _plain_days(told.throws),
        },
        told.setup,
    )  # fmt: skip


def _plain_days(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [{name: one.isoformat() if isinstance(one, date) else one for name, one in row.items()} for row in rows]


def handover_pdf(revision: Revision, *, paper: str = "a4", on: date | None = None) -> bytes:
    """On paper."""
    html = render_to_string("sheets/handover.html", {"told": handover_of(revision, on)})
    return pdf.render([lambda: html], sheet="handover", paper=paper).content
