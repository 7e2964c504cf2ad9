"""No page asks the database more often in a large club than in a small one, or of a long history than a short one."""

from typing import Any

import pytest
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from hangar.choosing import MOST
from hangar.fleet.models import Airframe
from hangar.flights.operations import log_flight, record_work
from hangar.members.operations import invite
from hangar.setups.history import current_head
from hangar.setups.models import Revision
from hangar.setups.operations import enter, record
from hangar.sheets.operations import record_print
from tests.factories import MemberFactory, ReceiverFactory, TransmitterFactory
from tests.hangar.access.conftest import Club
from tests.hangar.access.table import ROWS
from tests.seeding import many_airframes

pytestmark = [pytest.mark.django_db, pytest.mark.database]
LISTS = (
    "/?search=seeded", "/?sort=-owner", "/?sort=-warnings", "/?state=look+first", "/?sort=name&page=2",
    "/members/?search=member", "/members/?sort=-here", "/receivers/?sort=-status", "/transmitters/?sort=-owner",
    "/sheets/?search=seeded", "/airframes/big-glider/history/?on=2999-01-01",
)  # fmt: skip
# Made from one revision, seconds to make; what they ask is counted where they are tested.
PRINTED = ("pdf", "zip", "setup_sheet", "change_card", "pocket_card", "phone")


def addresses(club: Club) -> list[str]:
    rows = [row for row in ROWS if "get" in row.takes and not (row.name.startswith("sheets:") and
            row.name.endswith(PRINTED))]  # fmt: skip
    pages = [reverse(row.name, kwargs=row.kwargs(club.cast)) + (f"?{row.query}" if row.query else "") for row in rows]
    return [*dict.fromkeys(pages), *LISTS]


def asked(browser: Client, address: str) -> int:
    """How many queries an answer takes, when whatever is kept in memory is there; what it did is undone."""
    browser.get(address, secure=True)
    with transaction.atomic(), CaptureQueriesContext(connection) as queries:
        browser.get(address, secure=True)
        transaction.set_rollback(True)
    return len(queries)


def grow(airframe: Airframe, people: int, revisions: int) -> None:
    """More of everything around the airframe, and a longer history of its own."""
    many_airframes(people, first=Airframe.objects.count())
    owner = airframe.owner
    for _ in range(people):
        TransmitterFactory.create(owner=MemberFactory.create())
        ReceiverFactory.create()
    invite(user=MemberFactory.create(secretary=True), full_name="Another One")
    transmitter = TransmitterFactory.create(owner=owner)
    for number in range(revisions):
        lengthen(airframe, transmitter, f"No. {number}")


def lengthen(airframe: Airframe, transmitter: Any, remark: str) -> None:
    """One more revision, flown, entered, printed and worked for."""
    owner, head = airframe.owner, current_head(airframe)
    assert head is not None
    revision: Revision = record(
        user=owner, airframe=airframe, setup=head.setup.changed(remarks=remark), base=head, reason="another"
    ).revision
    log_flight(user=owner, revision=revision, flown_on=timezone.localdate(), pilot=owner, load="small", verdict="keep")
    enter(user=owner, revision=revision, transmitter=transmitter, model_memory="07")
    record_print(user=owner, revision=revision)
    record_work(user=owner, airframe=airframe, kind="servo", note="a new servo")


def test_every_page(club: Club) -> None:
    airframe = Airframe.objects.get(slug=str(club.cast["slug"]))
    browser, pages = club.browsers["secretary"], addresses(club)
    with transaction.atomic():
        grow(airframe, people=5, revisions=3)
        before = {page: asked(browser, page) for page in pages}
        grow(airframe, people=MOST + 5, revisions=22)
        after = {page: asked(browser, page) for page in pages}
        transaction.set_rollback(True)
    assert {page: (before[page], after[page]) for page in pages if after[page] > before[page]} == {}
    assert max(after.values()) < 40
    assert len(pages) > 100
