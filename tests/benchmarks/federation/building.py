"""All of a federation, in the order in which one thing needs another."""

import random
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from itertools import islice
from typing import Any

from django.core.management.color import no_style
from django.db import connection, transaction

from hangar.fleet.models import Airframe
from hangar.flights import glances
from hangar.flights.models import Glance
from hangar.keeping.models import Backup, Drill
from hangar.members.models import Invitation, Visit
from hangar.setups.models import Draft, Revision
from hangar.sheets.models import Batch, BatchItem

from .documents import designs
from .histories import Grown, Recorder, airframes, lengths
from .logged import Logbook
from .people import UNTIL, Club, clubs, insert

IN_ONE_GO = 200
REVISIONS_EACH, FLIGHTS_EACH = 20, 10
_SYLLABLES = ("Kes", "trel", "Bóa", "Lark", "Süd", "wind", "Mer", "lin", "Tór", "Ash", "fen", "Gru", "Vik", "élan")


@dataclass(frozen=True)
class Size:
    airframes: int

    @property
    def revisions(self) -> int:
        return REVISIONS_EACH * self.airframes

    @property
    def flights(self) -> int:
        return FLIGHTS_EACH * self.airframes


def build(size: Size, *, seed: int = 7, say: Callable[[str], None] = lambda text: None) -> None:
    """Into the empty database that is connected: `size.airframes` and what belongs to them."""
    chance = random.Random(seed)
    everyone = clubs(chance, size.airframes)
    models = designs(chance, [_model(chance) for _ in range(max(4, size.airframes // 25))])
    recorder, logbook = Recorder(chance), Logbook(chance)
    revisions = iter(lengths(chance, size.airframes, size.revisions))
    due = 0.0
    for start in range(0, size.airframes, IN_ONE_GO):
        numbers = range(start, min(start + IN_ONE_GO, size.airframes))
        some = list(islice(revisions, len(numbers)))
        flights, due = _flights(chance, some, size, due, last=numbers.stop == size.airframes)
        with transaction.atomic():
            grown = recorder.record(airframes(chance, everyone, models, numbers), some)
            logbook.log(grown, flights)
            _desks(chance, grown)
        say(f"{numbers.stop:,} airframes, {recorder.next - 1:,} revisions, {len(recorder.known):,} documents")
    _about_the_site(chance, everyone)
    _continue_numbering()
    insert(Glance, [Glance(airframe=one, state="look first") for one in Airframe.objects.all()])
    glances.refresh_all()
    say("the rows of the line-up are worked out")


def _model(chance: random.Random) -> str:
    return "".join(chance.sample(_SYLLABLES, 2)).capitalize()


def _flights(
    chance: random.Random, revisions: list[int], size: Size, due: float, *, last: bool
) -> tuple[list[int], float]:
    """How many flights each of some airframes has, in proportion to its revisions; what is due is carried on."""
    found = []
    for count in revisions:
        due += count * size.flights / size.revisions
        flown = min(round(due), round(chance.triangular(0, 2, 1) * due))
        found.append(flown)
        due -= flown
    if last:
        found[-1] += round(due)
    return found, due


def _desks(chance: random.Random, grown: list[Grown]) -> None:
    """Drafts that wait to be recorded."""
    waiting = [one for one in grown if chance.random() < 0.03]
    texts = {one.pk: one for one in Revision.objects.filter(
        pk__in=[one.revisions[-1].pk for one in waiting]).select_related("document")}  # fmt: skip
    insert(Draft, [
        Draft(airframe=one.airframe, member=one.airframe.owner, base=one.revisions[-1],
              text=texts[one.revisions[-1].pk].document.text)
        for one in waiting
    ])  # fmt: skip


def _about_the_site(chance: random.Random, everyone: list[Club]) -> None:
    """Invitations, browsers that are signed in, batches of sheets, backups."""
    secretary = everyone[0].members[0]
    insert(Invitation, [
        Invitation(token_digest=f"{chance.getrandbits(256):064x}", full_name=f"Someone {n}", invited_by=secretary,
                   expires_at=UNTIL + timedelta(days=14) if n % 4 else UNTIL + timedelta(days=3650))
        for n in range(2 * len(everyone))
    ])  # fmt: skip
    insert(Visit, [
        Visit(member=one, session_key=f"{chance.getrandbits(160):040x}", device="a phone")
        for club in everyone for one in club.members if chance.random() < 0.5
    ])  # fmt: skip
    for club in everyone:
        [batch] = insert(
            Batch, [Batch(by=club.members[0], what="all out-of-date sheets", paper="a4", base="", at=UNTIL)]
        )
        rows: Any = Airframe.objects.filter(owner__in=club.members)[:40]
        insert(BatchItem, [BatchItem(batch=batch, airframe=one) for one in rows])
    insert(Backup, [
        Backup(at=UNTIL - timedelta(days=n), name=f"backup-{n}.zip", size=10**8, digest="0" * 64) for n in range(30)
    ])  # fmt: skip
    insert(Drill, [Drill(at=UNTIL, name="backup-0.zip", made_at=UNTIL, revisions=1)])


def _continue_numbering() -> None:
    """PostgreSQL does not look at the numbers that were given."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), [Revision]):
            cursor.execute(statement)
