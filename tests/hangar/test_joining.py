"""Joining by invitation, and a new password for who forgot theirs."""

from datetime import timedelta

import pytest
from django.contrib.auth import authenticate
from django.core.exceptions import ValidationError
from django.test import RequestFactory
from django.utils import timezone

from hangar.members.errors import InvitationError, MemberError, NotAllowed
from hangar.members.models import Invitation, Member
from hangar.members.operations import accept, invite, offer_new_password, open_invitation, withdraw

GOOD = "three dry socks"


def test_joining(secretary: Member) -> None:
    invitation, token = invite(user=secretary, full_name="Nora New", role="instructor")
    member = accept(token=token, login="  Nora.N ", password=GOOD)
    member.refresh_from_db()
    assert (member.login, member.role, member.display_name) == ("nora.n", "instructor", "Nora New")
    assert authenticate(RequestFactory().post("/"), username="NORA.N", password=GOOD) == member
    assert not Invitation.objects.open().exists()
    invitation.refresh_from_db()
    assert invitation.full_name == "", "the name stands in the erasable table alone"


def test_only_a_digest_of_the_token_is_stored(secretary: Member) -> None:
    invitation, token = invite(user=secretary, full_name="Nora New")
    assert token not in {str(value) for value in Invitation.objects.values().get(pk=invitation.pk).values()}


def test_a_link_is_used_once(secretary: Member) -> None:
    _, token = invite(user=secretary, full_name="Nora New")
    accept(token=token, login="nora", password=GOOD)
    with pytest.raises(InvitationError, match="Ask a secretary"):
        accept(token=token, login="nora2", password=GOOD)


def test_a_withdrawn_old_or_made_up_link_is_refused(secretary: Member) -> None:
    invitation, token = invite(user=secretary, full_name="Nora New")
    with pytest.raises(InvitationError):
        open_invitation(token, now=timezone.now() + timedelta(days=15))
    withdraw(user=secretary, invitation=invitation)
    for gone in (token, "made-up"):
        with pytest.raises(InvitationError):
            accept(token=gone, login="nora", password=GOOD)


@pytest.mark.parametrize(
    ("login", "password", "field"),
    [
        ("owner", GOOD, "login"),
        ("OWNER", GOOD, "login"),
        ("a b", GOOD, "login"),
        ("", GOOD, "login"),
        ("nora", "short", "password"),
        ("nora", "1234567890123", "password"),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_the_link_stays_good(
    secretary: Member, owner: Member, login: str, password: str, field: str
) -> None:
    _, token = invite(user=secretary, full_name="Nora New")
    with pytest.raises(ValidationError) as refused:
        accept(token=token, login=login, password=password)
    assert set(refused.value.message_dict) == {field}
    assert open_invitation(token).is_open()


def test_a_new_password(secretary: Member, owner: Member) -> None:
    _, token = offer_new_password(user=secretary, member=owner)
    assert accept(token=token, password=GOOD) == owner
    owner.refresh_from_db()
    assert owner.check_password(GOOD)
    assert owner.display_name == "Olive Owner"


def test_only_a_secretary_invites(instructor: Member, owner: Member, secretary: Member) -> None:
    invitation, _ = invite(user=secretary, full_name="Nora New")
    with pytest.raises(NotAllowed):
        invite(user=instructor, full_name="Nora New")
    with pytest.raises(NotAllowed):
        offer_new_password(user=instructor, member=owner)
    with pytest.raises(NotAllowed):
        withdraw(user=instructor, invitation=invitation)


def test_an_invitation_names_someone_and_a_role_that_exists(secretary: Member) -> None:
    with pytest.raises(MemberError, match="full name"):
        invite(user=secretary, full_name="  ")
    with pytest.raises(MemberError, match="“captain”; give one of pilot, instructor, secretary"):
        invite(user=secretary, full_name="Nora New", role="captain")
