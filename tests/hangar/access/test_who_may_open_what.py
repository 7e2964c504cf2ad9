"""Every address of the site, walked by everyone with every method, against the table; and what each answer promises."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.conf import settings
from django.db import transaction
from django.http import SimpleCookie
from django.test import Client
from django.urls import NoReverseMatch, URLPattern, URLResolver, get_resolver, reverse

from hangar.members.models import Member
from tests.hangar.access.conftest import NUMBER_OF_OWNER, Club
from tests.hangar.access.table import ROLES, ROWS, Row

# Django's answer or an answer of the test client, with its request.
Answer = Any
METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")
KNOWS_THE_NUMBER = ("owner", "secretary")
ADDRESS_ELSEWHERE = re.compile(r"""(?:src|href|action|hx-\w+)=["']?(?:https?:)?//""")
INLINE = re.compile(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son\w+=|hx-on|javascript:", re.IGNORECASE)

pytestmark = pytest.mark.django_db
every_row = pytest.mark.parametrize("row", ROWS, ids=str)


def patterns(resolver: URLResolver, space: str = "") -> Iterator[tuple[str, str]]:
    """Name and pattern of every address that the site answers."""
    for one in resolver.url_patterns:
        if isinstance(one, URLResolver):
            yield from patterns(one, f"{space}{one.namespace}:" if one.namespace else space)
        elif isinstance(one, URLPattern):
            yield f"{space}{one.name}" if one.name else "", str(one.pattern)


def test_every_address_has_a_line_in_the_table() -> None:
    names = dict(patterns(get_resolver()))
    assert "" not in names, f"give {names.get('')} a name"
    told = {row.name for row in ROWS}
    assert sorted(names.keys() - told) == [], "add a line for each of these to tests/hangar/access/table.py"
    assert sorted(told - names.keys()) == [], "these are gone: take their lines out of the table"


def ask(browser: Client, method: str, address: str) -> Answer:
    """What is answered; whatever it did is undone, also in the browser."""
    cookies = dict(browser.cookies)
    with transaction.atomic():
        answer = browser.generic(method, address, b"", content_type="application/x-www-form-urlencoded", secure=True)
        transaction.set_rollback(True)
    browser.cookies = SimpleCookie()
    browser.cookies.update(cookies)
    return answer


def told(answer: Answer) -> str:
    """An answer in the words of the table."""
    if answer.status_code in (301, 302, 303):
        return "in" if answer["Location"].startswith(f"{reverse('members:sign_in')}?next=") else "yes"
    # 409: the form was understood, and someone else was quicker.
    words = {200: "yes", 409: "yes", 403: "no", 404: "none", 405: "wrong method"}
    return words.get(answer.status_code, str(answer.status_code))


def expected(row: Row, role: str, method: str) -> str:
    cell = row.roles[role]
    takes = {"get": ("GET", "HEAD"), "post": ("POST",)}
    fits = any(method in takes[one] for one in row.takes)
    return cell if fits or cell == "in" else "wrong method"


@every_row
def test_everyone_with_every_method(row: Row, club: Club) -> None:
    address = reverse(row.name, kwargs=row.kwargs(club.cast))
    found, wanted = {}, {}
    for role in ROLES:
        # A HEAD costs as much as a GET and goes the same way: one member's is enough.
        for method in METHODS if role in ("visitor", "reader") else [one for one in METHODS if one != "HEAD"]:
            answer = ask(club.browsers[role], method, f"{address}?{row.query}" if row.query else address)
            found[role, method], wanted[role, method] = told(answer), expected(row, role, method)
            assert_promised(answer, role)
    assert found == wanted


def assert_promised(answer: Answer, role: str) -> None:
    """What every answer keeps, whoever asked for it and whatever came of it."""
    headers = answer.headers
    policy = headers["Content-Security-Policy"]
    assert "default-src 'self'" in policy or "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert not re.search(r"unsafe|\*|https?:", policy)
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] in ("same-origin", "no-referrer")
    assert headers["Cross-Origin-Opener-Policy"] == headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert "camera=()" in headers["Permissions-Policy"]
    assert headers["Strict-Transport-Security"] == "max-age=31536000; includeSubDomains"
    if role != "visitor" and answer.status_code != 302:
        assert re.search(r"private|no-store", headers["Cache-Control"])
    for name, cookie in answer.cookies.items():
        assert cookie["samesite"] in ("Lax", "Strict"), name
        # One that is taken away again says nothing.
        assert cookie["max-age"] == 0 or (cookie["httponly"] and cookie["secure"]), name
    if headers.get("Content-Type", "").startswith("text/html"):
        assert_plain(answer, role)


def assert_plain(answer: Answer, role: str) -> None:
    """Nothing inline, nothing from elsewhere, and nobody's operator number where it is not to be seen."""
    body = answer.content.decode()
    if role not in KNOWS_THE_NUMBER:
        assert NUMBER_OF_OWNER not in body
    # What is kept as a file is never a page of the site.
    if answer.headers.get("Content-Disposition", "").startswith("attachment"):
        return
    assert not (found := INLINE.search(body)), body[max(0, found.start() - 100) : found.end() + 100]
    assert not (found := ADDRESS_ELSEWHERE.search(body)), body[max(0, found.start() - 100) : found.end() + 100]


def wrong(value: str | int) -> str | int:
    return 987_654 if isinstance(value, int) or value.isdecimal() else "no-such-thing"


@every_row
def test_what_is_not_there(row: Row, club: Club) -> None:
    """Each part of an address in turn leads nowhere: 404, also for who may do everything, and for every form."""
    role = next(role for role in reversed(ROLES) if row.roles[role] == "yes")
    good = row.kwargs(club.cast)
    for name, value in good.items():
        try:
            address = reverse(row.name, kwargs={**good, name: wrong(value)})
        except NoReverseMatch:
            # The pattern itself takes nothing like it.
            continue
        for method in row.takes:
            answer = ask(club.browsers[role], method.upper(), f"{address}?{row.query}")
            assert told(answer) == "none", (address, method)
            assert_promised(answer, role)


@pytest.mark.parametrize("row", [row for row in ROWS if "post" in row.takes], ids=str)
def test_no_form_is_taken_from_another_site(row: Row, club: Club) -> None:
    role = next(role for role in reversed(ROLES) if row.roles[role] == "yes")
    strict = Client(enforce_csrf_checks=True)
    strict.cookies = club.browsers[role].cookies
    answer = ask(strict, "POST", reverse(row.name, kwargs=row.kwargs(club.cast)))
    assert answer.status_code == 403
    assert "The page had gone stale" in answer.content.decode()


def test_plain_http_leads_to_https(club: Club) -> None:
    answer = Client().get("/receivers/?sort=label")
    assert answer.status_code == 301
    assert answer["Location"] == "https://testserver/receivers/?sort=label"


def test_the_session_cookie(club: Club) -> None:
    """Set on signing in: not for scripts, not for other sites, not over plain HTTP."""
    Member.objects.create_user("nora", "three dry socks")
    browser = Client()
    sent = {"username": "nora", "password": "three dry socks"}
    assert browser.post(reverse("members:sign_in"), sent, secure=True).status_code == 302
    cookie = browser.cookies[settings.SESSION_COOKIE_NAME]
    assert (cookie["samesite"], cookie["httponly"], cookie["secure"]) == ("Lax", True, True)
