"""Who may do what, and that lists and checks share one rule."""

import pytest
from django.contrib.auth.models import AnonymousUser
from django.http import Http404

from hangar.fleet.lookups import get_airframe_for, get_editable_airframe_for
from hangar.fleet.models import Airframe
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.members.policy import can, guard
from tests.factories import AirframeFactory, ReceiverFactory, TransmitterFactory


@pytest.fixture
def cast(
    owner: Member, helper: Member, reader: Member, instructor: Member, secretary: Member
) -> dict[str, Member | AnonymousUser]:
    members = (owner, helper, reader, instructor, secretary)
    return {"stranger": AnonymousUser(), **{member.login: member for member in members}}


@pytest.mark.parametrize(
    ("who", "sees", "edits"),
    [
        ("stranger", False, False),
        ("reader", True, False),
        ("owner", True, True),
        ("helper", True, True),
        ("instructor", True, True),
        ("secretary", True, True),
    ],
)
def test_airframe(cast: dict[str, Member], airframe: Airframe, who: str, sees: bool, edits: bool) -> None:
    user = cast[who]
    assert can(user, "view", airframe) is sees
    assert can(user, "edit", airframe) is edits
    assert (airframe in Airframe.objects.visible_to(user)) is sees
    assert (airframe in Airframe.objects.editable_by(user)) is edits


def test_an_airframe_with_several_helpers_is_listed_once(owner: Member, helper: Member, reader: Member) -> None:
    airframe = AirframeFactory.create(owner=owner)
    airframe.helpers.set([helper, reader])
    assert list(Airframe.objects.editable_by(owner)) == [airframe]
    assert list(Airframe.objects.editable_by(helper)) == [airframe]


def test_a_member_who_left_sees_and_edits_nothing(owner: Member, airframe: Airframe) -> None:
    owner.is_active = False
    owner.save()
    assert not can(owner, "view", airframe)
    assert not can(owner, "edit", airframe)
    assert not can(owner, "ground")


@pytest.mark.parametrize(
    ("action", "allowed"),
    [
        ("manage_members", {"secretary"}),
        ("manage_receivers", {"secretary"}),
        ("release", {"instructor", "secretary"}),
        ("ground", {"owner", "helper", "reader", "instructor", "secretary"}),
        ("add_airframe", {"owner", "helper", "reader", "instructor", "secretary"}),
    ],
)
def test_what_concerns_the_club(cast: dict[str, Member], action: str, allowed: set[str]) -> None:
    assert {name for name, user in cast.items() if can(user, action)} == allowed


def test_receivers_are_the_secretarys_and_transmitters_their_owners(cast: dict[str, Member], owner: Member) -> None:
    receiver, transmitter = ReceiverFactory.create(), TransmitterFactory.create(owner=owner)
    clubs = TransmitterFactory.create(owner=None)
    assert {name for name, user in cast.items() if can(user, "edit", receiver)} == {"secretary"}
    assert {name for name, user in cast.items() if can(user, "edit", transmitter)} == {
        "owner",
        "instructor",
        "secretary",
    }
    assert {name for name, user in cast.items() if can(user, "edit", clubs)} == {"instructor", "secretary"}
    assert {name for name, user in cast.items() if can(user, "view", clubs)} == set(cast) - {"stranger"}


def test_a_refusal_says_whom_to_ask(reader: Member, airframe: Airframe) -> None:
    with pytest.raises(NotAllowed, match="You may not edit Big Glider: ask its owner"):
        guard(reader, "edit", airframe)
    with pytest.raises(NotAllowed, match="ask a secretary"):
        guard(reader, "manage_members")


def test_an_action_without_a_rule_is_a_mistake_not_a_permission(instructor: Member, airframe: Airframe) -> None:
    with pytest.raises(ValueError, match="no rule for 'delete'"):
        can(instructor, "delete", airframe)


def test_looking_up(cast: dict[str, Member], airframe: Airframe) -> None:
    assert get_airframe_for(cast["reader"], "big-glider") == airframe
    assert get_editable_airframe_for(cast["helper"], "big-glider") == airframe
    with pytest.raises(NotAllowed):
        get_editable_airframe_for(cast["reader"], "big-glider")
    for look_up in (get_airframe_for, get_editable_airframe_for):
        with pytest.raises(Http404):
            look_up(cast["stranger"], "big-glider")
        with pytest.raises(Http404):
            look_up(cast["owner"], "no-such-glider")
