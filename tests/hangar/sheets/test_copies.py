"""The page of an airframe's paper: what was printed, and a copy that was lost."""

import re
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.flights.standings import standing_of
from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.sheets.errors import PrintError
from hangar.sheets.models import Kind, LostCopy, Print
from hangar.sheets.operations import record_print, report_lost
from tests.factories import AirframeFactory

from .rendering import words_of
from .test_still_good import second


def page_of(airframe: Airframe) -> str:
    return reverse("sheets:paper", args=[airframe.slug])


def shown(client: Client, airframe: Airframe) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", client.get(page_of(airframe)).content.decode()).split())


def test_every_print_is_listed(
    client: Client, owner: Member, reader: Member, airframe: Airframe, first: Revision
) -> None:
    record_print(user=owner, revision=first)
    record_print(user=reader, revision=first, paper="letter")
    client.force_login(reader)
    listed = shown(client, airframe)
    assert re.search(r"Setup sheet 2 1 Letter .{10,30} Rita Reader current", listed)
    assert re.search(r"Setup sheet 1 1 A4 .{10,30} Olive Owner current", listed)
    second(airframe, first)
    assert re.search(r"Setup sheet 1 1 A4 .{10,30} Olive Owner superseded", shown(client, airframe))


def test_a_model_without_a_setup_has_no_paper(client: Client, owner: Member, airframe: Airframe) -> None:
    client.force_login(owner)
    assert "there is nothing to print" in shown(client, airframe)
    assert "Nothing was printed yet." in shown(client, airframe)


def test_a_lost_copy_is_printed_anew(client: Client, owner: Member, airframe: Airframe, first: Revision) -> None:
    old = record_print(user=owner, revision=first, paper="letter")
    client.force_login(owner)
    response = client.post(reverse("sheets:lost", args=[airframe.slug, old.pk]))
    assert response["Location"] == f"{reverse('sheets:setup_sheet', args=[airframe.slug, 1])}?copy=2"
    assert "copy 2 of this revision" in words_of(client.get(response["Location"]).content)
    assert re.search(r"Setup sheet 1 1 Letter .{10,30} Olive Owner lost", shown(client, airframe))
    assert LostCopy.objects.get().by == owner


def test_a_copy_is_lost_once(client: Client, owner: Member, airframe: Airframe, first: Revision) -> None:
    old = record_print(user=owner, revision=first)
    report_lost(user=owner, copy=old)
    with pytest.raises(PrintError, match="was reported as lost before"):
        report_lost(user=owner, copy=old)
    client.force_login(owner)
    response = client.post(reverse("sheets:lost", args=[airframe.slug, old.pk]), follow=True)
    assert "was reported as lost before: print a new one instead." in response.content.decode()
    assert Print.objects.count() == 2


def test_an_old_sheet_that_was_lost_is_replaced_by_the_newest(
    owner: Member, airframe: Airframe, first: Revision
) -> None:
    old = record_print(user=owner, revision=first)
    later = second(airframe, first)
    assert standing_of(airframe).sheet == "of revision 1"
    assert report_lost(user=owner, copy=old).revision == later
    assert standing_of(airframe).sheet == "up to date"


def test_a_lost_change_card_leads_to_the_same_revision(owner: Member, airframe: Airframe, first: Revision) -> None:
    later = second(airframe, first)
    card = record_print(user=owner, revision=later, kind=Kind.CHANGE_CARD, before=first)
    second(airframe, later)
    new = report_lost(user=owner, copy=card)
    assert (new.revision, new.before, new.copy) == (later, first, 2)


def test_others_report_their_own_copies_only(
    client: Client, owner: Member, helper: Member, reader: Member, airframe: Airframe, first: Revision
) -> None:
    theirs, own = record_print(user=owner, revision=first), record_print(user=reader, revision=first)
    with pytest.raises(PermissionDenied, match="ask Olive Owner"):
        report_lost(user=reader, copy=theirs)
    client.force_login(reader)
    assert client.post(reverse("sheets:lost", args=[airframe.slug, theirs.pk])).status_code == 403
    assert shown(client, airframe).count("Lost: print anew") == 1
    assert report_lost(user=reader, copy=own).by == reader
    assert report_lost(user=helper, copy=theirs).by == helper


def test_copies_of_another_airframe_are_not_found(client: Client, owner: Member, first: Revision) -> None:
    other = AirframeFactory.create(owner=owner)
    copy = record_print(user=owner, revision=first)
    client.force_login(owner)
    assert client.post(reverse("sheets:lost", args=[other.slug, copy.pk])).status_code == 404
    assert client.get(reverse("sheets:lost", args=[first.airframe.slug, copy.pk])).status_code == 405
    assert client.post(page_of(other)).status_code == 405


def test_a_stranger_must_sign_in(client: Client, first: Revision) -> None:
    assert client.get(page_of(first.airframe)).status_code == 302
    assert client.get(reverse("sheets:paper", args=["nothing"])).status_code == 302


def test_the_page_takes_the_same_queries_for_many_copies(
    client: Client,
    owner: Member,
    airframe: Airframe,
    first: Revision,
    django_assert_max_num_queries: Any,
) -> None:
    for _ in range(30):
        record_print(user=owner, revision=first)
    client.force_login(owner)
    with django_assert_max_num_queries(9):
        answer = client.get(page_of(airframe)).content.decode()
    assert "Page 1 of 2" in answer
    assert "Page 2 of 2" in client.get(page_of(airframe) + "?page=2").content.decode()
