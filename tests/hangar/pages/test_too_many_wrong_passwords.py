"""Wrong passwords are counted by login and address, by address, and by login, also where proxies stand between.

One login from one address: 5. Whatever logins from one address: 50. One login from wherever: 25, save for browsers in
which that member signed in before. Each within a quarter of an hour.
"""

from datetime import timedelta
from typing import Any

import pytest
from axes.models import AccessAttempt
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from hangar.members.known import COOKIE
from hangar.members.models import Member
from hangar.members.operations import offer_new_password
from hangar.members.throttling import FOR_ONE_LOGIN, FROM_ONE_ADDRESS

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


def later(minutes: int) -> None:
    for attempt in AccessAttempt.objects.all():
        AccessAttempt.objects.filter(pk=attempt.pk).update(
            attempt_time=attempt.attempt_time - timedelta(minutes=minutes)
        )


def guess_at_everyone(address: str, count: int) -> None:
    """One guess at each login, so that no login is closed by itself."""
    for n in range(count):
        assert status("guess", login=f"someone{n}", REMOTE_ADDR=address) in (200, 429)


def guess_from_everywhere(count: int = FOR_ONE_LOGIN) -> None:
    """One guess from each address, so that no address is closed by itself."""
    for n in range(count):
        assert status("guess", REMOTE_ADDR=f"10.9.0.{n}") in (200, 429)


def test_one_address_that_guesses_at_many_logins() -> None:
    guess_at_everyone("10.0.0.1", FROM_ONE_ADDRESS - 1)
    assert status("guess", login="another", REMOTE_ADDR="10.0.0.1") == 429
    assert status(GOOD, REMOTE_ADDR="10.0.0.1") == 429
    assert status(GOOD, REMOTE_ADDR="10.0.0.2") == 302, "the others of the club are not shut out with it"
    later(16)
    assert status(GOOD, REMOTE_ADDR="10.0.0.1") == 302


def test_signing_in_as_oneself_does_not_make_good_for_guesses_at_others() -> None:
    guess_at_everyone("10.0.0.1", FROM_ONE_ADDRESS - 1)
    assert status(GOOD, REMOTE_ADDR="10.0.0.1") == 302
    assert status("guess", login="another", REMOTE_ADDR="10.0.0.1") == 429


def test_many_addresses_that_guess_at_one_login() -> None:
    Member.objects.create_user("ole", GOOD)
    guess_from_everywhere(FOR_ONE_LOGIN - 1)
    assert status("guess", REMOTE_ADDR="10.8.0.1") == 429
    assert status(GOOD, REMOTE_ADDR="10.8.0.2") == 429
    assert status(GOOD, login="ole", REMOTE_ADDR="10.8.0.2") == 302, "nobody else is shut out with her"


def test_who_goes_on_guessing_does_not_keep_a_login_closed() -> None:
    guess_from_everywhere()
    later(14)
    for n in range(FOR_ONE_LOGIN):
        assert status("guess", REMOTE_ADDR=f"10.7.0.{n}") == 429
    later(2)
    assert status(GOOD, REMOTE_ADDR="10.8.0.1") == 302


def test_a_browser_that_a_member_knows_stays_open() -> None:
    """Whoever guesses from elsewhere cannot shut a member out of the own phone, nor of a new one for good."""
    phone = Client(REMOTE_ADDR="10.0.0.1")
    assert phone.post(SIGN_IN, {"username": "nora", "password": GOOD}).status_code == 302
    phone.post(reverse("members:sign_out"))
    guess_from_everywhere()
    assert status(GOOD, REMOTE_ADDR="10.0.0.1") == 429, "not the address: others may stand behind it"
    assert phone.post(SIGN_IN, {"username": "nora", "password": GOOD}).status_code == 302
    nora = Member.objects.get(login="nora")
    _, token = offer_new_password(user=Member.objects.create_user("sam", GOOD, role="secretary"), member=nora)
    sent = {"password": "four wet socks", "again": "four wet socks"}
    fresh = Client(REMOTE_ADDR="10.0.0.3")
    assert fresh.post(reverse("members:use_link", args=[token]), sent).status_code == 302
    fresh.post(reverse("members:sign_out"))
    assert fresh.post(SIGN_IN, {"username": "nora", "password": "four wet socks"}).status_code == 302


def test_a_known_browser_is_no_way_round_for_others_or_for_guessing() -> None:
    ole = Client(REMOTE_ADDR="10.0.0.1")
    Member.objects.create_user("ole", GOOD)
    assert ole.post(SIGN_IN, {"username": "ole", "password": GOOD}).status_code == 302
    ole.post(reverse("members:sign_out"))
    guess_from_everywhere()
    assert ole.post(SIGN_IN, {"username": "nora", "password": GOOD}).status_code == 429
    said = ole.cookies[COOKIE].value
    ole.cookies[COOKIE] = said.replace(said[:4], "WzFd", 1)
    assert ole.post(SIGN_IN, {"username": "nora", "password": GOOD}).status_code == 429, "a cookie of one's own making"
    for _ in range(5):
        last = ole.post(SIGN_IN, {"username": "ole", "password": "guess"}).status_code
    assert last == 429


def test_a_laptop_that_many_know(client: Client) -> None:
    for login in ("ole", "pia"):
        Member.objects.create_user(login, GOOD)
        assert client.post(SIGN_IN, {"username": login, "password": GOOD}).status_code == 302
        client.post(reverse("members:sign_out"))
    for n in range(FOR_ONE_LOGIN):
        status("guess", login="ole", REMOTE_ADDR=f"10.9.0.{n}")
    assert status(GOOD, login="ole", REMOTE_ADDR="10.8.0.1") == 429
    assert client.post(SIGN_IN, {"username": "ole", "password": GOOD}).status_code == 302


def test_a_network_of_ipv6_is_one_address() -> None:
    for n in range(5):
        last = status("guess", REMOTE_ADDR=f"2001:db8:1:2::{n}")
    assert last == 429
    assert status(GOOD, REMOTE_ADDR="2001:db8:1:2:ffff::1") == 429
    assert status(GOOD, REMOTE_ADDR="2001:db8:1:3::1") == 302


def test_a_proxy_that_says_no_address(settings: Any) -> None:
    settings.HANGAR_PROXIES = 1
    assert status("guess", headers={"x-forwarded-for": "unknown"}) == 200
    assert status(GOOD, headers={"x-forwarded-for": "unknown"}) == 302
