"""The history: verdicts, reasons, authors and what changed; any two compared; as it was on a day; and a thousand
revisions in as many queries as ten."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from hangar.fleet.models import Airframe
from hangar.flights.operations import log_flight
from hangar.members.models import Member
from hangar.setups import sealing
from hangar.setups.models import Document, Revision
from hangar.setups.operations import enter, record
from tests.factories import TransmitterFactory, record_first, setup_with_pitch
from tests.hangar.pages.conftest import SignIn, error_at, values, words

pytestmark = pytest.mark.database

HISTORY = reverse("flights:history", args=["big-glider"])
MAY = datetime.datetime(2026, 5, 1, 12, tzinfo=datetime.UTC)


def page_of(number: int) -> str:
    return reverse("flights:revision", args=["big-glider", number])


@pytest.fixture
def three(airframe: Airframe, owner: Member, helper: Member) -> list[Revision]:
    """Recorded on the first, third and fifth of May; the second flew well."""
    revisions: list[Revision] = []
    for day, percent, author in ((0, 80, owner), (2, 70, helper), (4, 60, owner)):
        done = record(
            user=author, airframe=airframe, setup=setup_with_pitch(percent), base=revisions[-1] if revisions else None,
            reason=f"{percent} per cent", now=MAY + datetime.timedelta(days=day),
        )  # fmt: skip
        revisions.append(done.revision)
    log_flight(
        user=owner, revision=revisions[1], flown_on=timezone.localdate(), pilot=owner, load="small", verdict="keep"
    )
    return revisions


def test_what_each_revision_tells(three: list[Revision], reader: Member, sign_in: SignIn) -> None:
    page = words(sign_in(reader).get(HISTORY))
    newest, second, oldest = (page.index(f"Revision {n} ") for n in (3, 2, 1))
    assert newest < second < oldest
    told = page[second:oldest]
    assert "3 May 2026, 13:00, Henry Helper" in told or "3 May 2026, 12:00, Henry Helper" in told
    assert "keep 70 per cent" in told
    assert "Elevator 9.6 mm down → 8.4 mm down with Elevator stick at −100" in told
    assert "not flown" in page[newest:second]


def test_any_two_are_compared(three: list[Revision], reader: Member, sign_in: SignIn) -> None:
    browser = sign_in(reader)
    body = browser.get(HISTORY).content.decode()
    assert body.count('type="radio" name="from"') == body.count('type="radio" name="to"') == 3
    page = words(browser.get(reverse("flights:compare", args=["big-glider"]), {"from": "1", "to": "3"}))
    assert "revision 1 → 3" in page
    assert "9.6 mm down → ↓ 7.2 mm down" in page


@pytest.mark.parametrize(
    ("day", "number"), [("2026-05-01", 1), ("2026-05-02", 1), ("2026-05-04", 2), ("2026-06-01", 3)]
)
def test_as_it_was_on_a_day(three: list[Revision], reader: Member, sign_in: SignIn, day: str, number: int) -> None:
    response = sign_in(reader).get(HISTORY, {"on": day})
    assert response["Location"] == f"{page_of(number)}?on={day}"


def test_what_was_in_the_transmitter_that_day(
    three: list[Revision], owner: Member, reader: Member, sign_in: SignIn
) -> None:
    transmitter = TransmitterFactory.create(label="Grey Case")
    enter(user=owner, revision=three[0], transmitter=transmitter, model_memory="07", at=MAY)
    page = words(sign_in(reader).get(f"{page_of(2)}?on=2026-05-04"))
    assert "At the end of 4 May 2026 this was the setup of Big Glider." in page
    assert "In the transmitter was revision 1: Grey Case, model memory 07." in page


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("2026-04-30", "No setup of Big Glider was recorded by then; give a later day."),
        ("last week", "Give a day, such as 2026-05-01."),
        ("", "Give a day, such as 2026-05-01."),
        ("0001-01-01", "Give a day of our time"),
        ("9999-12-31", "31 Dec 9999 is still to come; give a day that has come."),
    ],
)
def test_a_day_that_is_none(three: list[Revision], reader: Member, sign_in: SignIn, typed: str, told: str) -> None:
    response = sign_in(reader).get(HISTORY, {"on": typed})
    assert response.status_code == 200
    assert told in error_at(response, "on")
    assert values(response)["on"] == typed


def many(airframe: Airframe, count: int) -> None:
    """So many revisions of two documents in turn, written at once and sealed as `record` does."""
    parent = record_first(airframe, setup_with_pitch(80))
    documents = [
        parent.document,
        Document.objects.create(digest=setup_with_pitch(70).digest(), text=setup_with_pitch(70).text()),
    ]
    for number in range(2, count + 1):
        document = documents[(number + 1) % 2]
        row = Revision(
            airframe=airframe, number=number, document=document, parent=parent, author=airframe.owner,
            recorded_at=MAY, reason=f"number {number}", origin="edit",
            seal=sealing.seal(
                airframe_id=airframe.pk, parent_seal=parent.seal, number=number, document_digest=document.digest,
                author_key=airframe.owner.author_key, time=MAY, reason=f"number {number}", origin="edit",
            ),
        )  # fmt: skip
        row.save(force_insert=True)
        parent = row


@pytest.mark.parametrize("count", [10, 1000])
def test_the_number_of_queries_does_not_grow(airframe: Airframe, reader: Member, sign_in: SignIn, count: int) -> None:
    many(airframe, count)
    browser = sign_in(reader)
    for query in ("", f"?page={(count + 19) // 20}"):
        browser.get(HISTORY + query)
        with CaptureQueriesContext(connection) as asked:
            response = browser.get(HISTORY + query)
        shown = words(response).count("number ")
        assert 9 <= shown <= 21
        assert len(asked) == 8, "\n".join(one["sql"][:160] for one in asked)
