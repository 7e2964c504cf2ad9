"""`manage.py new_secretary`: the first one of a new site, and one for a club that is locked out."""

import io
import re
from datetime import timedelta
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone

from hangar.members.models import Invitation, Member

GOOD = "three dry socks"


def run(*arguments: str) -> str:
    out = io.StringIO()
    call_command("new_secretary", *arguments, stdout=out)
    return out.getvalue()


def link_in(text: str) -> str:
    found = re.search(r"https://hangar\.example(/link/\S+)", text)
    assert found is not None, text
    return found[1]


def test_the_first_secretary(db: None) -> None:
    told = run("--name", "Sam Secretary", "--address", "https://hangar.example/")
    assert "For Sam Secretary to join as a secretary" in told
    answer = Client().post(link_in(told), {"login": "sam", "password": GOOD, "again": GOOD})
    assert answer.status_code == 302
    assert Member.objects.get().role == "secretary"


def test_a_member_becomes_one_and_may_set_a_password(owner: Member) -> None:
    told = run(" OWNER", "--address", "https://hangar.example")
    assert "owner is a secretary now" in told
    owner.refresh_from_db()
    assert owner.role == "secretary"
    link = link_in(told)
    assert Client().post(link, {"password": GOOD, "again": GOOD}).status_code == 302
    assert Client().get(link).status_code == 404
    owner.refresh_from_db()
    assert owner.check_password(GOOD)


def test_one_who_left_is_let_back_in(owner: Member) -> None:
    Member.objects.update(is_active=False)
    run("owner")
    owner.refresh_from_db()
    assert owner.is_active


def test_the_address_is_the_one_that_phones_use(db: None, settings: Any) -> None:
    assert "http://localhost:8000/link/" in run("--name", "Sam Secretary")
    settings.HANGAR_BASE_URL = "https://hangar.example/"
    link_in(run("--name", "Sam Secretary"))


def test_the_link_is_good_for_two_days(db: None) -> None:
    run("--name", "Sam Secretary")
    lasts = Invitation.objects.get().expires_at - timezone.now()
    assert timedelta(days=1, hours=23) < lasts <= timedelta(days=2)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["nobody"], "There is no member 'nobody'. Known: owner."),
        (["--name", " "], "Give the full name"),
        ([], "required"),
        (["owner", "--name", "Sam"], "not allowed with"),
    ],
)
def test_what_it_cannot_do(owner: Member, arguments: list[str], told: str) -> None:
    with pytest.raises(CommandError, match=re.escape(told)):
        run(*arguments)
    assert not Member.objects.filter(role="secretary").exists()
