"""Many sheets at once: which ones, one bad among them, going on after a stop, and what comes out."""

import io
import re
import zipfile
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.history import current_head
from hangar.sheets import batch_views, render
from hangar.sheets.batches import GIVEN_UP, documents, go_on, make_item, out_of_date, start_batch
from hangar.sheets.errors import PrintError
from hangar.sheets.models import Batch, BatchItem, ItemState, Print
from hangar.sheets.operations import record_print
from tests.factories import AirframeFactory, MemberFactory, record_first
from tests.hangar.pages.conftest import values, words

from .breaking import out_of_ink
from .rendering import reader, words_of
from .test_still_good import second


@pytest.fixture(autouse=True)
def _own_folder(settings: Any, tmp_path: Path) -> None:
    settings.HANGAR_DATA = tmp_path / "data"


@pytest.fixture
def fleet(airframe: Airframe) -> list[Airframe]:
    """Three airframes with a setup, of two owners, and one without."""
    other = MemberFactory.create(login="other", name__full_name="Otto Other")
    found = [airframe, AirframeFactory.create(slug="b", name="Bee", owner=other),
             AirframeFactory.create(slug="c", name="Cee", owner=airframe.owner)]  # fmt: skip
    for one in found:
        record_first(one)
    AirframeFactory.create(slug="bare", owner=other)
    return found


@pytest.fixture
def broken(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sheet of Bee cannot be made."""
    out_of_ink(monkeypatch, "b")


def begun(client: Client, user: Member, **asked: Any) -> Batch:
    client.force_login(user)
    response = client.post(reverse("sheets:many"), {"paper": "a4", **asked})
    batch = Batch.objects.latest("pk")
    assert response["Location"] == reverse("sheets:batch", args=[batch.pk])
    return batch


def slugs(batch: Batch) -> list[str]:
    return [item.airframe.slug for item in batch.items.all()]


def run(client: Client, batch: Batch) -> str:
    """Press the button until nothing is left; what the page then says."""
    for _ in range(10):
        client.post(reverse("sheets:batch_on", args=[batch.pk]))
        if not batch.items.filter(state__in=[ItemState.WAITING, ItemState.QUEUED]).exists():
            break
    page = client.get(reverse("sheets:batch", args=[batch.pk])).content.decode()
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def test_which_sheets(client: Client, owner: Member, fleet: list[Airframe]) -> None:
    head = current_head(fleet[2])
    assert head is not None
    record_print(user=owner, revision=head)
    assert slugs(begun(client, owner, which="all")) == ["b", "big-glider", "c"]
    assert slugs(begun(client, owner, which="outdated")) == ["b", "big-glider"]
    assert slugs(begun(client, owner, which="owner", owner=owner.pk)) == ["big-glider", "c"]
    assert slugs(begun(client, owner, which="chosen", airframe=["c", "b", "bare", "nothing"])) == ["b", "c"]
    second(fleet[2], head)
    assert set(out_of_date(Airframe.objects.all())) == set(fleet)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"which": "chosen"}, "There is no sheet to print here"),
        ({"which": "owner", "owner": "x"}, "Choose whose sheets to print."),
        ({"which": "everything"}, "Choose which sheets to print."),
        ({"which": "all", "paper": "a3"}, "no paper “a3”; give a4, letter"),
    ],
)
@pytest.mark.usefixtures("fleet")
def test_what_cannot_be_printed_is_told_and_nothing_is_lost(
    client: Client, owner: Member, asked: dict[str, str], told: str
) -> None:
    client.force_login(owner)
    page = client.post(reverse("sheets:many"), {"paper": "a4", **asked}).content.decode()
    assert told in page
    assert not Batch.objects.exists()


def test_one_pdf_with_bookmarks_and_a_zip(client: Client, owner: Member, fleet: list[Airframe]) -> None:
    batch = begun(client, owner, which="all", paper="letter")
    assert client.get(reverse("sheets:batch_pdf", args=[batch.pk])).status_code == 404
    assert not Print.objects.exists(), "looking makes nothing"
    assert "3 of 3 made" in run(client, batch)
    together = client.get(reverse("sheets:batch_pdf", args=[batch.pk])).content
    document = reader(together)
    assert [str(mark.title) for mark in document.outline] == [  # type: ignore[union-attr]
        "Bee, revision 1", "Big Glider, revision 1", "Cee, revision 1",
    ]  # fmt: skip
    assert len(document.pages) == 3
    assert "copy 1 of this revision" in words_of(together)
    archive = zipfile.ZipFile(io.BytesIO(client.get(reverse("sheets:batch_zip", args=[batch.pk])).content))
    assert archive.testzip() is None
    assert archive.namelist() == [f"{slug}-revision-1-setup-sheet.pdf" for slug in ("b", "big-glider", "c")]
    assert reader(archive.read("b-revision-1-setup-sheet.pdf")).trailer["/Root"]["/MarkInfo"]["/Marked"]  # type: ignore[index]
    assert Print.objects.filter(by=owner, paper="letter").count() == 3
    assert not out_of_date(Airframe.objects.all())


@pytest.mark.usefixtures("broken")
def test_one_bad_airframe_is_told_and_stops_nothing(client: Client, owner: Member, fleet: list[Airframe]) -> None:
    batch = begun(client, owner, which="all")
    told = run(client, batch)
    assert "2 of 3 made, 1 could not be made" in told
    assert "Bee RuntimeError: out of ink" in told
    assert len(reader(client.get(reverse("sheets:batch_pdf", args=[batch.pk])).content).pages) == 2


def test_what_failed_can_be_tried_again(client: Client, owner: Member, fleet: list[Airframe], broken: None) -> None:
    batch = begun(client, owner, which="all")
    with pytest.MonkeyPatch.context() as undo:
        undo.setattr(render.Facts, "pdf", lambda facts, paper: b"%PDF")
        client.post(reverse("sheets:batch_on", args=[batch.pk]))
    batch.items.filter(airframe__slug="b").update(state=ItemState.FAILED)
    with pytest.MonkeyPatch.context() as undo:
        undo.setattr(render.Facts, "pdf", lambda facts, paper: b"%PDF")
        client.post(reverse("sheets:batch_on", args=[batch.pk]), {"again": "1"})
    assert set(batch.items.values_list("state", flat=True)) == {ItemState.DONE}
    assert Print.objects.count() == 3, "a copy is recorded once, however often it is made"


def test_made_twice_is_made_once(owner: Member, fleet: list[Airframe]) -> None:
    batch = start_batch(user=owner, airframes=fleet[:1], paper="a4", base="", what="x")
    (item,) = batch.items.all()
    make_item(item.pk)
    make_item(item.pk)
    assert Print.objects.count() == 1
    make_item(10**9)


def test_as_many_airframes_as_there_are_take_no_more_questions(owner: Member, fleet: list[Airframe]) -> None:
    with CaptureQueriesContext(connection) as asked:
        batch = start_batch(user=owner, airframes=fleet, paper="a4", base="", what="x")
    assert sum(one["sql"].startswith("SELECT") for one in asked) == 1
    for item in batch.items.all():
        make_item(item.pk)
    with CaptureQueriesContext(connection) as asked:
        assert len(list(documents(batch))) == 3
    assert sum("sheets_batchitem" in one["sql"] or "SAVEPOINT" in one["sql"] for one in asked) == 1


def test_what_a_worker_left_behind_is_handed_out_again(owner: Member, fleet: list[Airframe]) -> None:
    batch = start_batch(user=owner, airframes=fleet[:1], paper="a4", base="", what="x")
    batch.items.update(state=ItemState.QUEUED, queued_at=timezone.now())
    go_on(batch)
    assert batch.items.get().state == ItemState.QUEUED
    batch.items.update(queued_at=timezone.now() - GIVEN_UP - timedelta(seconds=1))
    go_on(batch)
    assert batch.items.get().state == ItemState.DONE


@pytest.mark.django_db(transaction=True)
def test_workers_take_them_where_there_are_some(settings: Any, owner: Member, fleet: list[Airframe]) -> None:
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    batch = start_batch(user=owner, airframes=fleet, paper="a4", base="", what="x")
    go_on(batch, seconds=60)
    assert set(batch.items.values_list("state", flat=True)) == {ItemState.QUEUED}
    call_command("db_worker", batch=True, interval=0, verbosity=0, startup_delay=False)
    assert set(batch.items.values_list("state", flat=True)) == {ItemState.DONE}


def test_the_page_goes_on_by_itself(client: Client, owner: Member, fleet: list[Airframe]) -> None:
    batch = begun(client, owner, which="all")
    address = reverse("sheets:batch_on", args=[batch.pk])
    part = client.post(address, headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in part
    assert "of 3 made" in re.sub(r"<[^>]+>", "", part)
    assert client.get(address).status_code == 405


def test_another_members_sheets_are_not_found(client: Client, owner: Member, reader: Member, fleet: Any) -> None:
    batch = begun(client, owner, which="all")
    client.force_login(reader)
    for name, args in (("batch", [batch.pk]), ("batch_pdf", [batch.pk])):
        assert client.get(reverse(f"sheets:{name}", args=args)).status_code == 404
    assert client.post(reverse("sheets:batch_on", args=[batch.pk])).status_code == 404
    client.logout()
    for name, args in (("many", []), ("batch", [batch.pk]), ("batch_zip", [batch.pk])):
        assert client.get(reverse(f"sheets:{name}", args=args)).status_code == 302


def test_nothing_to_print_is_refused(owner: Member) -> None:
    with pytest.raises(PrintError, match="no sheet to print"):
        start_batch(user=owner, airframes=[], paper="a4", base="", what="x")
    assert not BatchItem.objects.exists()


def test_from_the_terminal(fleet: list[Airframe], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder, together = tmp_path / "out", tmp_path / "all.pdf"
    call_command("sheets", "--all", "-o", str(folder), "--merged", str(together))
    said = capsys.readouterr()
    assert "3 of 3 sheets are in" in said.out
    assert "3 of 3: c" in said.err
    assert sorted(path.name for path in folder.iterdir()) == [
        f"{slug}-revision-1-setup-sheet.pdf" for slug in ("b", "big-glider", "c")
    ]
    assert len(reader(together.read_bytes()).pages) == 3
    assert not Print.objects.exists()


def test_from_the_terminal_for_a_member(owner: Member, fleet: list[Airframe], tmp_path: Path) -> None:
    for _ in range(2):
        call_command("sheets", "b", "c", "-o", str(tmp_path / "out"), "--by", "owner")
    assert [(one.by, one.copy) for one in Print.objects.all()] == [(owner, 1)] * 2
    assert "copy 1 of this revision" in words_of((tmp_path / "out" / "b-revision-1-setup-sheet.pdf").read_bytes())


@pytest.mark.usefixtures("broken", "fleet")
def test_a_bad_one_is_told_on_the_terminal(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="b: RuntimeError: out of ink"):
        call_command("sheets", "--all", "-o", str(tmp_path / "out"))
    assert len(list((tmp_path / "out").iterdir())) == 2


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "Name airframes, or give --all"),
        (["nothing"], "no airframe with a recorded setup called nothing"),
        (["--owner", "nobody"], "There is no member 'nobody'"),
        (["--all", "--by", "nobody"], "There is no member 'nobody'"),
        (["--owner", "reader"], "There is no sheet to print here"),
    ],
)
@pytest.mark.usefixtures("fleet", "reader")
def test_refusals_of_the_terminal(tmp_path: Path, arguments: list[str], told: str) -> None:
    with pytest.raises(CommandError, match=told):
        call_command("sheets", *arguments, "-o", str(tmp_path / "out"))


def sends(page: Any) -> dict[str, str]:
    """What the form on the page would send: its boxes, what is chosen, and the ticks in one text."""
    marked: dict[str, list[str]] = {}
    for box in re.findall(r"<input\b[^>]*>", page.content.decode()):
        told = dict(re.findall(r'(\w+)="([^"]*)"', box))
        if told.get("type") in ("radio", "checkbox") and " checked" in box:
            marked.setdefault(told["name"], []).append(told["value"])
    return values(page) | {name: " ".join(all_of_it) for name, all_of_it in marked.items()}


def test_what_is_ticked_goes_along_as_the_list_is_turned(
    client: Client, owner: Member, fleet: list[Airframe], monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the buttons of the form alone, without any script: two to a page, b and big-glider, then c."""
    monkeypatch.setattr(batch_views, "ON_A_PAGE", 2)
    client.force_login(owner)
    address = reverse("sheets:many")
    first = {"paper": "letter", "which": "outdated", "airframe": "b", "at": "1", "kept": ""}
    page = client.post(address, {**first, "page": "2"})
    assert not Batch.objects.exists(), "turning the list over prints nothing"
    sent = sends(page)
    assert (sent["kept"], sent["at"], sent["which"], sent["paper"]) == ("b", "2", "chosen", "letter")
    assert "1 ticked, 1 of them not on this page." in words(page)

    # Found by a search and ticked as well; then back, with b ticked where it stands, and unticked there.
    found = client.post(address, {**sent, "airframe": "c", "search": "bee", "look": "1"})
    assert sends(found)["kept"] == "c"
    back = client.post(address, {**sent, "airframe": "c", "page": "1"})
    assert (sends(back)["kept"], sends(back)["airframe"]) == ("c", "b")
    assert slugs(begun(client, owner, which="chosen", airframe="big-glider", kept="c")) == ["big-glider", "c"]

    none = sends(client.post(address, {**sent, "airframe": "c", "untick": "1"}))
    assert (none["kept"], none.get("airframe")) == ("", None)


def test_a_mistake_keeps_the_page_and_the_ticks(
    client: Client, owner: Member, fleet: list[Airframe], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(batch_views, "ON_A_PAGE", 2)
    client.force_login(owner)
    asked = {"paper": "a4", "which": "", "airframe": "c", "at": "2", "kept": "b"}
    page = client.post(reverse("sheets:many"), asked)
    assert "Choose which sheets to print." in words(page)
    assert (sends(page)["kept"], sends(page)["at"], sends(page)["airframe"]) == ("b", "2", "c")


def test_a_club_without_a_setup_is_told_where_to_begin(client: Client, owner: Member) -> None:
    client.force_login(owner)
    page = client.get(reverse("sheets:many"))
    assert "No setup is recorded yet, so there is nothing to print." in words(page)
    assert "0 of 0" not in words(page)
    assert 'value="outdated"' not in page.content.decode()
