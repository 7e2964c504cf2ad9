"""The secretary sees how old the last backup is, and whether anybody has tried to bring one back."""

import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from hangar.keeping import checks
from hangar.keeping.models import Backup, Drill
from hangar.members.models import Member
from hangar.setups.models import Revision
from tests.hangar.pages.conftest import SignIn, words

PAGE = reverse("keeping:backups")


def test_before_the_first_one(secretary: Member, sign_in: SignIn) -> None:
    page = words(sign_in(secretary).get(PAGE))
    assert "No backup was made yet." in page
    assert "would be lost with this machine" in page
    assert "Nobody has tried to bring one back yet." in page


@pytest.mark.parametrize(
    ("hours", "age", "old"),
    [(0.5, "less than an hour ago", False), (1, "1 hour ago", False), (47, "47 hours ago", False),
     (48, "2 days ago", False), (7 * 24 + 1, "7 days ago", True), (-5, "less than an hour ago", False)],
)  # fmt: skip
def test_its_age(secretary: Member, sign_in: SignIn, hours: float, age: str, old: bool) -> None:
    now = timezone.now()
    Backup.objects.create(at=now - timedelta(days=40), name="early.zip", size=10, digest="0" * 64)
    Backup.objects.create(at=now - timedelta(hours=hours), name="late.zip", size=2_500_000, digest="1" * 64)
    Drill.objects.create(at=now - timedelta(days=200), name="early.zip", made_at=now, revisions=41)
    page = words(sign_in(secretary).get(PAGE))
    assert f"Made {age} , on" in page
    assert "late.zip, 2.4" in page
    assert ("more than a week old" in page) == old
    assert "200 days ago : early.zip, with 41 revisions" in page
    assert "A backup that was never brought back may be none." in page
    assert "early.zip, 10" in page


def test_it_is_the_secretarys(secretary: Member, instructor: Member, sign_in: SignIn) -> None:
    assert sign_in(instructor).get(PAGE).status_code == 403
    assert sign_in(secretary).post(PAGE).status_code == 405
    assert PAGE in sign_in(secretary).get(reverse("members:list")).content.decode()


def test_a_sqlite_with_a_known_fault_is_told(
    secretary: Member, sign_in: SignIn, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connection, "vendor", "sqlite")
    for version, told in (((3, 51, 2), True), ((3, 51, 3), False), ((4, 0, 0), False)):
        monkeypatch.setattr(sqlite3, "sqlite_version_info", version)
        assert bool(checks.sqlite_fault()) == told
        assert bool(checks.check_sqlite(None)) == told
        assert ("a rare fault in its write-ahead log" in words(sign_in(secretary).get(PAGE))) == told


@pytest.mark.database
@pytest.mark.django_db(transaction=True)
def test_a_drill_brings_it_back_beside_the_site(first: Revision, tmp_path: Path) -> None:
    call_command("backup", str(tmp_path / "one.zip"), verbosity=0)
    call_command("restore_drill", str(tmp_path / "one.zip"))
    done = Drill.objects.get()
    assert (done.name, done.revisions, done.made_at) == ("one.zip", 1, Backup.objects.get().at)
    (tmp_path / "two.zip").write_bytes((tmp_path / "one.zip").read_bytes()[:-100])
    with pytest.raises(CommandError, match="is not a ZIP file, or is damaged"):
        call_command("restore_drill", str(tmp_path / "two.zip"))
    assert Drill.objects.count() == 1


@pytest.mark.django_db
def test_in_german(sign_in: SignIn) -> None:
    gerda = Member.objects.create_user("gerda", full_name="Gerda", role="secretary", language="de")
    now = timezone.now()
    Backup.objects.create(at=now - timedelta(hours=1.5), name="late.zip", size=2_500_000, digest="1" * 64)
    Drill.objects.create(at=now - timedelta(days=200), name="late.zip", made_at=now, revisions=41)
    page = words(sign_in(gerda).get(PAGE))
    assert "Gemacht vor 1 Stunde , am" in page
    assert "late.zip, 2,4 MB." in page
    assert "An einen eigenen Ort zurückgeholt vor 200 Tagen : late.zip, mit 41 Fassungen" in page
