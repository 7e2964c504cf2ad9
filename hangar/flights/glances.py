"""The line-up's rows, kept in the database: marked stale by whatever happens, worked out anew when it is done.

A row that is stale says "look first" (or stays grounded), never "ready to fly".
"""

import hashlib
from collections.abc import Collection, Iterable, Iterator
from functools import cache
from pathlib import Path
from time import monotonic
from typing import Any

from django.db import transaction
from django.db.models import Case, F, Q, Value, When

from hangar.fleet.models import Airframe, CheckKind
from hangar.languages.kept import as_json, kept
from hangar.setups.summaries import code_version

from .models import Glance
from .reasons import GROUNDED, LOOK_FIRST
from .standings import Standing, standings

IN_ONE_GO = 100
SECONDS = 1.5
STALE = as_json([kept("just-now")])
"""The reasons of a row that is still to be worked out."""


@cache
def rules_version() -> str:
    """A short digest of the rules from which a row follows: what another version worked out is stale."""
    sources = [
        Path(__file__).with_name(name) for name in ("standings.py", "club.py", "work.py", "glances.py", "models.py")
    ]
    return hashlib.sha256(code_version().encode() + b"".join(one.read_bytes() for one in sources)).hexdigest()[:16]


def touch(airframes: Collection[int]) -> None:
    """Something happened to these airframes: in the transaction in which it happens their rows become stale, and
    after it they are worked out anew."""
    if airframes:
        _make_stale(Q(airframe__in=airframes))
        # The audit takes its time, so this waits until the transaction is over; if it fails, the next reader does it.
        transaction.on_commit(lambda: refresh(airframes), robust=True)


def touch_all() -> None:
    """As `touch`, of every airframe: what does not get its turn at once is worked out by the next readers."""
    _make_stale(Q())
    transaction.on_commit(refresh_stale, robust=True)


def add(*airframes: int) -> None:
    """The rows of new airframes."""
    rows = [Glance(airframe_id=one, state=LOOK_FIRST, reasons=STALE) for one in airframes]
    Glance.objects.bulk_create(rows, ignore_conflicts=True, batch_size=500)


def add_missing() -> None:
    """The rows of airframes that came in past the operations."""
    add(*Airframe.objects.filter(glance=None).values_list("pk", flat=True))


def _make_stale(which: Q) -> None:
    waiting = Case(When(state=GROUNDED, then=Value(GROUNDED)), default=Value(LOOK_FIRST))
    Glance.objects.filter(which).update(touched=F("touched") + 1, stale=True, state=waiting, reasons=STALE)


def refresh(airframes: Collection[int]) -> None:
    """Work out those of these airframes that are stale."""
    stale = dict(Glance.objects.filter(airframe__in=airframes, stale=True).values_list("airframe", "touched"))
    if not stale:
        return
    changed = []
    for standing in standings(Airframe.objects.filter(pk__in=stale)):
        row = glance_of(standing)
        row.touched = stale[standing.airframe.pk]
        changed.append(row)
    with transaction.atomic():
        for row in changed:
            # Someone may have logged something while this was worked out: then it stays stale, and they do it.
            Glance.objects.filter(airframe=row.airframe_id, touched=row.touched).update(**_written(row))


def _written(row: Glance) -> dict[str, Any]:
    names = [field.name for field in Glance._meta.concrete_fields if field.name not in ("airframe", "touched")]
    return {name: getattr(row, name) for name in names}


def refresh_stale(seconds: float = SECONDS) -> None:
    """Work out what is stale, as far as the time goes: what does not get its turn says "look first" until then."""
    until = monotonic() + seconds
    for some in _in_goes(_stale(), 5):
        refresh(some)
        if monotonic() > until:
            return


def refresh_all() -> None:
    """Work out all that is stale, however long it takes."""
    for some in _in_goes(_stale(), IN_ONE_GO):
        refresh(some)


def _stale() -> list[int]:
    """The airframes whose rows are to be worked out. What another version of the code worked out becomes stale; rows
    that are missing, where airframes came in past the operations, are made."""
    # Two counts are much quicker than looking for what is missing, which nearly never is.
    if Airframe.objects.count() != Glance.objects.count():
        add_missing()
    code = rules_version()
    outdated = Q(code__lt=code) | Q(code__gt=code)
    found = list(Glance.objects.filter(Q(stale=True) | outdated).values_list("airframe", "stale"))
    if not all(known for _, known in found):
        _make_stale(outdated & Q(stale=False))
    return [airframe for airframe, _ in found]


def _in_goes(keys: Iterable[int], size: int) -> Iterator[list[int]]:
    every = list(keys)
    for start in range(0, len(every), size):
        yield every[start : start + size]


def glance_of(standing: Standing) -> Glance:
    """The row of one airframe, from everything that is known of it; it is not saved."""
    failsafe, range_check = (standing.checks.get(kind) for kind in (CheckKind.FAILSAFE, CheckKind.RANGE))
    return Glance(
        airframe=standing.airframe, stale=False, code=rules_version(), state=standing.state,
        reasons=as_json(standing.why), layout=standing.summary.layout if standing.summary is not None else "",
        revision=standing.head.number if standing.head is not None else None, verdict=standing.verdict,
        sheet_behind=standing.sheet_behind, receiver=standing.receiver or "",
        failsafe_at=failsafe.check.at if failsafe else None, failsafe_holds=failsafe.current if failsafe else None,
        range_at=range_check.check.at if range_check else None,
        range_holds=range_check.current if range_check else None,
        warnings=standing.warnings, last_flown=standing.last_flown,
    )  # fmt: skip


def differing(airframes: Collection[int]) -> Iterator[tuple[str, str]]:
    """Held against everything anew: the slug of each airframe whose row says something else, and what."""
    kept = Glance.objects.in_bulk(airframes)
    for standing in standings(Airframe.objects.filter(pk__in=airframes)):
        row, now = kept.get(standing.airframe.pk), _written(glance_of(standing))
        if row is None:
            yield standing.airframe.slug, "has no row"
        elif wrong := [name for name, value in now.items() if getattr(row, name) != value]:
            yield standing.airframe.slug, ", ".join(wrong)
