"""A forgotten password: by mail where the site sends mail, else through a secretary; nobody learns who is a member."""

import re
import smtplib
from datetime import timedelta
from typing import Any

import pytest
from django.core import mail as outbox
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from hangar.members import mail
from hangar.members.models import Invitation, Member, PersonalName
from tests.hangar.pages.conftest import Answer, error_at, words

PAGE = reverse("members:forgotten")
GOOD = "three dry socks"


@pytest.fixture(autouse=True)
def _at_once(monkeypatch: pytest.MonkeyPatch, settings: Any) -> None:
    """Letters go out within the request: a thread would not see what a test has written."""
    cache.clear()
    monkeypatch.setattr(mail, "in_the_background", lambda work: work())
    settings.EMAIL_HOST, settings.HANGAR_BASE_URL = "mail.example", "https://hangar.example"


@pytest.fixture
def nora(db: None) -> Member:
    member = Member.objects.create_user("nora", GOOD, full_name="Nora New")
    PersonalName.objects.update(email="nora@hangar.example")
    return member


def ask(login: str = "nora", address: str = "10.0.0.1") -> Answer:
    return Client(REMOTE_ADDR=address).post(PAGE, {"login": login})


def test_by_mail(nora: Member) -> None:
    ask(" NORA ")
    (letter,) = outbox.outbox
    assert letter.to == ["nora@hangar.example"]
    link = re.search(r"https://hangar.example(/link/\S+)", str(letter.body))
    assert link is not None
    answer = Client().post(link[1], {"password": "four wet boots", "again": "four wet boots"})
    assert answer.status_code == 302
    nora.refresh_from_db()
    assert nora.check_password("four wet boots")


def test_the_link_never_leads_where_whoever_asks_says(nora: Member, settings: Any) -> None:
    Client(headers={"host": "testserver:4711"}).post(PAGE, {"login": "nora"})
    assert "https://hangar.example/link/" in str(outbox.outbox[0].body)
    assert "4711" not in str(outbox.outbox[0].body)
    settings.HANGAR_BASE_URL = ""
    assert "Ask a secretary of your club" in words(ask(address="10.0.0.2"))
    assert len(outbox.outbox) == 1


@pytest.mark.parametrize("case", ["nobody", "no address", "left", "erased", "asked just now", "mail server down"])
def test_the_answer_tells_nothing(nora: Member, case: str, monkeypatch: pytest.MonkeyPatch) -> None:
    found = ask().content
    outbox.outbox.clear()
    login = "nora"
    if case == "nobody":
        login = "nobody"
    elif case == "no address":
        PersonalName.objects.update(email="")
    elif case == "left":
        Member.objects.update(is_active=False)
    elif case == "erased":
        PersonalName.objects.all().delete()
    elif case == "mail server down":
        Invitation.objects.all().delete()

        def refuse(*args: object, **options: object) -> None:
            raise smtplib.SMTPServerDisconnected

        monkeypatch.setattr(mail, "send_mail", refuse)
    assert ask(login).content == found
    assert outbox.outbox == []


def test_it_goes_on_while_the_letter_is_written(nora: Member, monkeypatch: pytest.MonkeyPatch) -> None:
    """Else the time that the answer takes would tell who is a member."""
    later: list[Any] = []
    monkeypatch.setattr(mail, "in_the_background", later.append)
    assert "Look at your mail" in words(ask())
    assert outbox.outbox == []
    assert not Invitation.objects.exists()
    later[0]()
    assert len(outbox.outbox) == 1


def test_nobodys_mailbox_is_filled(nora: Member) -> None:
    for n in range(4):
        ask(address=f"10.0.0.{n}")
    assert len(outbox.outbox) == 1
    Invitation.objects.update(created_at=timezone.now() - timedelta(minutes=11))
    ask()
    assert len(outbox.outbox) == 2


def test_one_address_asks_a_few_times_only(nora: Member) -> None:
    for n in range(9):
        Member.objects.create_user(f"other{n}", GOOD)
    PersonalName.objects.update(email="club@hangar.example")
    for n in range(9):
        ask(f"other{n}")
    assert len(outbox.outbox) == 5


def test_nothing_typed(db: None) -> None:
    assert error_at(Client().post(PAGE, {}), "login") == "Give your login."


def test_without_mail_a_secretary_is_asked(nora: Member, settings: Any) -> None:
    settings.EMAIL_HOST = ""
    assert "Ask a secretary of your club" in words(Client().get(PAGE))
    assert "Ask a secretary of your club" in words(ask())
    assert outbox.outbox == []
    assert PAGE in Client().get(reverse("members:sign_in")).content.decode()


@pytest.mark.parametrize(("chosen", "asked_in", "subject"), [
    ("", "de", "Ein neues Passwort"), ("de", "en", "Ein neues Passwort"), ("en", "de", "A new password"),
])  # fmt: skip
def test_the_letter_is_in_the_language_of_who_gets_it(nora: Member, chosen: str, asked_in: str, subject: str) -> None:
    """As they chose; where they did not, as the browser does from which it was asked for."""
    Member.objects.update(language=chosen)
    Client(headers={"Accept-Language": asked_in}).post(PAGE, {"login": "nora"})
    (letter,) = outbox.outbox
    assert letter.subject == subject
    assert ("Er gilt einmal, bis" in str(letter.body)) is (subject != "A new password")
