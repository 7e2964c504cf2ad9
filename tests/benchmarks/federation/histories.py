"""The airframes of a federation and their histories, each chain under true seals."""

import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from hangar.fleet.models import Airframe, Status
from hangar.members.models import Member
from hangar.setups.models import Document, Revision
from hangar.setups.sealing import seal_of

from .documents import Design, Text, chain
from .people import UNTIL, YEARS, Club, insert

LONG_EVERY = 64
"""One airframe in so many has hundreds of revisions."""
_REASONS = (
    "less aileron after the test flight", "elevator throw reduced by a tenth", "brake moved to the whole lever travel",
    "centre of gravity 2 mm forward, pitch softer", "flaps follow roll a little less", "as it was set for the contest",
    "expo taken out of the rudder", "back to what flew well", "as the others of this design fly it", "winter overhaul",
)  # fmt: skip


@dataclass
class Grown:
    """An airframe with its whole history, the oldest first."""

    airframe: Airframe
    club: Club
    revisions: list[Revision]


def lengths(chance: random.Random, airframes: int, revisions: int) -> list[int]:
    """How many revisions each airframe has: most 5 to 40, a few hundreds, some hardly any; `revisions` in all."""
    found = [_length(chance, number) for number in range(airframes)]
    usual = [number for number, length in enumerate(found) if length < 50]
    while (short := revisions - sum(found)) != 0:
        for number in chance.sample(usual, min(abs(short), len(usual))):
            found[number] = max(1, found[number] + (1 if short > 0 else -1))
    return found


def _length(chance: random.Random, number: int) -> int:
    if number % LONG_EVERY == LONG_EVERY - 1:
        return round(chance.triangular(100, 500, 150))
    return chance.randrange(1, 5) if chance.random() < 0.05 else round(chance.triangular(5, 40, 10))


def airframes(chance: random.Random, clubs: list[Club], designs: list[Design], numbers: range) -> list[Any]:
    """(airframe, club, design), the rows written."""
    made = [(chance.choice(clubs), chance.choice(designs), number) for number in numbers]
    rows = insert(Airframe, [_airframe(chance, *one) for one in made])
    helped = Airframe.helpers.through
    insert(helped, [
        helped(airframe=row, member=chance.choice(club.members))
        for row, (club, _, _) in zip(rows, made, strict=True) if chance.random() < 0.3
    ])  # fmt: skip
    return [(row, club, design) for row, (club, design, _) in zip(rows, made, strict=True)]


def _airframe(chance: random.Random, club: Club, design: Design, number: int) -> Airframe:
    states = (Status.AIRWORTHY, Status.AIRWORTHY, Status.AIRWORTHY, Status.AIRWORTHY, Status.BUILDING, Status.RESTING)
    gone = chance.random() < 0.05
    return Airframe(
        slug=f"federation-{number}", name=f"{design.name} {chance.randrange(1, 400)}",
        span_mm=chance.randrange(800, 6000), owner=chance.choice(club.members), mark=f"MF-{number:05}",
        mark_place="inside the canopy",
        status=Status.GONE if gone else chance.choice(states), added_at=UNTIL - chance.uniform(0.05, 1) * YEARS,
    )  # fmt: skip


class Recorder:
    """Writes revisions with numbers of their own, so that a chain is sealed before any of it is written."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.known: set[str] = set(Document.objects.values_list("digest", flat=True))
        self.next = (Revision.objects.order_by("-pk").values_list("pk", flat=True).first() or 0) + 1

    def record(self, made: list[Any], lengths: list[int]) -> list[Grown]:
        grown: list[Grown] = []
        documents: dict[str, Text] = {}
        for (airframe, club, design), length in zip(made, lengths, strict=True):
            told = list(chain(self.chance, design, length))
            documents |= {text.digest: text for text, _ in told if text.digest not in self.known}
            grown.append(Grown(airframe, club, list(self._chain(airframe, club, told))))
        insert(Document, [Document(digest=one.digest, text=one.text) for one in documents.values()])
        self.known.update(documents)
        insert(Revision, [one for each in grown for one in each.revisions])
        return grown

    def _chain(self, airframe: Airframe, club: Club, told: list[tuple[Text, str]]) -> Iterator[Revision]:
        parent: Revision | None = None
        for number, (at, (text, origin)) in enumerate(zip(self._moments(airframe, len(told)), told, strict=True), 1):
            row = Revision(
                pk=self.next, airframe=airframe, number=number, document_id=text.digest,
                parent_id=parent.pk if parent else None, author=self._author(airframe, club), recorded_at=at,
                reason=self.chance.choice(_REASONS), origin=origin,
            )  # fmt: skip
            row.seal = seal_of(row, parent.seal if parent else None)
            self.next += 1
            parent = row
            yield row

    def _author(self, airframe: Airframe, club: Club) -> Member:
        return airframe.owner if self.chance.random() < 0.85 else club.members[0]

    def _moments(self, airframe: Airframe, count: int) -> list[datetime]:
        span = (UNTIL - airframe.added_at) / timedelta(seconds=1)
        return [
            airframe.added_at + timedelta(seconds=s) for s in sorted(self.chance.uniform(0, span) for _ in range(count))
        ]
