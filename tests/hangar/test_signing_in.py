"""Signing in by the backends as they are set: any spelling of the login, and a pause after five wrong passwords."""

import pytest
from axes.models import AccessAttempt
from django.contrib.auth import authenticate
from django.http import HttpRequest
from django.test import Client, RequestFactory

from hangar.members.models import Member

GOOD = "three dry socks"


@pytest.fixture
def member(db: None) -> Member:
    return Member.objects.create_user("nora", GOOD, full_name="Nora New")


def request(address: str = "10.0.0.1") -> HttpRequest:
    return RequestFactory().post("/sign-in", REMOTE_ADDR=address)


@pytest.mark.parametrize("login", ["nora", "NORA", " Nora "])
def test_any_spelling(member: Member, login: str) -> None:
    assert authenticate(request(), username=login, password=GOOD) == member


def test_a_member_who_left_does_not_get_in(member: Member) -> None:
    member.is_active = False
    member.save()
    assert authenticate(request(), username="nora", password=GOOD) is None


def try_wrong(login: str, address: str = "10.0.0.1") -> None:
    assert authenticate(request(address), username=login, password="wrong") is None


@pytest.mark.parametrize("spellings", [["nora"] * 5, ["nora", "NORA", " nora", "Nora ", "nORA"]])
def test_five_wrong_passwords_make_a_pause(member: Member, spellings: list[str]) -> None:
    for login in spellings:
        try_wrong(login)
    assert authenticate(request(), username="nora", password=GOOD) is None, "even the right one has to wait"
    assert authenticate(request("10.0.0.2"), username="nora", password=GOOD) == member, "not for who is elsewhere"


def test_a_pause_of_one_is_none_of_another(member: Member) -> None:
    other = Member.objects.create_user("otto", GOOD)
    for _ in range(5):
        try_wrong("nora")
    assert authenticate(request(), username="otto", password=GOOD) == other


@pytest.mark.urls("tests.hangar.plain_urls")
def test_a_right_password_makes_the_wrong_ones_forgotten(member: Member, client: Client) -> None:
    for _ in range(2):
        for _ in range(4):
            try_wrong("nora", "127.0.0.1")
        assert client.post("/members/sign-in", {"username": "Nora", "password": GOOD}).status_code == 302
        client.logout()
    assert not AccessAttempt.objects.exists()
