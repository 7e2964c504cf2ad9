"""A sheet that was made before is served from storage, and never one on which something is no longer so."""

import datetime
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.fleet.operations import fit
from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.setups.operations import enter
from hangar.sheets import pdf, stored
from hangar.sheets.operations import record_print
from hangar.sheets.render import facts_of, setup_sheet_pdf
from tests.factories import ReceiverFactory, TransmitterFactory

from .test_still_good import second


@pytest.fixture(autouse=True)
def _own_folder(settings: Any, tmp_path: Path) -> None:
    settings.HANGAR_DATA = tmp_path


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Which sheets were rendered."""
    found: list[str] = []
    render = pdf.render

    def counted(*args: Any, **kwargs: Any) -> pdf.Rendered:
        found.append(kwargs["paper"])
        return render(*args, **kwargs)

    monkeypatch.setattr(pdf, "render", counted)
    return found


def test_the_second_one_comes_from_storage(first: Revision, made: list[str]) -> None:
    sheets = {setup_sheet_pdf(first) for _ in range(3)}
    assert (len(sheets), made) == (1, ["a4"])
    setup_sheet_pdf(first, paper="letter")
    assert made == ["a4", "letter"]


def test_a_browser_that_has_it_gets_nothing(client: Client, owner: Member, first: Revision, made: list[str]) -> None:
    client.force_login(owner)
    address = reverse("sheets:setup_sheet", args=[first.airframe.slug, first.number])
    answer = client.get(address)
    again = client.get(address, headers={"if-none-match": answer["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert again["ETag"] == answer["ETag"]
    assert client.get(address, headers={"if-none-match": '"another"'}).content == answer.content
    assert client.get(address + "?paper=letter").headers["ETag"] != answer["ETag"]
    assert made == ["a4", "letter"]
    second(first.airframe, first)
    assert client.get(address, headers={"if-none-match": answer["ETag"]}).status_code == 200


def _verdict(first: Revision) -> None:
    owner = first.airframe.owner
    load = first.setup.balance.loads[0].key
    first.flights.create(
        flown_on=datetime.date(2026, 11, 2), pilot=owner, load=load, verdict="reject", by=owner, reason="so"
    )


def _entered(first: Revision) -> None:
    owner = first.airframe.owner
    enter(user=owner, revision=first, transmitter=TransmitterFactory.create(owner=owner), model_memory="BIG")


def _renamed(first: Revision) -> None:
    first.airframe.name = "Little Glider"
    first.airframe.save()


def _left(first: Revision) -> None:
    first.author.personal.delete()


CHANGES: list[Callable[[Revision], Any]] = [
    _verdict, _entered, _renamed, _left,
    lambda first: second(first.airframe, first),
    lambda first: fit(user=first.airframe.owner, receiver=ReceiverFactory.create(channels=12), airframe=first.airframe),
]  # fmt: skip


@pytest.mark.parametrize("change", CHANGES)
def test_whatever_is_printed_makes_another_key(first: Revision, change: Callable[[Revision], Any]) -> None:
    before = facts_of(Revision.objects.get(pk=first.pk)).key("a4")
    assert facts_of(Revision.objects.get(pk=first.pk)).key("a4") == before
    change(first)
    assert facts_of(Revision.objects.get(pk=first.pk)).key("a4") != before


def test_copies_addresses_and_papers_have_keys_of_their_own(owner: Member, first: Revision) -> None:
    copies = [record_print(user=owner, revision=first) for _ in range(2)]
    keys = {facts_of(first, copy, base).key(paper) for copy in copies
            for base in ("http://a/", "http://b/") for paper in ("a4", "letter")}  # fmt: skip
    assert len(keys | {facts_of(first).key("a4")}) == 9


def test_another_program_makes_another_sheet(first: Revision, monkeypatch: pytest.MonkeyPatch) -> None:
    before = facts_of(first).key("a4")
    monkeypatch.setattr(stored, "program", lambda: "a later version")
    assert facts_of(first).key("a4") != before


def test_a_transmitter_whose_signs_were_proven_since_makes_another_sheet(airframe: Airframe, first: Revision) -> None:
    owner = airframe.owner
    transmitter = TransmitterFactory.create(owner=owner)
    enter(user=owner, revision=first, transmitter=transmitter, model_memory="BIG")
    before = facts_of(first).key("a4")
    transmitter.lever_forward, transmitter.expo_positive = "minus", "softens"
    transmitter.centre_unit, transmitter.reversal = "pct", "before"
    transmitter.proven_on = datetime.date(2026, 11, 2)
    transmitter.save()
    assert facts_of(first).key("a4") != before


def test_the_oldest_give_way(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(stored, "MOST", 256 * 3)
    for i in range(6):
        stored.stored(f"00{i}", lambda i=i: str(i).encode())  # type: ignore[misc]
        os.utime(tmp_path / "sheets" / "made" / "00" / f"00{i}.pdf", (i, i))
    stored.stored("006", lambda: b"6")
    kept = {path.read_bytes() for path in (tmp_path / "sheets" / "made" / "00").iterdir()}
    assert kept == {b"4", b"5", b"6"}


def test_a_folder_that_cannot_be_written_costs_no_sheet(settings: Any, tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    settings.HANGAR_DATA = tmp_path / "file"
    with pytest.raises(NotADirectoryError):
        (tmp_path / "file" / "x").read_bytes()
    assert stored.stored("00", lambda: b"made") == b"made"
