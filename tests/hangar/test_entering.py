"""What is really in the transmitter: the newest record that a revision was entered."""

import datetime

import pytest
from django.core.exceptions import ValidationError

from hangar.fleet.models import Airframe
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.setups.history import currently_entered
from hangar.setups.models import Revision
from hangar.setups.operations import enter, record
from tests.factories import TransmitterFactory, make_setup

NOON = datetime.datetime(2026, 5, 1, 12, tzinfo=datetime.UTC)


def test_the_newest_counts_not_the_highest_number(
    owner: Member, helper: Member, airframe: Airframe, first: Revision
) -> None:
    assert currently_entered(airframe) is None
    grey = TransmitterFactory.create(owner=owner)
    second = record(user=owner, airframe=airframe, setup=make_setup(remarks="x"), base=first, reason="r").revision
    enter(user=owner, revision=second, transmitter=grey, model_memory="GLIDER 2", at=NOON)
    enter(
        user=helper, revision=first, transmitter=grey, model_memory=" GLIDER ", at=NOON + datetime.timedelta(minutes=5)
    )
    entered = currently_entered(airframe)
    assert entered is not None
    assert (entered.revision, entered.model_memory, entered.by) == (first, "GLIDER", helper)


def test_who_and_where(owner: Member, reader: Member, first: Revision) -> None:
    grey = TransmitterFactory.create(owner=owner)
    with pytest.raises(NotAllowed):
        enter(user=reader, revision=first, transmitter=grey, model_memory="GLIDER")
    with pytest.raises(ValidationError) as refused:
        enter(user=owner, revision=first, transmitter=grey, model_memory="  ")
    assert set(refused.value.message_dict) == {"model_memory"}
