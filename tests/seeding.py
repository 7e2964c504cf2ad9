"""A hangar of any size, made from one seed: airframes in every state, written past the operations to be quick."""

import random
from datetime import timedelta
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from hangar.fleet.checks import failsafe_digest
from hangar.fleet.models import Airframe, Binding, Check, Fitting, Receiver
from hangar.flights import glances
from hangar.flights.models import Flight, Glance, Grounding, Work
from hangar.members.models import Member
from hangar.setups.models import Document, Entered, Revision
from hangar.setups.sealing import seal_of
from mixing import Setup
from tests.factories import MemberFactory, TransmitterFactory, make_setup

OWNERS = 20
REVISIONS = 2


def _insert(model: Any, rows: list[Any]) -> list[Any]:
    """In one go, also where the model's own query set refuses that."""
    return QuerySet(model).bulk_create(rows, batch_size=500)


def many_airframes(count: int, *, first: int = 0, seed: int = 5) -> list[Airframe]:
    """`count` airframes with two revisions each: flown or not, bound, checked, entered, worked on, grounded, by chance.

    Their rows of the line-up are worked out too. `first` is the number of the first: more can be added to them.
    """
    chance = random.Random(seed)
    owners = [MemberFactory.create() for _ in range(OWNERS)]
    now = timezone.now()
    airframes = _insert(Airframe, [
        Airframe(slug=f"seeded-{n}", name=f"Seeded {chance.randrange(10**6):06}", owner=chance.choice(owners),
                 status=chance.choice(["airworthy", "airworthy", "building", "resting"]), mark=f"SEED {n}")
        for n in range(first, first + count)
    ])  # fmt: skip
    _insert(Glance, [Glance(airframe=one, state="look first") for one in airframes])
    setups = [make_setup(), make_setup(remarks="softer")]
    for setup in setups:
        Document.objects.get_or_create(digest=setup.digest(), defaults={"text": setup.text()})
    heads = _revisions(airframes, setups)
    _receivers(chance, airframes, owners[0], setups[-1])
    _flown(chance, heads, owners[0])
    _insert(Grounding, [
        Grounding(airframe=one, since=now, by=owners[0], reason="crack") for one in airframes if chance.random() < 0.1
    ])  # fmt: skip
    _insert(Work, [
        Work(airframe=one, kind="servo", at=now, by=owners[0], note="a new servo")
        for one in airframes if chance.random() < 0.2
    ])  # fmt: skip
    glances.refresh_all()
    return airframes


def _revisions(airframes: list[Airframe], setups: list[Setup]) -> list[Revision]:
    """The newest of each."""
    parents: list[Revision | None] = [None] * len(airframes)
    for number, setup in enumerate(setups, start=1):
        rows = []
        for airframe, parent in zip(airframes, parents, strict=True):
            row = Revision(
                airframe=airframe, number=number, document_id=setup.digest(), parent=parent, author=airframe.owner,
                recorded_at=timezone.now(), reason="seeded", origin="start" if number == 1 else "edit",
            )  # fmt: skip
            row.seal = seal_of(row, parent.seal if parent else None)
            rows.append(row)
        parents = [*_insert(Revision, rows)]
    return [one for one in parents if one is not None]


def _receivers(chance: random.Random, airframes: list[Airframe], by: Member, setup: Setup) -> None:
    since = timezone.now() - timedelta(days=30)
    transmitter = TransmitterFactory.create(owner=by)
    fitted = [one for one in airframes if chance.random() < 0.9]
    receivers = _insert(Receiver, [Receiver(label=f"S{one.pk}", channels=9, status="in_use") for one in fitted])
    fittings = _insert(Fitting, [
        Fitting(receiver=receiver, airframe=airframe, since=since, by=by)
        for receiver, airframe in zip(receivers, fitted, strict=True)
    ])  # fmt: skip
    _insert(Binding, [Binding(receiver=one, transmitter=transmitter, at=since, by=by) for one in receivers])
    _insert(Check, [
        Check(kind=kind, fitting=one, transmitter=transmitter, failsafe_digest=failsafe_digest(setup), passed=True,
              at=since + timedelta(days=chance.randrange(1, 20)), by=by)
        for one in fittings for kind in ("failsafe", "range") if chance.random() < 0.95
    ])  # fmt: skip


def _flown(chance: random.Random, heads: list[Revision], by: Member) -> None:
    transmitter = TransmitterFactory.create(owner=by)
    today = timezone.localdate()
    _insert(Entered, [
        Entered(revision=head, transmitter=transmitter, model_memory="07", at=timezone.now(), by=by)
        for head in heads if chance.random() < 0.9
    ])  # fmt: skip
    _insert(Flight, [
        Flight(revision=head, flown_on=today - timedelta(days=chance.randrange(300)), pilot=by, load="small", by=by,
               verdict=chance.choice(["keep", "keep", "keep", "tweak", "reject"]))
        for head in heads if chance.random() < 0.8
    ])  # fmt: skip
