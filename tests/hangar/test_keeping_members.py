"""Roles, leaving, preferences, and erasing a name without breaking a seal."""

import pytest
from axes.models import AccessLog
from django.core.exceptions import ValidationError

from hangar.members.errors import MemberError, NotAllowed
from hangar.members.models import Invitation, Member, PersonalName
from hangar.members.operations import (
    accept,
    change_name,
    change_role,
    erase_name,
    invite,
    let_back_in,
    let_go,
    set_preferences,
)
from hangar.setups.history import broken_links
from hangar.setups.models import Revision


def test_a_role_is_given_by_a_secretary(secretary: Member, owner: Member, instructor: Member) -> None:
    change_role(user=secretary, member=owner, role="instructor")
    owner.refresh_from_db()
    assert owner.role == "instructor"
    with pytest.raises(NotAllowed):
        change_role(user=instructor, member=owner, role="secretary")
    with pytest.raises(MemberError, match="give one of"):
        change_role(user=secretary, member=owner, role="king")


def test_the_last_secretary_stays(secretary: Member, owner: Member) -> None:
    with pytest.raises(MemberError, match="only secretary"):
        change_role(user=secretary, member=secretary, role="pilot")
    with pytest.raises(MemberError, match="only secretary"):
        let_go(user=secretary, member=secretary)
    with pytest.raises(MemberError, match="only secretary"):
        erase_name(user=secretary, member=secretary)
    change_role(user=secretary, member=owner, role="secretary")
    change_role(user=secretary, member=secretary, role="pilot")
    secretary.refresh_from_db()
    assert secretary.role == "pilot"


def test_leaving_and_coming_back(secretary: Member, owner: Member, reader: Member) -> None:
    with pytest.raises(NotAllowed):
        let_go(user=reader, member=owner)
    let_go(user=secretary, member=owner)
    owner.refresh_from_db()
    assert not owner.is_active
    let_back_in(user=secretary, member=owner)
    owner.refresh_from_db()
    assert owner.is_active


def test_erasing_a_name_leaves_every_seal_whole(owner: Member, first: Revision) -> None:
    AccessLog.objects.create(username="owner", ip_address="127.0.0.1")
    key = owner.author_key
    gone = erase_name(user=owner, member=owner)
    assert (str(gone), gone.is_active, gone.has_usable_password()) == ("former member", False, False)
    assert gone.author_key == key
    assert not PersonalName.objects.filter(member=owner).exists()
    assert not AccessLog.objects.filter(username="owner").exists()
    assert "owner" not in gone.login
    assert str(Revision.objects.get().author) == "former member"
    assert list(broken_links(first.airframe)) == []


def test_erasing_takes_the_name_out_of_the_invitation_too(secretary: Member) -> None:
    _, token = invite(user=secretary, full_name="Nora New")
    member = accept(token=token, login="nora", password="three dry socks")
    erase_name(user=secretary, member=member)
    assert not Invitation.objects.exists()


def test_nobody_erases_another_members_name(owner: Member, instructor: Member) -> None:
    with pytest.raises(NotAllowed, match="your own name only"):
        erase_name(user=instructor, member=owner)
    assert str(Member.objects.get(pk=owner.pk)) == "Olive Owner"


def test_changing_a_name(owner: Member, reader: Member, secretary: Member) -> None:
    change_name(user=owner, member=owner, full_name=" Olive Oak ", operator_number="OP-17")
    owner = Member.objects.get(pk=owner.pk)
    assert (owner.display_name, owner.personal.operator_number) == ("Olive Oak", "OP-17")
    change_name(user=secretary, member=owner, full_name="Olive Elm")
    with pytest.raises(NotAllowed):
        change_name(user=reader, member=owner, full_name="Nobody")
    with pytest.raises(MemberError, match="Give a full name"):
        change_name(user=owner, member=owner, full_name=" ")


def test_the_author_key_never_changes(owner: Member) -> None:
    member = Member.objects.get(pk=owner.pk)
    member.author_key = "0" * 32
    with pytest.raises(MemberError, match="never changes"):
        member.save()


def test_preferences(owner: Member) -> None:
    set_preferences(user=owner, throw_unit="deg", paper="letter")
    owner.refresh_from_db()
    assert (owner.throw_unit, owner.paper) == ("deg", "letter")
    with pytest.raises(ValidationError) as refused:
        set_preferences(user=owner, throw_unit="yard")
    assert set(refused.value.message_dict) == {"throw_unit"}


def test_the_first_secretary_comes_from_createsuperuser(db: None) -> None:
    member = Member.objects.create_superuser("First", "three dry socks")
    assert (member.login, member.role, str(member)) == ("first", "secretary", "first")
