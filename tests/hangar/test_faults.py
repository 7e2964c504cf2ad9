"""What goes wrong around the site: a process killed, a full disk, a busy database, a clock set back, a retired model.

HANGAR_KILLS=20 makes the first a long run by hand, of 200 recordings and more.
"""

import errno
import io
import os
import random
import re
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.files.storage import FileSystemStorage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import OperationalError, connection, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from hangar.fleet.models import Airframe, Status
from hangar.fleet.photo import Photo
from hangar.members.models import Member
from hangar.setups.drafts import draft_of, save_draft
from hangar.setups.history import broken_links, current_head
from hangar.setups.models import Document, Draft, Revision
from hangar.setups.operations import record
from tests.factories import make_setup, open_draft
from tests.patience import PATIENCE_S

SCRIPT = Path(__file__).with_name("killed_process.py")
KILLS = int(os.environ.get("HANGAR_KILLS", "3"))


@pytest.mark.django_db(transaction=True)
def test_killed_while_it_records(airframe: Airframe, owner: Member, first: Revision, tmp_path: Path) -> None:
    chance = random.Random(7)
    acknowledged = [(1, first.seal)]
    environment = {
        **os.environ, "HANGAR_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "hangar.settings",
        "PYTHONPATH": str(SCRIPT.parents[2]),
    }  # fmt: skip
    arguments = [str(connection.settings_dict["NAME"]), airframe.slug, owner.login]
    connection.close()
    killed = 0
    while killed < KILLS:
        process = subprocess.Popen(
            [sys.executable, str(SCRIPT), *arguments], env=environment, stdout=subprocess.PIPE, text=True
        )
        assert process.stdout is not None
        for line in [process.stdout.readline() for _ in range(chance.randint(8, 20))]:
            number, seal = line.split()
            acknowledged.append((int(number), seal))
        # Somewhere within the next recording, which takes a few thousandths of a second.
        threading.Event().wait(chance.uniform(0, 0.01))
        process.kill()
        killed += 1
        # What it told meanwhile; its last line may be half a line.
        acknowledged += [
            (int(number), seal)
            for number, seal in re.findall(r"^(\d+) (\w{64})$", process.communicate()[0], re.MULTILINE)
        ]
        stored = dict(Revision.objects.values_list("number", "seal"))
        assert [stored.get(number) for number, _ in acknowledged] == [seal for _, seal in acknowledged]
        # At most the one that was recorded and not told any more, each time.
        assert len(acknowledged) <= len(stored) <= len(acknowledged) + killed
        assert sorted(stored) == list(range(1, len(stored) + 1))
    assert list(broken_links(airframe)) == []
    assert set(Document.objects.values_list("pk", flat=True)) == set(
        Revision.objects.values_list("document", flat=True)
    )
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA integrity_check")
            assert cursor.fetchone() == ("ok",)


@contextmanager
def full_disk() -> Iterator[None]:
    """No room for another page. PostgreSQL cannot be given a size: there the insert fails with its error of that."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            # Pages that were given back would be room.
            cursor.execute("VACUUM")
            cursor.execute("PRAGMA page_count")
            cursor.execute(f"PRAGMA max_page_count = {cursor.fetchone()[0]}")
        else:
            cursor.execute(
                "CREATE FUNCTION no_room() RETURNS trigger LANGUAGE plpgsql AS "
                "$$ BEGIN RAISE EXCEPTION 'could not extend file' USING ERRCODE = 'disk_full'; END $$"
            )
            cursor.execute("CREATE TRIGGER no_room BEFORE INSERT ON setups_document EXECUTE FUNCTION no_room()")
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite":
                cursor.execute("PRAGMA max_page_count = 1073741823")
            else:
                cursor.execute("DROP TRIGGER no_room ON setups_document")
                cursor.execute("DROP FUNCTION no_room()")


@contextmanager
def busy_database() -> Iterator[None]:
    """Another connection holds what a recording needs, longer than this one is willing to wait."""
    held, let_go = threading.Event(), threading.Event()

    def hold() -> None:
        with transaction.atomic():
            if connection.vendor == "postgresql":
                with connection.cursor() as cursor:
                    cursor.execute("LOCK TABLE fleet_airframe IN ACCESS EXCLUSIVE MODE")
            held.set()
            let_go.wait(PATIENCE_S)
        connection.close()

    impatient, patient = {
        "sqlite": ("PRAGMA busy_timeout = 100", "PRAGMA busy_timeout = 20000"),
        "postgresql": ("SET lock_timeout = 100", "SET lock_timeout = 0"),
    }[connection.vendor]
    holder = threading.Thread(target=hold)
    holder.start()
    assert held.wait(PATIENCE_S)
    with connection.cursor() as cursor:
        cursor.execute(impatient)
    try:
        yield
    finally:
        let_go.set()
        holder.join(PATIENCE_S)
        with connection.cursor() as cursor:
            cursor.execute(patient)


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("fault", [full_disk, busy_database])
def test_what_cannot_be_written_now_is_told_and_written_later(
    first: Revision, owner: Member, fault: Callable[[], AbstractContextManager[None]]
) -> None:
    airframe = first.airframe
    begun = open_draft(user=owner, airframe=airframe)
    long = first.setup.changed(remarks="long " * 1500).text()
    draft = save_draft(user=owner, draft=begun, text=long, version=begun.version)
    browser = Client(raise_request_exception=False)
    browser.force_login(owner)
    page = reverse("setups:draft", args=[airframe.slug])
    sent = {"do": "record", "reason": "a long remark", "base": "1", "version": str(draft.version)}
    with fault():
        with pytest.raises(OperationalError), transaction.atomic():
            record(user=owner, airframe=airframe, setup=draft.setup, base=first, reason="x")
        answer = browser.post(page, sent)
        assert answer.status_code == 503, answer.content
        assert answer["Retry-After"] == "60"
        assert "Nothing half-done was kept" in answer.content.decode()
        assert "Traceback" not in answer.content.decode()
    assert Revision.objects.count() == 1
    kept = draft_of(owner, airframe)
    assert kept is not None
    assert kept.text == long
    assert browser.post(page, sent).status_code == 302
    assert Revision.objects.count() == 2
    assert list(broken_links(airframe)) == []


def test_a_photo_that_finds_no_room_is_told_and_taken_later(
    first: Revision, owner: Member, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*args: object, **kwargs: object) -> str:
        raise OSError(errno.ENOSPC, "No space left on device")

    browser = Client(raise_request_exception=False)
    browser.force_login(owner)
    page = reverse("fleet:edit_photo", args=[first.airframe.slug])
    file = io.BytesIO()
    Image.new("RGB", (8, 6)).save(file, "PNG")

    def send() -> int:
        sent = {"file": SimpleUploadedFile("x.png", file.getvalue()), "alt": "Grey"}
        return browser.post(page, sent).status_code

    with monkeypatch.context() as patched:
        patched.setattr(FileSystemStorage, "_save", full)
        assert send() == 503
        assert not Photo.objects.exists()
        # A sheet that cannot be kept is given all the same.
        patched.setattr(tempfile, "mkstemp", full)
        answer = browser.get(reverse("sheets:setup_sheet", args=[first.airframe.slug, 1]))
        assert (answer.status_code, answer.content[:5]) == (200, b"%PDF-")
    assert send() == 302
    assert Photo.objects.count() == 1


def test_a_fault_of_our_own_is_told_as_one(owner: Member, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*args: object, **kwargs: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("hangar.fleet.transmitter_views.TransmitterForm", broken)
    browser = Client(raise_request_exception=False)
    browser.force_login(owner)
    answer = browser.get(reverse("fleet:new_transmitter"))
    assert answer.status_code == 500
    assert "Something went wrong on our side" in answer.content.decode()
    assert "ZeroDivisionError" not in answer.content.decode()


def test_a_clock_set_back(first: Revision, owner: Member) -> None:
    airframe, today = first.airframe, timezone.now()
    head = first
    for number, now in ((2, today), (3, today - timedelta(days=400)), (4, today)):
        setup = make_setup(remarks=str(number))
        head = record(user=owner, airframe=airframe, setup=setup, base=head, reason="r", now=now).revision
        assert current_head(airframe) == head
        assert head.number == number
    assert list(broken_links(airframe)) == []
    browser = Client()
    browser.force_login(owner)
    for page in ("flights:airframe", "flights:history"):
        assert browser.get(reverse(page, args=[airframe.slug])).status_code == 200
    assert browser.get("/").status_code == 200


def test_a_draft_whose_model_was_retired(first: Revision, owner: Member) -> None:
    """Nothing typed is lost: it can still be looked at, recorded or thrown away."""
    airframe = first.airframe
    begun = open_draft(user=owner, airframe=airframe)
    text = first.setup.changed(remarks="before it went").text()
    draft = save_draft(user=owner, draft=begun, text=text, version=begun.version)
    Airframe.objects.filter(pk=airframe.pk).update(status=Status.RETIRED)
    browser = Client()
    browser.force_login(owner)
    page = reverse("setups:draft", args=[airframe.slug])
    assert "before it went" in browser.get(page).content.decode()
    sent = {"do": "record", "reason": "as it last flew", "base": "1", "version": str(draft.version)}
    assert browser.post(page, sent).status_code == 302
    assert Revision.objects.get(number=2).setup.remarks == "before it went"
    assert not Draft.objects.exists()


def test_two_tabs_and_a_stale_form(first: Revision, owner: Member) -> None:
    """The second tab does not write over the first; what was typed in it is shown, and can be sent once more."""
    browser = Client()
    browser.force_login(owner)
    page = reverse("setups:single", args=[first.airframe.slug, "remarks"])
    stale = {"base": "1", "version": "0"}
    assert browser.post(page, {**stale, "remarks": "from the first tab"}).status_code == 302
    answer = browser.post(page, {**stale, "remarks": "from the second tab"})
    kept = draft_of(owner, first.airframe)
    assert kept is not None
    assert kept.setup.remarks == "from the first tab"
    assert answer.status_code in (200, 409)
    assert "from the second tab" in answer.content.decode()
