"""Two members do what only one of them can: the second is told, or does it after the first. Nothing ends by half."""

from collections.abc import Callable

import pytest
from django.core.exceptions import ValidationError

from hangar.fleet import operations as fleet
from hangar.fleet.errors import FleetError
from hangar.fleet.models import Airframe, Fitting, Receiver, Transmitter
from hangar.members import operations as members
from hangar.members.errors import InvitationError, MemberError
from hangar.members.models import Member, Role
from hangar.setups.drafts import draft_of
from hangar.setups.models import Draft, Revision
from hangar.setups.thrown import have_back, throw_away
from tests.factories import AirframeFactory, MemberFactory, ReceiverFactory, open_draft
from tests.hangar.at_once import while_not_yet_written

pytestmark = pytest.mark.django_db(transaction=True)


def where_receivers_sit() -> dict[str, str]:
    """Receiver and airframe, by what is open now; each receiver's status says the same."""
    sits = {one.receiver.label: one.airframe.slug for one in Fitting.objects.filter(until=None)}
    assert {one.label: one.status for one in Receiver.objects.all()} == {
        one.label: "in_use" if one.label in sits else "spare" for one in Receiver.objects.all()
    }
    return sits


def test_two_receivers_into_one_airframe(owner: Member, helper: Member, airframe: Airframe) -> None:
    one, other = ReceiverFactory.create(label="R1"), ReceiverFactory.create(label="R2")
    raised = while_not_yet_written(
        lambda: fleet.fit(user=owner, receiver=one, airframe=airframe),
        lambda: fleet.fit(user=helper, receiver=other, airframe=airframe),
    )
    assert raised is None
    assert where_receivers_sit() == {"R2": airframe.slug}


def test_one_receiver_is_taken_out_here_and_put_in_there(owner: Member, airframe: Airframe) -> None:
    receiver, there = ReceiverFactory.create(label="R1"), AirframeFactory.create(slug="there", owner=owner)
    fleet.fit(user=owner, receiver=receiver, airframe=airframe)
    raised = while_not_yet_written(
        lambda: fleet.fit(user=owner, receiver=receiver, airframe=there),
        lambda: fleet.take_out(user=owner, airframe=airframe),
    )
    assert raised is None
    assert where_receivers_sit() == {"R1": "there"}


def test_two_receivers_change_places(owner: Member, airframe: Airframe) -> None:
    one, other = ReceiverFactory.create(label="R1"), ReceiverFactory.create(label="R2")
    there = AirframeFactory.create(slug="there", owner=owner)
    fleet.fit(user=owner, receiver=one, airframe=airframe)
    fleet.fit(user=owner, receiver=other, airframe=there)
    raised = while_not_yet_written(
        lambda: fleet.fit(user=owner, receiver=other, airframe=airframe),
        lambda: fleet.fit(user=owner, receiver=one, airframe=there),
    )
    assert raised is None
    assert where_receivers_sit() == {"R2": airframe.slug, "R1": "there"}


def test_a_receiver_is_retired_and_put_in(owner: Member, secretary: Member, airframe: Airframe) -> None:
    receiver = ReceiverFactory.create(label="R1", status="spare")
    raised = while_not_yet_written(
        lambda: fleet.change_receiver(user=secretary, receiver=receiver, status="retired"),
        lambda: fleet.fit(user=owner, receiver=Receiver(pk=receiver.pk, label="R1", channels=8), airframe=airframe),
    )
    assert isinstance(raised, FleetError)
    assert str(raised) == "R1 is retired; fit one that is in use or spare."
    assert not Fitting.objects.exists()


def test_a_receiver_that_sits_somewhere_stays_in_use(owner: Member, secretary: Member, airframe: Airframe) -> None:
    """A form that was opened while it was a spare says so still."""
    receiver = ReceiverFactory.create(label="R1", status="spare")
    fleet.fit(user=owner, receiver=receiver, airframe=airframe)
    for status in ("spare", "retired"):
        with pytest.raises(ValidationError) as raised:
            fleet.change_receiver(user=secretary, receiver=receiver, status=status)
        assert raised.value.message_dict == {"status": ["R1 sits in Big Glider: take it out there first."]}
    fleet.change_receiver(user=secretary, receiver=receiver, status="in_use", note="new antenna")
    assert where_receivers_sit() == {"R1": airframe.slug}


def test_two_models_of_one_name(owner: Member, helper: Member) -> None:
    raised = while_not_yet_written(
        lambda: fleet.add_airframe(user=owner, name="Heron"), lambda: fleet.add_airframe(user=helper, name="Heron")
    )
    assert raised is None
    assert list(Airframe.objects.order_by("pk").values_list("slug", "owner__login")) == [
        ("heron", "owner"), ("heron-2", "helper"),
    ]  # fmt: skip


def test_one_label_for_two(secretary: Member) -> None:
    refused = while_not_yet_written(
        lambda: fleet.add_receiver(user=secretary, label="R1", channels=8),
        lambda: fleet.add_receiver(user=secretary, label="R1", channels=6),
    )
    assert isinstance(refused, ValidationError)
    assert refused.message_dict == {"label": ["There is a receiver “R1” already; give this one another label."]}
    refused = while_not_yet_written(
        lambda: fleet.add_transmitter(user=secretary, owner=None, label="T1"),
        lambda: fleet.add_transmitter(user=secretary, owner=None, label="T1"),
    )
    assert isinstance(refused, ValidationError)
    assert "label" in refused.message_dict
    assert (Receiver.objects.count(), Transmitter.objects.count()) == (1, 1)


def test_one_link_for_two(secretary: Member) -> None:
    _invitation, token = members.invite(user=secretary, full_name="Nora New")
    refused = while_not_yet_written(
        lambda: members.accept(token=token, login="nora", password="eagles over the ridge"),
        lambda: members.accept(token=token, login="mallory", password="eagles over the ridge"),
    )
    assert isinstance(refused, InvitationError)
    assert set(Member.objects.values_list("login", flat=True)) == {"secretary", "nora"}


def test_a_link_of_a_member_whose_name_is_erased(secretary: Member, owner: Member) -> None:
    _invitation, token = members.offer_new_password(user=secretary, member=owner)
    refused = while_not_yet_written(
        lambda: members.erase_name(user=secretary, member=owner),
        lambda: members.accept(token=token, password="eagles over the ridge"),
    )
    assert isinstance(refused, InvitationError)
    assert not Member.objects.get(pk=owner.pk).has_usable_password()


@pytest.mark.parametrize(
    "deed",
    [
        lambda by, who: members.change_role(user=by, member=who, role=Role.PILOT),
        lambda by, who: members.let_go(user=by, member=who),
        lambda by, who: members.erase_name(user=by, member=who),
        lambda by, who: members.leave(user=who),
    ],
    ids=["demoted", "let go", "erased", "left"],
)
def test_the_last_two_secretaries_do_not_both_go(secretary: Member, deed: Callable[[Member, Member], Member]) -> None:
    other = MemberFactory.create(login="other", secretary=True)
    # As each of the two requests has read them.
    one, two = ([Member.objects.get(pk=pk) for pk in (secretary.pk, other.pk)] for _ in range(2))
    refused = while_not_yet_written(lambda: deed(one[1], one[0]), lambda: deed(two[0], two[1]))
    assert isinstance(refused, MemberError)
    assert "is the only secretary" in str(refused)
    assert list(Member.objects.filter(role=Role.SECRETARY, is_active=True)) == [other]


def test_a_draft_is_begun_and_an_old_one_had_back(owner: Member, first: Revision) -> None:
    airframe = first.airframe
    open_draft(user=owner, airframe=airframe)
    thrown = throw_away(user=owner, airframe=airframe)
    assert thrown is not None
    raised = while_not_yet_written(
        lambda: open_draft(user=owner, airframe=airframe), lambda: have_back(user=owner, draft=thrown)
    )
    assert raised is None
    assert draft_of(owner, airframe) == thrown
    assert Draft.everything.count() == 2
