"""Printing a revision: the view, the record of the print, and what is out of date."""

import datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from hangar.fleet.models import Airframe
from hangar.fleet.operations import fit
from hangar.flights.reports import sheets_out_of_date
from hangar.members.models import Member
from hangar.setups.errors import Immutable
from hangar.setups.models import Revision
from hangar.setups.operations import enter, record
from hangar.sheets.heading import NOT_FLOWN, heading_of, when_words
from hangar.sheets.models import Kind, Print
from hangar.sheets.operations import record_print
from hangar.sheets.prints import CopyState, state_of
from hangar.sheets.render import facts_of, setup_sheet_pdf
from hangar.sheets.spacings import SPACINGS
from tests.factories import MemberFactory, ReceiverFactory, TransmitterFactory, make_setup, record_first
from tests.mixing.example import example

from .rendering import reader, words_of

NOON = datetime.datetime(2026, 11, 4, 12, 0, tzinfo=datetime.UTC)


def second(airframe: Airframe, first: Revision) -> Revision:
    setup = first.setup.changed(remarks="Another remark.")
    return record(user=airframe.owner, airframe=airframe, setup=setup, base=first, reason="a remark").revision


def sheet_url(first: Revision, **query: Any) -> str:
    url = reverse("sheets:setup_sheet", args=[first.airframe.slug, first.number])
    return f"{url}?{'&'.join(f'{key}={value}' for key, value in query.items())}" if query else url


def print_url(first: Revision) -> str:
    return reverse("sheets:print_sheet", args=[first.airframe.slug, first.number])


def test_a_reader_gets_the_sheet_as_a_pdf_in_the_browser(client: Client, first: Revision, reader: Member) -> None:
    client.force_login(reader)
    response = client.get(sheet_url(first))
    assert response.status_code == 200
    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"] == 'inline; filename="big-glider-revision-1-setup-sheet.pdf"'
    shown = words_of(response.content)
    assert "Big Glider" in shown
    assert f"seal {first.seal[:8]}" in shown
    assert first.seal[:9] not in shown


def test_looking_at_a_sheet_records_nothing(client: Client, first: Revision, reader: Member) -> None:
    client.force_login(reader)
    client.get(sheet_url(first))
    assert not Print.objects.exists()


def test_a_stranger_must_sign_in(client: Client, first: Revision) -> None:
    response = client.get(sheet_url(first))
    assert response.status_code == 302
    assert response["Location"].startswith(reverse("members:sign_in"))


@pytest.mark.parametrize(
    "path",
    [
        "/airframes/nothing/revisions/1/sheet.pdf",
        "/airframes/big-glider/revisions/2/sheet.pdf",
        "/airframes/big-glider/revisions/99999999999999999999/sheet.pdf",
        "/airframes/big-glider/revisions/1/sheet.pdf?paper=a3",
        "/airframes/big-glider/revisions/1/sheet.pdf?copy=1",
        "/airframes/big-glider/revisions/1/sheet.pdf?copy=one",
        "/airframes/big-glider/revisions/1/sheet.pdf?copy=99999999999999999999",
        "/airframes/big-glider/revisions/1/change-card.pdf",
        "/airframes/big-glider/revisions/1/change-card.pdf?from=9",
        "/airframes/big-glider/revisions/1/change-card.pdf?from=x",
    ],
)
@pytest.mark.usefixtures("first")
def test_what_is_not_there_is_not_found(client: Client, reader: Member, path: str) -> None:
    client.force_login(reader)
    assert client.get(path).status_code == 404


def test_wrong_methods_are_refused(client: Client, first: Revision, reader: Member) -> None:
    client.force_login(reader)
    assert client.post(sheet_url(first)).status_code == 405
    assert client.get(print_url(first)).status_code == 405


def test_a_member_gets_the_paper_of_their_own_choice(client: Client, first: Revision, reader: Member) -> None:
    reader.paper = "letter"
    reader.save()
    client.force_login(reader)
    widths = {}
    for paper in (None, "a4"):
        content = client.get(sheet_url(first, paper=paper) if paper else sheet_url(first)).content
        widths[paper] = float(_box(content).width)
    assert widths == {None: pytest.approx(612), "a4": pytest.approx(595.28, abs=0.01)}


def _box(content: bytes) -> Any:
    return reader(content).pages[0].mediabox


def test_printing_records_who_when_and_which_copy(client: Client, first: Revision, reader: Member) -> None:
    client.force_login(reader)
    response = client.post(print_url(first), {"paper": "letter"})
    made = Print.objects.get()
    assert (made.revision, made.kind, made.paper, made.copy, made.by) == (first, Kind.SETUP_SHEET, "letter", 1, reader)
    assert response["Location"] == sheet_url(first, copy=1)
    shown = client.get(response["Location"])
    assert "copy 1 of this revision, printed" in words_of(shown.content)
    assert "by Rita Reader" in words_of(shown.content)
    assert float(_box(shown.content).width) == pytest.approx(612)


def test_copies_are_counted_for_each_revision_and_kind(owner: Member, airframe: Airframe, first: Revision) -> None:
    later = second(airframe, first)
    copies = [record_print(user=owner, revision=revision).copy for revision in (first, first, later, first)]
    card = record_print(user=owner, revision=later, kind=Kind.CHANGE_CARD, before=first)
    assert copies == [1, 2, 1, 3]
    assert card.copy == 1


def test_a_print_is_never_changed_or_deleted(owner: Member, first: Revision) -> None:
    made = record_print(user=owner, revision=first)
    made.paper = "letter"
    with pytest.raises(Immutable):
        made.save()
    with pytest.raises(Immutable):
        made.delete()


def test_someone_who_left_prints_nothing(first: Revision) -> None:
    gone = MemberFactory.create(is_active=False)
    with pytest.raises(PermissionDenied):
        record_print(user=gone, revision=first)


def test_an_unknown_paper_is_refused(owner: Member, first: Revision) -> None:
    with pytest.raises(ValueError, match="“a3”; give a4, letter"):
        record_print(user=owner, revision=first, paper="a3")


def test_a_sheet_is_out_of_date_once_a_later_revision_is_recorded(
    owner: Member, airframe: Airframe, first: Revision
) -> None:
    old = record_print(user=owner, revision=first)
    assert state_of(old.token) == CopyState(superseded=False, grounded=False)
    later = second(airframe, first)
    assert state_of(old.token) == CopyState(superseded=True, grounded=False)
    assert sheets_out_of_date(airframe, later) == [first.number]
    assert "Out of date." in facts_of(first).sheet().html(SPACINGS[0])
    assert "Out of date." not in facts_of(later).sheet().html(SPACINGS[0])


def test_the_head_tells_what_is_known_of_the_revision(airframe: Airframe) -> None:
    airframe.mark = "D-1234"
    airframe.save()
    first = record_first(airframe, example())
    head = heading_of(first)
    assert (head.airframe, head.mark, head.number, head.author) == ("Big Glider", "D-1234", 1, "Olive Owner")
    assert head.verdict == NOT_FLOWN
    assert head.seal == first.seal[:8]
    assert head.entered == ()
    assert not head.outdated


@pytest.mark.parametrize(
    ("zone", "words"),
    [
        ("UTC", "4 Nov 2026, 12:00 UTC"),
        ("Europe/Vienna", "4 Nov 2026, 13:00 UTC+01:00"),
        ("America/St_Johns", "4 Nov 2026, 08:30 UTC−03:30"),
    ],
)
def test_times_say_their_offset(zone: str, words: str) -> None:
    with timezone.override(ZoneInfo(zone)):
        assert when_words(NOON) == words


def test_the_last_verdict_is_printed(owner: Member, first: Revision) -> None:
    load = first.setup.balance.loads[0].key
    for day, verdict in ((2, "keep"), (3, "tweak"), (1, "reject")):
        first.flights.create(
            flown_on=datetime.date(2026, 11, day), pilot=owner, load=load, verdict=verdict, by=owner, reason="so"
        )
    assert heading_of(first).verdict == "tweak"


def test_what_is_entered_is_told_and_so_is_that_it_is_another_revision(
    owner: Member, airframe: Airframe, first: Revision
) -> None:
    transmitter = TransmitterFactory.create(label="Blue transmitter", owner=owner)
    enter(user=owner, revision=first, transmitter=transmitter, model_memory="BIG <1>")
    (line,) = heading_of(first).entered
    assert (line.transmitter, line.memory, line.is_this) == ("Blue transmitter", "BIG <1>", True)
    assert "BIG &lt;1&gt;" in facts_of(first).sheet().html(SPACINGS[0])
    later = second(airframe, first)
    (line,) = heading_of(later).entered
    assert (line.number, line.is_this) == (1, False)
    assert "holds revision 1, not this one" in words_of(setup_sheet_pdf(later))


def test_findings_know_the_receiver_in_the_model(first: Revision, owner: Member) -> None:
    highest = max(channel.number for channel in first.setup.channels)
    told = f"does not exist on this receiver, which has {highest - 1} channels"
    assert told not in facts_of(first).sheet().html(SPACINGS[0])
    receiver = ReceiverFactory.create(channels=highest)
    fit(user=owner, receiver=receiver, airframe=first.airframe)
    # Nobody can fit one with too few channels; a record that was mended later may still say so.
    receiver.channels = highest - 1
    receiver.save()
    assert told in facts_of(first).sheet().html(SPACINGS[0])


def test_the_demo_setup_of_the_factories_prints_on_one_page(airframe: Airframe) -> None:
    content = setup_sheet_pdf(record_first(airframe, make_setup()))
    assert len(reader(content).pages) == 1
