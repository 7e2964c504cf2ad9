"""Whatever is sent to a form about members, the answer is a page, and nobody is made, changed or lost by it."""

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.members.models import Member, PersonalName
from hangar.members.operations import invite
from tests.hangar.pages.conftest import SignIn
from tests.hangar.pages.test_junk import JUNK

BOXES = (
    "username", "login", "password", "again", "old", "full_name", "role", "operator_number", "licence_expires_on",
    "email", "throw_unit", "paper", "name", "next",
)  # fmt: skip
FORMS = ("invite", "details", "preferences", "password", "leave", "sign_in", "forgotten")
OF_A_MEMBER = ("edit_member", "change_role", "erase")


def filled(turn: int) -> dict[str, str]:
    """Each time every box gets another of them."""
    return {name: JUNK[(place * 4 + turn * 7) % len(JUNK)] for place, name in enumerate(BOXES)}


def everyone() -> list[tuple[object, ...]]:
    return list(Member.objects.order_by("pk").values_list("login", "role", "is_active", "password"))


@pytest.mark.parametrize("turn", range(len(JUNK)))
def test_in_every_box(turn: int, secretary: Member, owner: Member, sign_in: SignIn, settings: Any) -> None:
    settings.EMAIL_HOST, settings.HANGAR_BASE_URL = "mail.example", "https://hangar.example"
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    before = everyone()
    _, token = invite(user=secretary, full_name="Paul Pending")
    office = sign_in(secretary)
    pages = [reverse(f"members:{name}") for name in FORMS]
    pages += [reverse(f"members:{name}", args=[owner.pk]) for name in OF_A_MEMBER]
    for page in (*pages, reverse("members:use_link", args=[token])):
        for browser in (office, Client()):
            assert browser.post(page, filled(turn)).status_code in (200, 302, 429), page
    assert everyone() == before
    for page in (reverse("members:list"), reverse("members:member", args=[owner.pk]), reverse("members:you")):
        assert office.get(page).status_code == 200


@pytest.mark.parametrize("junk", JUNK)
def test_in_the_search(junk: str, secretary: Member, sign_in: SignIn) -> None:
    query = dict.fromkeys(("search", "role", "here", "page", "sort"), junk)
    assert sign_in(secretary).get(reverse("members:list"), query).status_code in (200, 404)


@pytest.mark.parametrize("junk", JUNK)
def test_as_a_photo(junk: str, airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    sent = {"file": SimpleUploadedFile(f"{junk[:20]}.jpg", junk.encode()), "alt": junk}
    answer = sign_in(owner).post(reverse("fleet:edit_photo", args=[airframe.slug]), sent)
    assert answer.status_code == 200
    assert airframe.photo is None


def test_a_name_of_the_largest_size_is_kept_whole(secretary: Member, owner: Member, sign_in: SignIn) -> None:
    name = "Ω" * 120
    page = reverse("members:edit_member", args=[owner.pk])
    assert sign_in(secretary).post(page, {"full_name": name}).status_code == 302
    assert PersonalName.objects.get(member=owner).full_name == name
    assert sign_in(secretary).post(page, {"full_name": name + "Ω"}).status_code == 200
