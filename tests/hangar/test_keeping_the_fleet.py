"""Airframes, their people, transmitters and the test of their signs."""

import datetime
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from hangar.fleet.errors import FleetError
from hangar.fleet.lookups import current_fitting
from hangar.fleet.models import Airframe, Fitting
from hangar.fleet.operations import (
    add_airframe,
    add_receiver,
    add_transmitter,
    bind,
    change_airframe,
    change_people,
    change_receiver,
    change_transmitter,
    fit,
    prove_signs,
    take_out,
)
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.setups.operations import record
from mixing import audit
from mixing.document import Signal
from tests.factories import AirframeFactory, ReceiverFactory, TransmitterFactory, record_first

NOON = datetime.datetime(2026, 5, 1, 12, tzinfo=datetime.UTC)
HOUR = datetime.timedelta(hours=1)


def test_adding_airframes_of_one_name(owner: Member, reader: Member) -> None:
    first = add_airframe(user=owner, name="Blue Ridge", span_mm=2500, mark="X-1", mark_place="left wing, below")
    second = add_airframe(user=reader, name="Blue Ridge")
    assert (first.slug, second.slug) == ("blue-ridge", "blue-ridge-2")
    assert (first.owner, first.status) == (owner, "building")
    assert add_airframe(user=owner, name="光").slug == "airframe"


def test_what_cannot_be_is_said_at_its_field(owner: Member, airframe: Airframe) -> None:
    with pytest.raises(ValidationError) as refused:
        add_airframe(user=owner, name="", span_mm=0, status="lost")
    assert set(refused.value.message_dict) == {"name", "span_mm", "status"}
    with pytest.raises(FleetError, match="owner cannot be set here"):
        change_airframe(user=owner, airframe=airframe, owner=owner)


def test_changing_an_airframe(helper: Member, reader: Member, airframe: Airframe) -> None:
    change_airframe(user=helper, airframe=airframe, status="resting")
    airframe.refresh_from_db()
    assert airframe.status == "resting"
    with pytest.raises(NotAllowed):
        change_airframe(user=reader, airframe=airframe, status="retired")


def test_the_owner_names_owner_and_helpers(
    owner: Member, helper: Member, reader: Member, instructor: Member, airframe: Airframe
) -> None:
    with pytest.raises(NotAllowed, match="names its owner and helpers"):
        change_people(user=helper, airframe=airframe, owner=owner, helpers=[helper, reader])
    change_people(user=owner, airframe=airframe, owner=reader, helpers=[reader, owner])
    assert (airframe.owner, list(airframe.helpers.all())) == (reader, [owner])
    owner.is_active = False
    with pytest.raises(ValidationError, match="active member"):
        change_people(user=instructor, airframe=airframe, owner=owner, helpers=[])


def test_a_transmitter_and_its_signs(owner: Member, reader: Member) -> None:
    transmitter = add_transmitter(user=owner, owner=owner, label="Grey", stick_mode=1, limit_pct=120)
    assert not transmitter.signs_proven
    signs: dict[str, Any] = {
        "lever_forward": "plus",
        "expo_positive": "softens",
        "centre_unit": "us",
        "reversal": "before",
    }
    prove_signs(user=owner, transmitter=transmitter, **{**signs, "reversal": "unproven"})
    assert not transmitter.signs_proven, "one sign is still open"
    prove_signs(user=owner, transmitter=transmitter, **signs)
    transmitter.refresh_from_db()
    assert transmitter.signs_proven
    assert (transmitter.proven_by, transmitter.proven_on) == (owner, datetime.datetime.now(datetime.UTC).date())
    with pytest.raises(NotAllowed):
        prove_signs(user=reader, transmitter=transmitter, **signs)
    with pytest.raises(ValidationError) as refused:
        prove_signs(user=owner, transmitter=transmitter, **{**signs, "expo_positive": "maybe"})
    assert set(refused.value.message_dict) == {"expo_positive"}


def test_a_pilot_adds_no_transmitter_for_the_club(owner: Member, reader: Member, instructor: Member) -> None:
    for of in (None, reader):
        with pytest.raises(NotAllowed, match="your own transmitter only"):
            add_transmitter(user=owner, owner=of, label="Club's")
    assert add_transmitter(user=instructor, owner=None, label="Club's").owner is None


def test_the_figures_of_a_transmitter_fit_into_a_setup(owner: Member) -> None:
    transmitter = add_transmitter(user=owner, owner=owner, label="Grey", step_pct=0.5, curve_free_x=True, channels=8)
    transmitter.refresh_from_db()
    signal = Signal.model_validate(transmitter.signal_figures)
    assert (signal.step_pct, signal.curve_free_x, signal.channels) == (0.5, True, 8)
    with pytest.raises(ValidationError) as refused:
        change_transmitter(user=owner, transmitter=transmitter, limit_pct=900.0, channels=0)
    assert set(refused.value.message_dict) == {"limit_pct", "channels"}
    assert "give at most 200" in refused.value.message_dict["limit_pct"][0]


def test_receivers_are_the_secretarys(secretary: Member, instructor: Member) -> None:
    receiver = add_receiver(user=secretary, label="R9-1", channels=9)
    change_receiver(user=secretary, receiver=receiver, note="antenna replaced")
    receiver.refresh_from_db()
    assert receiver.note == "antenna replaced"
    with pytest.raises(NotAllowed):
        add_receiver(user=instructor, label="R9-2", channels=9)
    with pytest.raises(ValidationError) as refused:
        change_receiver(user=secretary, receiver=receiver, channels=0)
    assert set(refused.value.message_dict) == {"channels"}


def test_a_receiver_sits_in_one_airframe_at_a_time(owner: Member, airframe: Airframe) -> None:
    receiver, other = ReceiverFactory.create(), AirframeFactory.create(owner=owner)
    first = fit(user=owner, receiver=receiver, airframe=airframe, at=NOON)
    assert fit(user=owner, receiver=receiver, airframe=airframe, at=NOON + HOUR) == first, "it sits there already"
    fit(user=owner, receiver=receiver, airframe=other, at=NOON + HOUR)
    first.refresh_from_db()
    assert first.until == NOON + HOUR
    assert list(Fitting.objects.filter(until=None).values_list("airframe", flat=True)) == [other.pk]
    receiver.refresh_from_db()
    assert receiver.status == "in_use"


def test_a_fitted_receiver_makes_the_one_before_a_spare(owner: Member, airframe: Airframe) -> None:
    old, new = ReceiverFactory.create(), ReceiverFactory.create()
    fit(user=owner, receiver=old, airframe=airframe, at=NOON)
    fit(user=owner, receiver=new, airframe=airframe, at=NOON + HOUR)
    take_out(user=owner, airframe=airframe, at=NOON + 2 * HOUR)
    for receiver in (old, new):
        receiver.refresh_from_db()
        assert receiver.status == "spare"
    assert take_out(user=owner, airframe=airframe) is None


def test_nobody_takes_a_receiver_out_of_what_they_may_not_edit(
    owner: Member, reader: Member, secretary: Member, airframe: Airframe
) -> None:
    receiver, theirs = ReceiverFactory.create(), AirframeFactory.create(owner=reader)
    fit(user=owner, receiver=receiver, airframe=airframe)
    with pytest.raises(NotAllowed, match="Big Glider"):
        fit(user=reader, receiver=receiver, airframe=theirs)
    fit(user=secretary, receiver=receiver, airframe=theirs)
    assert Fitting.objects.get(until=None).airframe == theirs


def test_a_retired_receiver_or_an_end_before_the_beginning_is_refused(owner: Member, airframe: Airframe) -> None:
    with pytest.raises(FleetError, match="retired"):
        fit(user=owner, receiver=ReceiverFactory.create(status="retired"), airframe=airframe)
    fit(user=owner, receiver=ReceiverFactory.create(), airframe=airframe, at=NOON)
    with pytest.raises(FleetError, match="later"):
        take_out(user=owner, airframe=airframe, at=NOON - HOUR)


def test_the_database_allows_one_open_fitting(owner: Member, airframe: Airframe) -> None:
    receiver = ReceiverFactory.create()
    fit(user=owner, receiver=receiver, airframe=airframe)
    with pytest.raises(IntegrityError):
        Fitting.objects.create(receiver=receiver, airframe=AirframeFactory.create(), since=NOON, by=owner)


def test_binding_needs_a_receiver(owner: Member, airframe: Airframe) -> None:
    transmitter = TransmitterFactory.create(owner=owner)
    with pytest.raises(FleetError, match="fit one first"):
        bind(user=owner, airframe=airframe, transmitter=transmitter)
    receiver = ReceiverFactory.create()
    fit(user=owner, receiver=receiver, airframe=airframe)
    assert bind(user=owner, airframe=airframe, transmitter=transmitter).receiver == receiver


class TestTooFewChannels:
    def test_refused_with_the_reason_of_the_audit(self, owner: Member, airframe: Airframe) -> None:
        revision = record_first(airframe)
        small = ReceiverFactory.create(label="R2", channels=2)
        told = next(one.text for one in audit(revision.setup, 2) if one.code == "too-few-channels")
        with pytest.raises(FleetError, match="R2 cannot go into Big Glider") as refusal:
            fit(user=owner, receiver=small, airframe=airframe)
        assert told in str(refusal.value)
        assert current_fitting(airframe) is None
        assert fit(user=owner, receiver=ReceiverFactory.create(channels=3), airframe=airframe).until is None

    def test_what_counts_is_the_current_setup(self, owner: Member, airframe: Airframe) -> None:
        first = record_first(airframe)
        two = [one.model_dump() for one in first.setup.channels if one.number < 3]
        setup = first.setup.changed(channels=two)
        record(user=owner, airframe=airframe, setup=setup, base=first, reason="one fewer")
        assert fit(user=owner, receiver=ReceiverFactory.create(channels=2), airframe=airframe).until is None

    def test_without_a_setup_any_will_do(self, owner: Member, airframe: Airframe) -> None:
        assert fit(user=owner, receiver=ReceiverFactory.create(channels=1), airframe=airframe).until is None
