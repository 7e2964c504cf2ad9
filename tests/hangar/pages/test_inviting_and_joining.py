"""A secretary makes a link, it is shown once, and whoever gets it joins or sets a new password."""

import re
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from hangar.members import operations
from hangar.members.models import Invitation, Member
from tests.hangar.pages.conftest import Answer, SignIn, error_at, values, words

GOOD = "three dry socks"


def link_box(answer: Answer) -> str:
    found = re.search(r'id="link" value="https?://[^/]+([^"]+)"', answer.content.decode())
    assert found is not None, words(answer)
    return found[1]


@pytest.fixture
def office(secretary: Member, sign_in: SignIn) -> Client:
    return sign_in(secretary)


def invite(office: Client, name: str = "Nora New", role: str = "pilot") -> Answer:
    return office.post(reverse("members:invite"), {"full_name": name, "role": role})


def join(link: str, login: str = "nora", password: str = GOOD, again: str | None = None) -> tuple[Client, Answer]:
    browser = Client()
    sent = {"login": login, "password": password, "again": password if again is None else again}
    return browser, browser.post(link, sent)


def test_from_the_invitation_to_the_line_up(office: Client) -> None:
    shown = invite(office, role="instructor")
    assert "With it Nora New joins as instructor. It works once" in words(shown)
    assert shown["Cache-Control"].startswith("max-age=0, no-cache, no-store")
    link = link_box(shown)
    asked = Client().get(link)
    assert "You are invited as Nora New , instructor." in words(asked)
    browser, answer = join(link, " Nora.N ")
    assert answer.status_code == 302
    page = browser.get(answer["Location"])
    assert "Welcome, Nora New." in words(page)
    assert Member.objects.get(login="nora.n").role == "instructor"


def test_the_link_is_shown_this_once(office: Client) -> None:
    token = link_box(invite(office)).split("/")[-2]
    for page in (reverse("members:list"), reverse("members:invite")):
        assert token not in office.get(page).content.decode()
    assert "Nora New to join as pilot" in words(office.get(reverse("members:list")))


def test_a_link_opens_nothing_a_second_time(office: Client) -> None:
    link = link_box(invite(office))
    join(link)
    again = Client().get(link)
    assert again.status_code == 404
    assert "Ask a secretary for a new one" in words(again)
    assert join(link, "other")[1].status_code == 404
    assert not Member.objects.filter(login="other").exists()


def test_withdrawn(office: Client) -> None:
    link = link_box(invite(office))
    invitation = Invitation.objects.get()
    assert office.post(reverse("members:withdraw", args=[invitation.pk])).status_code == 302
    assert Client().get(link).status_code == 404
    assert "Nora New" not in words(office.get(reverse("members:list")))


def test_many_links_are_on_a_page_of_their_own(
    office: Client, secretary: Member, owner: Member, django_assert_max_num_queries: Any
) -> None:
    for number in range(60):
        operations.invite(user=secretary, full_name=f"Person {number:02}")
    operations.offer_new_password(user=secretary, member=owner)
    page = words(office.get(reverse("members:list")))
    assert page.count("Withdraw the link of") == 5
    assert "All 61 links that are open" in page
    every = reverse("members:invitations")
    with django_assert_max_num_queries(8):
        first = words(office.get(every))
    assert "1 to 25 of 61" in first
    assert "Olive Owner a new password" in first
    assert "Sam Secretary Withdraw the link of Olive Owner Person 59 to join as pilot" in first
    last = office.get(every, {"sort": "name", "page": "3"}, headers={"HX-Request": "true"})
    assert "<html" not in last.content.decode()
    assert "Person 59" in words(last)
    of_59 = reverse("members:withdraw", args=[Invitation.objects.get(full_name="Person 59").pk])
    assert f'action="{of_59}"' in last.content.decode()
    done = office.post(of_59, follow=True)
    assert done.redirect_chain == [(every, 302)]
    assert "The link was withdrawn" in words(done)
    assert "1 to 25 of 60" in words(done)
    Invitation.objects.all().delete()
    assert "No link is open." in words(office.get(every))


def test_too_old(office: Client) -> None:
    link = link_box(invite(office))
    Invitation.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    assert Client().get(link).status_code == 404


@pytest.mark.parametrize(
    ("login", "password", "again", "field", "told"),
    [
        ("secretary", GOOD, None, "login", "is taken; choose another"),
        ("a b", GOOD, None, "login", "letters, digits, dots"),
        ("a b", "tiny", "else", "login", "letters, digits, dots"),
        ("", GOOD, None, "login", "Choose a login."),
        ("n" * 41, GOOD, None, "login", "at most 40"),
        ("nora", "tiny-sox", None, "password", "too short"),
        ("nora", "1234567890123", None, "password", "entirely numeric"),
        ("noranoranora", "noranoranora1", None, "password", "too much like your name or login"),
        ("other", "nora new 17", None, "password", "too much like your name or login"),
        ("nora", GOOD, "three wet socks", "again", "not what was typed above"),
        ("nora", "", "", "password", "Choose a password."),
        ("nora", "\x00" * 12, None, "password", "Null"),
    ],
)
def test_what_cannot_be_is_told_at_its_field(
    office: Client, login: str, password: str, again: str | None, field: str, told: str
) -> None:
    link = link_box(invite(office))
    _, answer = join(link, login, password, again)
    assert answer.status_code == 200
    assert told in error_at(answer, field)
    assert values(answer)["login"] == login
    assert not password or password not in answer.content.decode()
    assert Client().get(link).status_code == 200, "the link stays good"


def test_an_invitation_without_a_name_or_role(office: Client) -> None:
    assert error_at(invite(office, name=" "), "full_name") == "Give the full name of who is invited."
    answer = invite(office, role="king")
    assert "king" in error_at(answer, "role")
    assert values(answer)["full_name"] == "Nora New"
    assert not Invitation.objects.exists()


def test_a_link_for_a_new_password(office: Client, owner: Member, sign_in: SignIn) -> None:
    elsewhere = sign_in(owner)
    shown = office.post(reverse("members:offer_new_password", args=[owner.pk]))
    assert "With it Olive Owner sets a new password." in words(shown)
    link = link_box(shown)
    assert "For the login owner" in words(Client().get(link))
    browser = Client()
    answer = browser.post(link, {"password": GOOD, "again": GOOD}, follow=True)
    assert "Your password is new" in words(answer)
    owner.refresh_from_db()
    assert owner.check_password(GOOD)
    assert elsewhere.get("/").status_code == 302, "signed out everywhere else"


def test_one_new_password_ends_the_other_links(office: Client, owner: Member) -> None:
    first, second = (link_box(office.post(reverse("members:offer_new_password", args=[owner.pk]))) for _ in range(2))
    assert Client().post(first, {"password": GOOD, "again": GOOD}).status_code == 302
    assert Client().get(second).status_code == 404


def test_a_link_of_who_left_meanwhile(office: Client, owner: Member) -> None:
    link = link_box(office.post(reverse("members:offer_new_password", args=[owner.pk])))
    office.post(reverse("members:let_go", args=[owner.pk]))
    assert Client().get(link).status_code == 404
    refused = office.post(reverse("members:offer_new_password", args=[owner.pk]), follow=True)
    assert "let them back in first" in words(refused)


def test_opening_a_link_while_another_is_signed_in(office: Client, reader: Member, sign_in: SignIn) -> None:
    """At the club's laptop: whoever joins there is themself afterwards."""
    link = link_box(invite(office))
    laptop = sign_in(reader)
    answer = laptop.post(link, {"login": "nora", "password": GOOD, "again": GOOD}, follow=True)
    assert "Nora New" in words(answer)
    assert "Rita Reader" not in words(answer)


@pytest.mark.parametrize("token", ["made-up", "x" * 500, "\u202e", "%00", "a.b"])
def test_made_up_links(db: None, token: str) -> None:
    assert Client().get(f"/link/{token}/").status_code == 404
    assert Client().post(f"/link/{token}/", {"login": "nora", "password": GOOD}).status_code == 404
