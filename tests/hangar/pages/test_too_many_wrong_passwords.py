"""Wrong passwords are counted by login and address, also where proxies of ours stand between."""

from datetime import timedelta
from typing import Any

import pytest
from axes.models import AccessAttempt
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from hangar.members.models import Member

SIGN_IN = reverse("members:sign_in")
GOOD = "three dry socks"


@pytest.fixture(autouse=True)
def _nora(db: None) -> None:
    Member.objects.create_user("nora", GOOD)


def status(password: str, *, login: str = "nora", **where: Any) -> int:
    """Of signing in from a browser that was not there before: no cookie counts."""
    return Client(**where).post(SIGN_IN, {"username": login, "password": password}).status_code


def fail_five_times(**where: Any) -> None:
    assert [status("guess", **where) for _ in range(5)] == [200] * 4 + [429]


def test_one_address_is_closed_another_is_not() -> None:
    fail_five_times(REMOTE_ADDR="10.0.0.1")
    assert status(GOOD, REMOTE_ADDR="10.0.0.1") == 429
    assert status(GOOD, REMOTE_ADDR="10.0.0.2") == 302, "nobody can lock a member out from elsewhere"


def test_another_spelling_or_another_header_is_no_way_round() -> None:
    for n, login in enumerate(["nora", "NORA", " nora", "Nora "]):
        status("guess", login=login, REMOTE_ADDR="10.0.0.1", headers={"x-forwarded-for": f"6.6.6.{n}"})
    assert status("guess", REMOTE_ADDR="10.0.0.1") == 429
    assert status(GOOD, REMOTE_ADDR="10.0.0.1", headers={"x-forwarded-for": "6.6.6.9", "user-agent": "new"}) == 429


def test_behind_a_proxy_it_is_what_the_proxy_saw(settings: Any) -> None:
    settings.HANGAR_PROXIES = 1
    for n in range(5):
        # What stands left of the proxy's own entry was sent by whoever tries.
        where: dict[str, Any] = {"REMOTE_ADDR": "127.0.0.1", "headers": {"x-forwarded-for": f"6.6.6.{n}, 10.1.1.1"}}
        last = status("guess", **where)
    assert last == 429
    for forwarded, expected in (("6.6.6.7, 10.1.1.1", 429), ("10.1.1.1, 10.1.1.2", 302)):
        assert status(GOOD, REMOTE_ADDR="127.0.0.1", headers={"x-forwarded-for": forwarded}) == expected


def test_two_proxies(settings: Any) -> None:
    settings.HANGAR_PROXIES = 2
    fail_five_times(REMOTE_ADDR="127.0.0.1", headers={"x-forwarded-for": "10.1.1.1, 10.2.2.2"})
    assert status(GOOD, REMOTE_ADDR="127.0.0.1", headers={"x-forwarded-for": "6.6.6.6, 10.1.1.1, 10.2.2.3"}) == 429
    assert status(GOOD, REMOTE_ADDR="127.0.0.1", headers={"x-forwarded-for": "10.1.1.2, 10.2.2.2"}) == 302


def test_a_quarter_of_an_hour_later() -> None:
    fail_five_times()
    AccessAttempt.objects.update(attempt_time=timezone.now() - timedelta(minutes=14))
    assert status(GOOD) == 429
    AccessAttempt.objects.update(attempt_time=timezone.now() - timedelta(minutes=16))
    assert status(GOOD) == 302


def test_a_login_that_does_not_exist_is_answered_alike() -> None:
    """Neither the words nor the pause tell who is a member."""
    known, unknown = Client(), Client()
    for _ in range(5):
        answers = [
            browser.post(SIGN_IN, {"username": login, "password": "guess"})
            for browser, login in ((known, "nora"), (unknown, "nobody"))
        ]
        assert answers[0].status_code == answers[1].status_code
    assert answers[0].content == answers[1].content
    assert answers[0].status_code == 429
