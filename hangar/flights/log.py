"""Everything that was logged of one airframe, as one list: with what was withdrawn, which is shown struck through."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import CharField, Exists, F, OuterRef, Q, QuerySet, Value
from django.http import Http404
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from hangar.fleet import operations as fleet
from hangar.fleet.models import Airframe, Binding, Check, Fitting, MarkSeen
from hangar.pictures.words import short
from hangar.setups import operations as setups
from hangar.setups.models import Entered
from mixing.wording import length

from . import operations
from .models import BalanceCheck, Flight, Grounding, ThrowCheck, Work
from .reasons import in_words


@dataclass(frozen=True)
class Kind:
    """One kind of what is logged: how it is read, told and withdrawn."""

    rows: Any
    of: str
    at: str
    told: Callable[[Any], str]
    withdraw: Callable[[Any, Any, str], Any]
    related: tuple[str, ...] = ()


def _flown(row: Flight) -> str:
    text = _("flight of revision {number} on {date}, verdict {verdict}").format(
        number=row.revision.number, date=_day(row.flown_on), verdict=row.get_verdict_display()
    )
    return _with(text, row.observation)


def _grounded(row: Grounding) -> str:
    text = _("grounded: {reason}; not released yet")
    if row.released_at:
        text = _("grounded: {reason}; released by {member}: {release}")
    return text.format(reason=in_words([row.why])[0], member=row.released_by, release=row.release_reason)


def _worked(row: Work) -> str:
    return _("work, {kind}: {note}").format(kind=row.get_kind_display(), note=row.note)


def _read(row: ThrowCheck) -> str:
    return _with(_("throws of revision {number} read at the model").format(number=row.revision.number), row.note)


def _balanced(row: BalanceCheck) -> str:
    text = _("balance {length} behind the datum, with {load}")
    if row.mass_g is not None:
        text = _("balance {length} behind the datum, with {load}, {mass} g as weighed")
    return text.format(length=length(row.cg_mm), load=row.load, mass=short(row.mass_g or 0.0, 0))


def _entered(row: Entered) -> str:
    return _("revision {number} entered on {transmitter}, model memory {memory}").format(
        number=row.revision.number, transmitter=row.transmitter, memory=row.model_memory
    )


def _checked(row: Check) -> str:
    text = _("{check} with {transmitter}, passed") if row.passed else _("{check} with {transmitter}, not passed")
    return _with(text.format(check=row.get_kind_display(), transmitter=row.transmitter), row.note)


def _moved(row: Fitting) -> str:
    text = _("receiver {receiver} put into it, where it is now")
    if row.until:
        text = _("receiver {receiver} put into it until {date}")
    return text.format(receiver=row.receiver, date=_day(timezone.localdate(row.until)) if row.until else "")


def _bound(row: Binding) -> str:
    return _("receiver {receiver} bound to {transmitter}").format(receiver=row.receiver, transmitter=row.transmitter)


def _mark_seen(row: MarkSeen) -> str:
    return _("the mark {mark} seen on the model").format(mark=row.mark)


def _with(text: str, note: str) -> str:
    return f"{text}: {note}" if note else text


def _day(day: date) -> str:
    return date_format(day, "DATE_FORMAT")


KINDS = {
    "flight": Kind(
        Flight, "revision__airframe", "recorded_at",
        _flown,
        lambda user, row, reason: operations.withdraw_flight(user=user, flight=row, reason=reason), ("revision",),
    ),
    "grounding": Kind(
        Grounding, "airframe", "since", _grounded,
        lambda user, row, reason: operations.withdraw_grounding(user=user, grounding=row, reason=reason),
        ("released_by__personal", "airframe", "flight"),
    ),
    "work": Kind(
        Work, "airframe", "at", _worked,
        lambda user, row, reason: operations.withdraw_work(user=user, work=row, reason=reason),
    ),
    "throws": Kind(
        ThrowCheck, "revision__airframe", "at",
        _read,
        lambda user, row, reason: operations.withdraw_throw_check(user=user, check=row, reason=reason), ("revision",),
    ),
    "balance": Kind(
        BalanceCheck, "revision__airframe", "at", _balanced,
        lambda user, row, reason: operations.withdraw_balance_check(user=user, check=row, reason=reason),
        ("revision",),
    ),
    "entered": Kind(
        Entered, "revision__airframe", "at",
        _entered,
        lambda user, row, reason: setups.withdraw_entered(user=user, entered=row, reason=reason),
        ("revision", "transmitter"),
    ),
    "check": Kind(
        Check, "fitting__airframe", "at", _checked,
        lambda user, row, reason: fleet.withdraw_check(user=user, check=row, reason=reason), ("transmitter", "fitting"),
    ),
    "receiver": Kind(
        Fitting, "airframe", "since", _moved,
        lambda user, row, reason: fleet.withdraw_fitting(user=user, fitting=row, reason=reason), ("receiver",),
    ),
    "bound": Kind(
        Binding, "", "at", _bound,
        lambda user, row, reason: fleet.withdraw_binding(user=user, binding=row, reason=reason),
        ("receiver", "transmitter"),
    ),
    "mark": Kind(
        MarkSeen, "airframe", "at", _mark_seen,
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
