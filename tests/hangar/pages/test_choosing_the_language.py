"""The switch of languages: for visitors where they sign in, for members in the footer."""

from typing import Any

import pytest
from django.test import Client

from hangar.members.models import Member

pytestmark = pytest.mark.django_db
SIGN_IN = "/sign-in/"


def test_a_visitor_chooses_once_and_the_browser_keeps_it(client: Client) -> None:
    page = client.get(SIGN_IN).content.decode()
    assert 'action="/language/"' in page
    assert '<html lang="en">' in page
    answer: Any = client.post("/language/", {"language": "de", "next": SIGN_IN})
    assert (answer.status_code, answer["Location"]) == (302, SIGN_IN)
    assert answer.cookies["django_language"]["httponly"]
    page = client.get(SIGN_IN, headers={"Accept-Language": "en"}).content.decode()
    assert '<html lang="de">' in page
    assert "Sprache:" in page


def test_a_member_chooses_in_the_footer_and_it_is_theirs_everywhere(client: Client) -> None:
    member = Member.objects.create_user("olive", "four wet boots", full_name="Olive Owner")
    client.force_login(member)
    page = client.get("/help/").content.decode()
    assert '<input type="hidden" name="next" value="/help/">' in page
    client.post("/language/", {"language": "de", "next": "/help/"})
    member.refresh_from_db()
    assert member.language == "de"
    elsewhere = Client()
    elsewhere.force_login(member)
    assert '<html lang="de">' in elsewhere.get("/help/").content.decode()


@pytest.mark.parametrize("language", ["", "xx", "de-xx"])
def test_what_is_no_language_of_the_site_changes_nothing(client: Client, language: str) -> None:
    member = Member.objects.create_user("olive", "four wet boots", full_name="Olive Owner")
    client.force_login(member)
    assert client.post("/language/", {"language": language, "next": "/you/"}).status_code == 302
    member.refresh_from_db()
    assert member.language == ""


def test_it_leads_nowhere_else(client: Client) -> None:
    answer: Any = client.post("/language/", {"language": "de", "next": "https://elsewhere.example/"})
    assert answer["Location"] == "/"


def test_what_is_refused_before_anyone_is_known_speaks_the_language_of_the_browser(client: Client) -> None:
    much: Any = {"CONTENT_LENGTH": str(64 * 1024 * 1024), "HTTP_ACCEPT_LANGUAGE": "de"}
    answer = client.post(SIGN_IN, {}, **much)
    assert answer.status_code == 413
    assert '<html lang="de">' in answer.content.decode()
    assert "Das ist zu groß" in answer.content.decode()


def test_a_page_that_is_not_there_speaks_the_language_of_the_browser(client: Client) -> None:
    client.force_login(Member.objects.create_user("olive", "four wet boots", full_name="Olive Owner"))
    answer = client.get("/no-such-page/", headers={"Accept-Language": "de"})
    assert answer.status_code == 404
    assert "Diese Seite gibt es nicht" in answer.content.decode()
