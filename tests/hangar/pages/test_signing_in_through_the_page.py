"""The sign-in page, and what is told where something is not there or goes wrong."""

import pytest
from django.contrib.sessions.models import Session
from django.test import Client, RequestFactory
from django.urls import reverse
from django.views.defaults import bad_request, server_error

from hangar.members.models import Member
from tests.hangar.pages.conftest import SignIn, error_at, values, words

SIGN_IN = reverse("members:sign_in")
GOOD = "three dry socks"


@pytest.fixture
def nora(db: None) -> Member:
    return Member.objects.create_user("nora", GOOD, full_name="Nora New")


def test_signing_in_leads_where_one_wanted_to_go(nora: Member) -> None:
    browser = Client()
    asked = browser.get(reverse("fleet:receivers"), follow=True)
    assert "Sign in to see the page that you asked for." in words(asked)
    response = browser.post(
        SIGN_IN, {"username": " Nora", "password": GOOD, "next": values(asked)["next"]}, follow=True
    )
    assert response.request["PATH_INFO"] == reverse("fleet:receivers")
    assert "Nora New" in words(response)


def test_a_wrong_password(nora: Member) -> None:
    response = Client().post(SIGN_IN, {"username": "nora", "password": "wrong"})
    assert "This login and password do not fit together." in words(response)
    assert values(response)["username"] == "nora"
    assert "wrong" not in response.content.decode()


def test_nothing_typed(db: None) -> None:
    response = Client().post(SIGN_IN, {})
    assert error_at(response, "username") == "Give your login."
    assert error_at(response, "password") == "Give your password."


def test_too_many_wrong_passwords(nora: Member) -> None:
    browser = Client()
    for _ in range(5):
        response = browser.post(SIGN_IN, {"username": "nora", "password": "wrong"})
    assert response.status_code == 429
    assert "Too many wrong passwords" in words(response)
    assert browser.post(SIGN_IN, {"username": "nora", "password": GOOD}).status_code == 429


def test_a_member_who_left(nora: Member) -> None:
    Member.objects.update(is_active=False)
    response = Client().post(SIGN_IN, {"username": "nora", "password": GOOD})
    assert response.status_code == 200
    assert "do not fit together" in words(response)


def test_signing_out(nora: Member, sign_in: SignIn) -> None:
    browser = sign_in(nora)
    assert browser.get(reverse("members:sign_out")).status_code == 405
    assert browser.post(reverse("members:sign_out"))["Location"] == SIGN_IN
    assert browser.get("/")["Location"].startswith(SIGN_IN)


def test_no_address_elsewhere_after_signing_in(nora: Member) -> None:
    response = Client().post(SIGN_IN, {"username": "nora", "password": GOOD, "next": "https://elsewhere.example/"})
    assert response["Location"] == "/"


def test_a_form_without_its_token(nora: Member) -> None:
    response = Client(enforce_csrf_checks=True).post(SIGN_IN, {"username": "nora", "password": GOOD})
    assert response.status_code == 403
    assert "The page had gone stale" in words(response)


def test_pages_of_errors_need_nothing_else(rf: RequestFactory) -> None:
    """They must appear when the database does not answer: no query, no sign-in, no context."""
    assert "Something went wrong on our side" in server_error(rf.get("/")).content.decode()
    assert "could not read that" in bad_request(rf.get("/"), ValueError()).content.decode()


def test_an_address_that_is_not_there(nora: Member, sign_in: SignIn) -> None:
    response = sign_in(nora).get("/no/such/page/")
    assert response.status_code == 404
    assert "There is no such page" in words(response)


def test_nothing_inline_and_nothing_from_elsewhere(nora: Member, sign_in: SignIn) -> None:
    """The policy forbids it, so a page that needed it would be broken."""
    body = sign_in(nora).get("/").content.decode()
    for forbidden in ("style=", "<style", "onclick", "javascript:", "http://", "https://"):
        assert forbidden not in body
    assert "<script src=" in body.replace("<script defer src=", "<script src=")


def test_back_shows_nothing_of_who_was_here(owner: Member, sign_in: SignIn) -> None:
    """A page about people is kept nowhere; signing out, from here or from afar, empties what is held for Back."""
    browser = sign_in(owner)
    for page, kept in (("members:you", "no-store"), ("members:details", "no-store"), ("flights:line_up", "no-cache")):
        answer = browser.get(reverse(page))
        assert answer["Cache-Control"] == f"private, {kept}"
        assert "Clear-Site-Data" not in answer
    assert browser.post(reverse("members:sign_out"))["Clear-Site-Data"] == '"cache"'
    browser.force_login(owner)
    Session.objects.all().delete()
    assert browser.get(reverse("flights:line_up"))["Clear-Site-Data"] == '"cache"'
    assert "Clear-Site-Data" not in Client().get(reverse("members:sign_in"))
