"""A member's own page: name and number, preferences, password, where they are signed in, leaving."""

from datetime import timedelta
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from django.core.cache import cache
from django.db import DatabaseError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from hangar.members import visits
from hangar.members.models import Member, PersonalName, Visit
from hangar.setups.history import broken_links
from hangar.setups.models import Revision
from tests.hangar.pages.conftest import Answer, SignIn, error_at, values, words

GOOD, NEW = "three dry socks", "four wet boots"
YOU = reverse("members:you")
PHONE = "Mozilla/5.0 (Android 14; Mobile; rv:140.0) Gecko/140.0 Firefox/140.0"


@pytest.fixture
def nora(db: None) -> Member:
    return Member.objects.create_user("nora", GOOD, full_name="Nora New")


def signed_in(agent: str = "") -> Client:
    browser = Client(headers={"user-agent": agent})
    answer = browser.post(reverse("members:sign_in"), {"username": "nora", "password": GOOD})
    assert answer.status_code == 302
    return browser


@pytest.fixture
def at_home(nora: Member) -> Client:
    return signed_in("Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0")


def test_what_is_told(at_home: Client, nora: Member) -> None:
    PersonalName.objects.update(operator_number="OP-5", licence_expires_on=timezone.localdate() - timedelta(days=1))
    page = words(at_home.get(YOU))
    for told in ("Nora New", "Pilot, with the login nora", "OP-5", "expired on", "millimetres", "Firefox on Linux"):
        assert told in page
    assert "Your operator number expired on" in words(at_home.get("/")), "and it is told on every page"


def test_changing_name_and_number(at_home: Client, nora: Member) -> None:
    page = reverse("members:details")
    assert values(at_home.get(page))["full_name"] == "Nora New"
    assert "email" not in values(at_home.get(page)), "no address is asked for where no mail is sent"
    sent = {"full_name": "Nora Newer", "operator_number": "OP-6", "licence_expires_on": "2030-01-31"}
    assert at_home.post(page, sent).status_code == 302
    assert "31 Jan 2030" in words(at_home.get(YOU))
    assert error_at(at_home.post(page, {**sent, "full_name": " "}), "full_name")


def test_a_mail_address_takes_the_password(at_home: Client, nora: Member, settings: Any) -> None:
    settings.EMAIL_HOST, settings.HANGAR_BASE_URL = "mail.example", "https://hangar.example"
    page = reverse("members:details")
    sent = {"full_name": "Nora New", "email": "nora@hangar.example"}
    assert "since the mail address changes" in error_at(at_home.post(page, sent), "old")
    assert "not your password" in error_at(at_home.post(page, {**sent, "old": "guess"}), "old")
    assert not PersonalName.objects.get().email
    assert at_home.post(page, {**sent, "old": GOOD}).status_code == 302
    assert PersonalName.objects.get().email == "nora@hangar.example"
    assert at_home.post(page, {**sent, "full_name": "Nora Newer"}).status_code == 302, "unchanged, it takes none"


def test_preferences(at_home: Client, nora: Member) -> None:
    page = reverse("members:preferences")
    chosen = {"throw_unit": "deg", "paper": "letter", "length_unit": "inch", "language": "de"}
    assert at_home.post(page, chosen).status_code == 302
    nora.refresh_from_db()
    assert {name: getattr(nora, name) for name in chosen} == chosen
    assert at_home.post(page, {**chosen, "language": ""}).status_code == 302, "as the browser asks for"
    for name in ("throw_unit", "length_unit", "language"):
        assert "yard" in error_at(at_home.post(page, {**chosen, "language": "", name: "yard"}), name)


def change_password(browser: Client, old: str = GOOD, new: str = NEW, again: str = NEW) -> Answer:
    return browser.post(reverse("members:password"), {"old": old, "password": new, "again": again}, follow=True)


def test_a_new_password(at_home: Client, nora: Member) -> None:
    phone = signed_in(PHONE)
    page = words(change_password(at_home))
    assert "Your password is new. Everywhere else you are signed out." in page
    assert "Firefox on an Android" not in page
    assert at_home.get(YOU).status_code == 200
    assert phone.get(YOU).status_code == 302
    nora.refresh_from_db()
    assert nora.check_password(NEW)


@pytest.mark.parametrize(
    ("old", "new", "again", "field", "told"),
    [
        ("guess", NEW, NEW, "old", "not your password"),
        ("", NEW, NEW, "old", "Give your password."),
        (GOOD, "short", "short", "password", "too short"),
        (GOOD, NEW, "else", "again", "not what was typed above"),
    ],
)
def test_a_new_password_that_cannot_be(
    at_home: Client, nora: Member, old: str, new: str, again: str, field: str, told: str
) -> None:
    assert told in error_at(change_password(at_home, old, new, again), field)
    nora.refresh_from_db()
    assert nora.check_password(GOOD)


def test_guessing_the_old_password_is_counted(at_home: Client) -> None:
    """On a phone that lies about unlocked."""
    answers = [change_password(at_home, old="guess").status_code for _ in range(6)]
    assert answers[:4] == [200] * 4
    assert answers[5] == 429
    assert change_password(at_home).status_code == 429, "even the right one has to wait"


def visit_of(browser: Client) -> Visit:
    return Visit.objects.get(session_key=browser.session.session_key)


def test_where_one_is_signed_in(at_home: Client) -> None:
    phone = signed_in(PHONE)
    page = words(at_home.get(YOU))
    assert "Firefox on Linux this one" in page
    assert "Firefox on an Android phone or tablet Seen" in page
    answer = at_home.post(reverse("members:end_visit", args=[visit_of(phone).pk]), follow=True)
    assert "Firefox on an Android phone or tablet is signed out." in words(answer)
    assert phone.get(YOU).status_code == 302
    assert at_home.get(YOU).status_code == 200


def test_ending_all_others(at_home: Client) -> None:
    others = [signed_in(), signed_in()]
    assert "2 signed out" in words(at_home.post(reverse("members:end_others"), follow=True))
    assert [other.get(YOU).status_code for other in others] == [302, 302]
    assert list(Visit.objects.values_list("session_key", flat=True)) == [at_home.session.session_key]
    assert "Sign out everywhere else" not in words(at_home.get(YOU))


def test_ending_the_one_in_use(at_home: Client) -> None:
    answer = at_home.post(reverse("members:end_visit", args=[visit_of(at_home).pk]))
    assert answer["Location"] == reverse("members:sign_in")
    assert at_home.get(YOU).status_code == 302


def test_nobody_ends_anothers(at_home: Client, reader: Member, sign_in: SignIn) -> None:
    other = sign_in(reader)
    assert other.post(reverse("members:end_visit", args=[visit_of(at_home).pk])).status_code == 404
    other.post(reverse("members:end_others"))
    assert at_home.get(YOU).status_code == 200


def test_a_session_that_ended_is_not_listed(at_home: Client) -> None:
    phone, gone = signed_in(PHONE), signed_in(PHONE)
    gone.post(reverse("members:sign_out"))
    Session.objects.filter(session_key=phone.session.session_key).update(expire_date=timezone.now())
    assert "Android" not in words(at_home.get(YOU))
    signed_in()
    assert Visit.objects.count() == Session.objects.count() == 2, "and forgotten when someone signs in"


def test_last_seen_is_noted_now_and_then(at_home: Client, django_assert_num_queries: Any) -> None:
    long_ago = timezone.now() - timedelta(days=3)
    Visit.objects.update(last_seen_at=long_ago)
    at_home.get(YOU)
    assert visit_of(at_home).last_seen_at == long_ago, "not at every look"
    cache.clear()
    at_home.get(YOU)
    assert timezone.now() - visit_of(at_home).last_seen_at < timedelta(minutes=1)


def test_a_session_from_before_is_taken_up(at_home: Client) -> None:
    Visit.objects.all().delete()
    cache.clear()
    at_home.get("/")
    assert "Firefox on Linux this one" in words(at_home.get(YOU))


def test_reading_goes_on_when_the_note_cannot_be_written(at_home: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*args: object) -> None:
        raise DatabaseError("database or disk is full")

    cache.clear()
    monkeypatch.setattr(visits, "_note", full)
    assert at_home.get(YOU).status_code == 200


def leave(browser: Client, name: str, old: str = GOOD) -> Answer:
    return browser.post(reverse("members:leave"), {"name": name, "old": old})


def test_leaving(at_home: Client, nora: Member) -> None:
    assert "What stays in either case" in words(at_home.get(reverse("members:leave")))
    assert "Your name stays in the history" in words(leave(at_home, "keep"))
    assert at_home.get("/").status_code == 302
    nora.refresh_from_db()
    assert (nora.is_active, str(nora)) == (False, "Nora New")


def test_leaving_with_the_name(first: Revision, owner: Member) -> None:
    owner.set_password(GOOD)
    owner.save()
    browser = Client()
    browser.force_login(owner)
    assert "The history says “former member”" in words(leave(browser, "erase"))
    assert not PersonalName.objects.filter(member=owner).exists()
    assert not Visit.objects.filter(member=owner).exists()
    assert list(broken_links(first.airframe)) == []


def test_leaving_takes_the_password_and_a_choice(at_home: Client, nora: Member) -> None:
    assert "not your password" in error_at(leave(at_home, "erase", "guess"), "old")
    assert "burn" in error_at(leave(at_home, "burn"), "name")
    nora.refresh_from_db()
    assert nora.is_active


def test_the_last_secretary_does_not_leave(at_home: Client, nora: Member) -> None:
    Member.objects.update(role="secretary")
    for name in ("keep", "erase"):
        assert "is the only secretary" in words(leave(at_home, name))
    assert at_home.get(YOU).status_code == 200
