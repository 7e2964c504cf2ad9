"""The federation's people and transmitters: clubs of some forty members each, whose names nobody bears."""

import random
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any

from django.db.models import QuerySet

from hangar.fleet.models import Transmitter
from hangar.members.models import Member, PersonalName, Role

UNTIL = datetime(2026, 5, 31, 12, tzinfo=UTC)
"""Nothing happens after this: the same seed makes the same federation on every day."""
YEARS = timedelta(days=3650)
MEMBERS_FOR_100_AIRFRAMES = 40
_FIRST = (
    "Bren",
    "Ölva",
    "Tési",
    "Marn",
    "Quil",
    "Åsel",
    "Dova",
    "Jéla",
    "Wick",
    "Søra",
    "Hulm",
    "Petra",
    "Nøl",
    "Ifan",
)
_MIDDLE = ("tar", "löw", "ven", "gris", "ham", "kél", "dor", "mund", "sey", "rook", "fjel", "bant")
_LAST = ("way", "sen", "ström", "ley", "ert", "oss", "ick", "más", "eau", "fell", "mere", "gård")


def insert(model: Any, rows: list[Any]) -> list[Any]:
    """In one go, also where the model's own query set refuses that."""
    return QuerySet(model).bulk_create(rows, batch_size=500)


@dataclass
class Club:
    """Who is in it, the first an instructor, and what they fly with."""

    members: list[Member]
    transmitters: list[Transmitter] = field(default_factory=list)


def name(chance: random.Random) -> str:
    return f"{chance.choice(_FIRST)}{chance.choice(_MIDDLE)} {chance.choice(_MIDDLE).title()}{chance.choice(_LAST)}"


def clubs(chance: random.Random, airframes: int) -> list[Club]:
    """One for each hundred airframes. The first member of the first club is the secretary."""
    count = max(1, airframes // 100)
    size = max(3, airframes * MEMBERS_FOR_100_AIRFRAMES // 100 // count)
    members = insert(Member, [_member(chance, n, size) for n in range(count * size)])
    insert(PersonalName, [_named(chance, one) for one in members])
    found = [Club(members[start : start + size]) for start in range(0, count * size, size)]
    for number, club in enumerate(found):
        club.transmitters = insert(Transmitter, list(_transmitters(chance, club, number)))
    return found


def _member(chance: random.Random, number: int, size: int) -> Member:
    role = Role.SECRETARY if number == 0 else Role.INSTRUCTOR if number % size < 2 else Role.PILOT
    return Member(
        login=f"member{number:05}", password="!", role=role, author_key=f"{chance.getrandbits(128):032x}",
        is_active=number == 0 or chance.random() < 0.95, joined_at=UNTIL - chance.random() * YEARS,
    )  # fmt: skip


def _named(chance: random.Random, member: Member) -> PersonalName:
    numbered = chance.random() < 0.7
    return PersonalName(
        member=member, full_name=name(chance), operator_number=f"FED-{chance.randrange(10**7):07}" if numbered else "",
        licence_expires_on=date(2027, 1, 1) + timedelta(days=chance.randrange(700)) if numbered else None,
    )  # fmt: skip


def _transmitters(chance: random.Random, club: Club, number: int) -> list[Transmitter]:
    owners = [None, *(one for one in club.members if chance.random() < 0.7)]
    return [
        Transmitter(
            label=f"{'Club case' if owner is None else 'Case'} {number:03}-{n:02}", owner=owner,
            stick_mode=chance.choice((1, 2, 2, 2, 3, 4)), channels=chance.choice((8, 12, 16, 16)),
            step_pct=chance.choice((0.1, 0.5, 1, 1)), curve_points=chance.choice((5, 5, 9, 17)),
        )
        for n, owner in enumerate(owners)
    ]  # fmt: skip
