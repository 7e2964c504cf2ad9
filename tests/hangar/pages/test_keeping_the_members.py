"""The secretary's list of members, and what a secretary does there: roles, names, letting go, erasing."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from hangar.members.models import Member, PersonalName
from tests.factories import MemberFactory
from tests.hangar.pages.conftest import SignIn, error_at, values, words

LIST = reverse("members:list")


@pytest.fixture
def office(secretary: Member, sign_in: SignIn) -> Client:
    return sign_in(secretary)


def test_the_list(office: Client, owner: Member, instructor: Member) -> None:
    PersonalName.objects.filter(member=owner).update(operator_number="OP-17")
    Member.objects.filter(pk=instructor.pk).update(is_active=False)
    page = words(office.get(LIST))
    for told in ("Olive Owner", "owner", "pilot", "OP-17", "Ines Instructor", "has left", "Sam Secretary"):
        assert told in page


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"search": "olive"}, {"Olive Owner"}),
        ({"search": "OWN ol"}, {"Olive Owner"}),
        ({"search": "op-1"}, {"Rita Reader"}),
        ({"search": "nobody"}, set()),
        ({"role": "instructor"}, {"Ines Instructor"}),
        ({"here": "no"}, {"Ines Instructor"}),
        ({"here": "yes", "search": "ines"}, set()),
        ({"role": "king", "page": "x", "sort": "nothing"}, {"Olive Owner", "Rita Reader", "Ines Instructor"}),
    ],
)
def test_searching(
    office: Client, owner: Member, reader: Member, instructor: Member, query: dict[str, str], found: set[str]
) -> None:
    PersonalName.objects.filter(member=reader).update(operator_number="OP-17")
    Member.objects.filter(pk=instructor.pk).update(is_active=False)
    page = words(office.get(LIST, query))
    assert {name for name in ("Olive Owner", "Rita Reader", "Ines Instructor") if name in page} == found
    partly = office.get(LIST, query, headers={"HX-Request": "true"})
    assert "<html" not in partly.content.decode()
    assert partly["Vary"].count("HX-Request") == 1


def test_the_number_of_queries_does_not_grow(office: Client, django_assert_max_num_queries: Any) -> None:
    MemberFactory.create_batch(60)
    with django_assert_max_num_queries(8):
        assert "1 to 25 of 61" in words(office.get(LIST))


@pytest.mark.parametrize(
    ("days", "told"), [(-1, "expired on"), (0, "expires on"), (30, "expires on"), (31, ""), (None, "")]
)
def test_a_number_that_runs_out(office: Client, owner: Member, days: int | None, told: str) -> None:
    until = None if days is None else timezone.localdate() + timedelta(days=days)
    PersonalName.objects.filter(member=owner).update(operator_number="OP-17", licence_expires_on=until)
    for page in (LIST, reverse("members:member", args=[owner.pk])):
        shown = words(office.get(page))
        assert ("expire" in shown) == bool(told)
        assert told in shown


def test_changing_a_role(office: Client, owner: Member) -> None:
    page = reverse("members:change_role", args=[owner.pk])
    assert "checked" in office.get(page).content.decode()
    assert office.post(page, {"role": "instructor"}).status_code == 302
    owner.refresh_from_db()
    assert owner.role == "instructor"
    assert "king" in error_at(office.post(page, {"role": "king"}), "role")


def test_the_last_secretary_stays(office: Client, secretary: Member) -> None:
    refused = office.post(reverse("members:change_role", args=[secretary.pk]), {"role": "pilot"})
    assert "is the only secretary" in words(refused)
    refused = office.post(reverse("members:let_go", args=[secretary.pk]), follow=True)
    assert "is the only secretary" in words(refused)
    refused = office.post(reverse("members:erase", args=[secretary.pk]), {"sure": "on"})
    assert "is the only secretary" in words(refused)
    secretary.refresh_from_db()
    assert (secretary.role, secretary.is_active) == ("secretary", True)


def test_a_secretary_who_steps_down(office: Client, secretary: Member, owner: Member) -> None:
    Member.objects.filter(pk=owner.pk).update(role="secretary")
    answer = office.post(reverse("members:change_role", args=[secretary.pk]), {"role": "pilot"}, follow=True)
    assert answer.status_code == 200
    assert answer.request["PATH_INFO"] == reverse("members:you")


def test_changing_name_and_number(office: Client, owner: Member) -> None:
    page = reverse("members:edit_member", args=[owner.pk])
    assert values(office.get(page))["full_name"] == "Olive Owner"
    good = {"full_name": "Olive Oak", "operator_number": "OP-9", "licence_expires_on": "2027-03-31"}
    assert office.post(page, good).status_code == 302
    shown = words(office.get(reverse("members:member", args=[owner.pk])))
    assert "Olive Oak" in shown
    assert "31 Mar 2027" in shown
    refused = office.post(page, {**good, "full_name": "", "licence_expires_on": "next spring"})
    assert error_at(refused, "full_name") == "Give the full name, as the club knows it."
    assert "2027-03-31" in error_at(refused, "licence_expires_on")
    assert values(refused)["operator_number"] == "OP-9"


def test_the_mail_address_stays_where_the_site_sends_no_mail(office: Client, owner: Member) -> None:
    PersonalName.objects.filter(member=owner).update(email="olive@hangar.example")
    page = reverse("members:edit_member", args=[owner.pk])
    assert "email" not in values(office.get(page))
    office.post(page, {"full_name": "Olive Oak", "email": "taken@evil.example"})
    assert PersonalName.objects.get(member=owner).email == "olive@hangar.example"


def test_letting_go_and_back_in(office: Client, owner: Member, sign_in: SignIn) -> None:
    at_home = sign_in(owner)
    assert at_home.get("/").status_code == 200
    page = reverse("members:let_go", args=[owner.pk])
    assert "cannot sign in any more" in words(office.get(page))
    assert "has left." in words(office.post(page, follow=True))
    assert at_home.get("/").status_code == 302
    assert "is a member again." in words(office.post(reverse("members:let_back_in", args=[owner.pk]), follow=True))
    assert at_home.get("/").status_code == 302, "the browser of then stays signed out"
    owner.refresh_from_db()
    assert owner.is_active


def test_erasing_a_name(office: Client, owner: Member) -> None:
    page = reverse("members:erase", args=[owner.pk])
    assert error_at(office.post(page), "sure") == "Tick this, if the name is to go for good."
    assert PersonalName.objects.filter(member=owner).exists()
    gone = words(office.post(page, {"sure": "on"}, follow=True))
    assert "The history says “former member” from now on." in gone
    assert "Olive Owner" not in gone
    shown = words(office.get(reverse("members:member", args=[owner.pk])))
    assert "The name was erased." in shown
    assert "Let back in" not in shown
    refused = office.post(reverse("members:let_back_in", args=[owner.pk]), follow=True)
    assert "invite the person anew" in words(refused)


def test_the_way_there_is_the_secretarys_alone(office: Client, instructor: Member, sign_in: SignIn) -> None:
    assert f'href="{LIST}"' in office.get("/").content.decode()
    assert f'href="{LIST}"' not in sign_in(instructor).get("/").content.decode()
    refused = sign_in(instructor).get(LIST)
    assert refused.status_code == 403
    assert "ask a secretary" in words(refused)
