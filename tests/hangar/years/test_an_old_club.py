"""A club that began with the first version, upgraded twice and upgrades now: nothing of what it wrote is lost or stuck.

And the way back that DEVELOPERS.md names: a backup of an earlier version, restored into an empty site.
"""

import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from hangar.fleet.models import Airframe
from hangar.flights.models import Glance, Grounding
from hangar.flights.operations import log_flight, release
from hangar.keeping import archive, dumps
from hangar.keeping.backing_up import KIND, restore
from hangar.keeping.exporting import export_club
from hangar.keeping.health import unready
from hangar.members.models import Member
from hangar.members.operations import erase_name
from hangar.setups.drafts import take_back
from hangar.setups.history import current_head
from hangar.setups.models import Draft, Revision
from hangar.setups.operations import record
from hangar.setups.steps import trail_of
from hangar.sheets.models import Print
from hangar.sheets.operations import record_print
from hangar.sheets.render import setup_sheet_pdf
from tests.hangar.pages.conftest import words
from tests.hangar.pages.forms import not_asked
from tests.hangar.pages.walking import walk
from tests.hangar.years import first_spring, second_year, yesterday
from tests.hangar.years.ages import (
    FIRST_SPRING,
    SECOND_YEAR,
    UNUSED,
    YESTERDAY,
    Changes,
    bring_to,
    changed,
    empty_database,
    empty_tables,
    our_models,
    snapshot,
)  # fmt: skip

pytestmark = pytest.mark.database

GULL = "grosse-moewe"


@dataclass(frozen=True)
class Old:
    """What each upgrade made of the fields that it left there, and a backup of the second year."""

    changes: Changes
    backup: Path


@pytest.fixture(scope="module")
def old(django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Old]:
    """The site's database is that of the old club while this lasts, brought up to date."""
    folder = tmp_path_factory.mktemp("old")
    with django_db_blocker.unblock(), empty_database(folder):
        try:
            yield _through_the_ages(folder)
        finally:
            default_storage.delete(second_year.PHOTO)


def _through_the_ages(folder: Path) -> Old:
    changes: Changes = {}
    then = bring_to(FIRST_SPRING)
    left = first_spring.fill(then)
    assert empty_tables(then) == UNUSED
    keys = {word: (row._meta.label, row.pk) for word, row in left.items() if hasattr(row, "pk")}
    then = upgrade(then, changes, lambda: bring_to(SECOND_YEAR))
    second_year.fill(then, keys)
    assert empty_tables(then) == UNUSED
    backup = _backup(folder / "of-the-second-year.zip")
    then = upgrade(then, changes, lambda: bring_to(YESTERDAY))
    yesterday.fill(then)
    upgrade(then, changes, _to_today)
    return Old(changes, backup)


def _to_today() -> Any:
    call_command("migrate", interactive=False, verbosity=0)
    return apps


def upgrade(then: Any, changes: Changes, deed: Callable[[], Any]) -> Any:
    """The tables after it. Every row is still there; what it says otherwise is added to `changes`."""
    before = snapshot(then)
    after = deed()
    now = snapshot(after)
    assert before.keys() <= now.keys()
    for where, pairs in changed(before, now).items():
        changes.setdefault(where, []).extend(pairs)
    return after


def _backup(path: Path) -> Path:
    """As `manage.py backup` made it then."""
    copy = path.with_name(dumps.NAMES[connection.vendor])
    dumps.dump(copy)
    contents = {"kind": KIND, "version": 1, "made_at": "2022-04-22T09:30:00+00:00", "database": connection.vendor}
    with archive.writing(path, contents) as writer, copy.open("rb") as file:
        writer.add_from(copy.name, file)
    return path


@pytest.fixture
def undone(old: Old) -> Iterator[Old]:
    """What the test writes is gone after it."""
    with transaction.atomic():
        yield old
        transaction.set_rollback(True)


def member(login: str) -> Member:
    return Member.objects.get(login=login)


def gull() -> Airframe:
    return Airframe.objects.get(slug=GULL)


def test_nothing_is_lost_and_only_what_was_meant_to_is_changed(old: Old) -> None:
    """(Each upgrade has found every row again.)"""
    assert set(old.changes) == {("flights.grounding", "reason")}
    # What a member wrote stays word for word; what the site said of itself is said when it is read.
    assert sorted(old.changes["flights.grounding", "reason"]) == [
        ("club rule: a second person releases it before its first flight", ""),
        ("inspect before the next flight, after the flight on 2021-04-04", ""),
        ("rebuilt: a new wing", "a new wing"),
    ]
    told = Grounding.everything.order_by("airframe__slug", "since").values_list("airframe__slug", "cause", "reason")
    assert list(told) == [
        (GULL, "flight", ""), (GULL, "rebuild", "a new wing"), (GULL, "rebuild", "a new tail"),
        ("kite", "reported", "a crack"), ("kite", "first_flight", ""), ("old", "reported", "rebuilt: so I was told"),
    ]  # fmt: skip


def test_the_tables_are_those_of_today(old: Old) -> None:
    assert unready() == ""
    assert empty_tables(apps) == UNUSED
    for model in our_models():
        for row in model._base_manager.all():
            row.full_clean(exclude=not_asked(row))


def test_the_history_holds_and_is_protected(undone: Old) -> None:
    call_command("verify_history", verbosity=0)
    assert list(gull().revisions.order_by("number").values_list("origin", flat=True)) == [
        "start",
        "edit",
        "rollback of 1",
    ]
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        Revision.objects.filter(number=1)._raw_delete(connection.alias)


def test_every_page_opens(undone: Old) -> None:
    """For the owner, in German and inches; and what the secretary alone sees."""
    browser = Client()
    browser.force_login(member("owner"))
    found = {page: status for page, status, _ in walk(browser, "/", f"/airframes/{GULL}/", "/airframes/old/")}
    assert {page: status for page, status in found.items() if status not in (200, 302)} == {}
    assert len(found) > 40
    browser.force_login(member("secretary"))
    members = [reverse("members:member", args=[one.pk]) for one in Member.objects.all()]
    for page in ("/", reverse("members:list"), *members, reverse("keeping:backups"), reverse("sheets:many")):
        assert browser.get(page).status_code == 200, page


def test_signing_in_with_the_password_of_then(undone: Old, settings: Any) -> None:
    browser = Client()
    answer = browser.post(reverse("members:sign_in"), {"username": " OWNER", "password": first_spring.PASSWORD})
    assert (answer.status_code, answer["Location"]) == (302, "/")
    # The owner reads German since yesterday, everyone else as the browser asks.
    assert 'lang="de"' in browser.get("/").content.decode()


def test_it_is_found_without_its_accents(undone: Old) -> None:
    browser = Client()
    browser.force_login(member("secretary"))
    assert "Große Möwe" in words(browser.get("/", {"search": "moewe grosse"})) + words(
        browser.get("/", {"search": "GROSSE mowe"})
    )
    assert "Große Möwe" in words(browser.get("/", {"search": "ter-o7"}))
    assert "Olive" in words(browser.get("/members/", {"search": "owner-angstrom"}))


def test_the_line_up_is_worked_out_anew(undone: Old) -> None:
    """What was kept of it in words says nothing any more, and never "ready to fly" meanwhile."""
    assert set(Glance.objects.values_list("stale", "state")) <= {(True, "look first"), (True, "grounded")}
    call_command("line_up", verbosity=0)
    call_command("line_up", "--check", verbosity=0)
    assert not Glance.objects.filter(stale=True).exists()


def test_the_last_edit_can_still_be_taken_back(undone: Old) -> None:
    """One edit of a draft from before every edit was kept, also where nothing was recorded yet; and one of several."""
    helper = member("helper")
    for slug, expected in ((GULL, "Half-way."), ("kite", "Begun.")):
        draft = Draft.objects.get(airframe__slug=slug, member=helper)
        assert trail_of(draft).back
        take_back(user=helper, draft=draft, version=draft.version)
        assert Draft.objects.get(pk=draft.pk).setup.remarks == expected
    draft = Draft.objects.get(member=member("instructor"))
    assert trail_of(draft).back
    assert trail_of(draft).again


def test_the_sheet_in_the_box_still_tells(undone: Old) -> None:
    """Sheets from before there were codes have one of their own now; those with a code keep it."""
    tokens = Print.objects.values_list("token", flat=True)
    assert len(set(tokens)) == len(tokens) == 6
    for copy in Print.objects.all():
        page = words(Client().get(reverse("sheets:still_good", args=[copy.token])))
        assert ("superseded" in page.lower()) or ("grounded" in page.lower())
    assert setup_sheet_pdf(gull().revisions.get(number=1), copy=Print.objects.order_by("pk")[0]).startswith(b"%PDF")


def test_it_goes_on(undone: Old, tmp_path: Path) -> None:
    """Recording, printing, flying, releasing, erasing, exporting."""
    owner, instructor, head = member("owner"), member("instructor"), current_head(gull())
    assert head is not None
    newer = record(
        user=owner, airframe=gull(), setup=head.setup.changed(remarks="Now."), base=head, reason="upgraded"
    ).revision
    assert newer.number == 4
    copy = record_print(user=owner, revision=newer)
    assert Client().get(reverse("sheets:still_good", args=[copy.token])).status_code == 200
    log_flight(user=owner, revision=newer, flown_on=timezone.localdate(), pilot=owner, load="small", verdict="keep")
    for grounding in gull().groundings.filter(released_at=None):
        release(user=instructor, grounding=grounding, reason="looked at")
    export_club(tmp_path / "club.zip")
    erase_name(user=owner, member=owner)
    call_command("verify_history", verbosity=0)
    with zipfile.ZipFile(tmp_path / "club.zip") as club:
        assert club.read(f"media/{second_year.PHOTO}").startswith(b"\xff\xd8")


def test_a_backup_of_the_second_year_comes_back(old: Old, tmp_path: Path) -> None:
    """Into an empty site of today, which brings its tables up to date."""
    with empty_database(tmp_path, "restored"):
        assert restore(old.backup) == 4
        assert unready() == ""
        assert gull().revisions.count() == 3
        assert Draft.objects.get(airframe__slug="kite").steps.count() == 1
        assert not Print.objects.filter(token=None).exists()
