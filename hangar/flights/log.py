"""Everything that was logged of one airframe, as one list: with what was withdrawn, which is shown struck through."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import CharField, Exists, F, OuterRef, Q, QuerySet, Value
from django.http import Http404
from django.urls import reverse

from hangar.fleet import operations as fleet
from hangar.fleet.models import Airframe, Binding, Check, Fitting, MarkSeen
from hangar.pictures.words import short
from hangar.setups import operations as setups
from hangar.setups.models import Entered

from . import operations
from .models import BalanceCheck, Flight, Grounding, ThrowCheck, Work


@dataclass(frozen=True)
class Kind:
    """One kind of what is logged: how it is read, told and withdrawn."""

    rows: Any
    of: str
    at: str
    told: Callable[[Any], str]
    withdraw: Callable[[Any, Any, str], Any]
    related: tuple[str, ...] = ()


def _grounded(row: Grounding) -> str:
    released = f"; released by {row.released_by}: {row.release_reason}" if row.released_at else "; not released yet"
    return f"grounded: {row.reason}{released}"


def _moved(row: Fitting) -> str:
    until = f" until {row.until:%d %b %Y}" if row.until else ", where it is now"
    return f"receiver {row.receiver} put into it{until}"


def _passed(row: Check) -> str:
    result = "passed" if row.passed else "not passed"
    return _with(f"{row.get_kind_display()} with {row.transmitter}, {result}", row.note)


def _with(text: str, note: str) -> str:
    return f"{text}: {note}" if note else text


def _balanced(row: BalanceCheck) -> str:
    mass = f", {short(row.mass_g, 0)} g as weighed" if row.mass_g is not None else ""
    return f"balance {short(row.cg_mm)} mm behind the datum, with {row.load}{mass}"


KINDS = {
    "flight": Kind(
        Flight, "revision__airframe", "recorded_at",
        lambda row: _with(f"flight of revision {row.revision.number} on {row.flown_on:%d %b %Y}, verdict {row.verdict}",
                          row.observation),
        lambda user, row, reason: operations.withdraw_flight(user=user, flight=row, reason=reason), ("revision",),
    ),
    "grounding": Kind(
        Grounding, "airframe", "since", _grounded,
        lambda user, row, reason: operations.withdraw_grounding(user=user, grounding=row, reason=reason),
        ("released_by__personal", "airframe"),
    ),
    "work": Kind(
        Work, "airframe", "at", lambda row: f"work, {row.get_kind_display()}: {row.note}",
        lambda user, row, reason: operations.withdraw_work(user=user, work=row, reason=reason),
    ),
    "throws": Kind(
        ThrowCheck, "revision__airframe", "at",
        lambda row: _with(f"throws of revision {row.revision.number} read at the model", row.note),
        lambda user, row, reason: operations.withdraw_throw_check(user=user, check=row, reason=reason), ("revision",),
    ),
    "balance": Kind(
        BalanceCheck, "revision__airframe", "at", _balanced,
        lambda user, row, reason: operations.withdraw_balance_check(user=user, check=row, reason=reason),
        ("revision",),
    ),
    "entered": Kind(
        Entered, "revision__airframe", "at",
        lambda row: f"revision {row.revision.number} entered on {row.transmitter}, model memory {row.model_memory}",
        lambda user, row, reason: setups.withdraw_entered(user=user, entered=row, reason=reason),
        ("revision", "transmitter"),
    ),
    "check": Kind(
        Check, "fitting__airframe", "at", _passed,
        lambda user, row, reason: fleet.withdraw_check(user=user, check=row, reason=reason), ("transmitter", "fitting"),
    ),
    "receiver": Kind(
        Fitting, "airframe", "since", _moved,
        lambda user, row, reason: fleet.withdraw_fitting(user=user, fitting=row, reason=reason), ("receiver",),
    ),
    "bound": Kind(
        Binding, "", "at", lambda row: f"receiver {row.receiver} bound to {row.transmitter}",
        lambda user, row, reason: fleet.withdraw_binding(user=user, binding=row, reason=reason),
        ("receiver", "transmitter"),
    ),
    "mark": Kind(
        MarkSeen, "airframe", "at", lambda row: f"the mark {row.mark} seen on the model",
        lambda user, row, reason: fleet.withdraw_mark_seen(user=user, seen=row, reason=reason),
    ),
}  # fmt: skip


@dataclass(frozen=True)
class Entry:
    """One thing that was logged."""

    kind: str
    row: Any
    at: datetime
    told: str
    address: str


def rows_of(airframe: Airframe, kind: Kind) -> QuerySet[Any]:
    """All of one kind, the withdrawn ones too."""
    rows = kind.rows.everything.order_by()
    if kind.of:
        return rows.filter(**{kind.of: airframe})  # type: ignore[no-any-return]
    # A receiver is bound wherever it sits: what counts here is what was done while it sat in this one.
    sat = Fitting.everything.filter(airframe=airframe, receiver=OuterRef("receiver"), since__lte=OuterRef("at"))
    return rows.filter(Exists(sat.filter(Q(until=None) | Q(until__gt=OuterRef("at")))))  # type: ignore[no-any-return]


def logged(airframe: Airframe) -> QuerySet[Any, Any]:
    """(kind, primary key, when) of everything, the newest first, for a page to cut."""
    parts = [
        rows_of(airframe, kind)
        .annotate(logged_as=Value(name, output_field=CharField()), logged_at=F(kind.at))
        .values_list("logged_as", "pk", "logged_at")
        for name, kind in KINDS.items()
    ]
    together: QuerySet[Any, Any] = parts[0].union(*parts[1:], all=True)
    return together.order_by("-logged_at", "logged_as", "-id")


def entries(airframe: Airframe, page: Any) -> Iterator[Entry]:
    """What one page of `logged` tells: a query a kind, however many there are."""
    wanted = [(kind, pk) for kind, pk, _ in page]
    found = {
        name: {row.pk: row for row in _told_rows(KINDS[name], [pk for kind, pk in wanted if kind == name])}
        for name in dict.fromkeys(kind for kind, _ in wanted)
    }
    for name, pk in wanted:
        yield entry_of(airframe, name, found[name][pk])


def _told_rows(kind: Kind, keys: list[int]) -> QuerySet[Any]:
    people = ("by__personal", "withdrawn_by__personal")
    return kind.rows.everything.filter(pk__in=keys).select_related(*people, *kind.related)  # type: ignore[no-any-return]


def entry_of(airframe: Airframe, name: str, row: Any) -> Entry:
    kind = KINDS[name]
    address = reverse("flights:flight", args=[airframe.slug, row.pk]) if name == "flight" else ""
    return Entry(name, row, getattr(row, kind.at), kind.told(row), address)


def get_logged(airframe: Airframe, name: str, pk: int) -> Entry:
    """One thing that was logged of an airframe that was looked up with its permission; Http404 where there is none."""
    kind = KINDS.get(name)
    keys = list(rows_of(airframe, kind).filter(pk=pk).values_list("pk", flat=True)) if kind is not None else []
    if kind is None or not keys:
        raise Http404(f"Nothing like {name!r} with the number {pk} was logged of {airframe}.")
    return entry_of(airframe, name, _told_rows(kind, keys).get())
