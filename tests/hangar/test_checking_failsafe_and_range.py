"""A check holds for one receiver, airframe, transmitter and failsafe setting together."""

import datetime
from collections.abc import Callable
from typing import Any

import pytest

from hangar.fleet.checks import failsafe_digest
from hangar.fleet.errors import FleetError
from hangar.fleet.models import Airframe, Transmitter
from hangar.fleet.operations import bind, fit, record_check, take_out
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from mixing import Setup
from tests.factories import ReceiverFactory, TransmitterFactory, make_setup
from tests.hangar.check_standings import check_standings

NOON = datetime.datetime(2026, 5, 1, 12, tzinfo=datetime.UTC)
HOUR = datetime.timedelta(hours=1)
LATER = NOON + HOUR


@pytest.fixture
def transmitter(owner: Member) -> Transmitter:
    return TransmitterFactory.create(owner=owner, label="Grey")


@pytest.fixture
def checked(owner: Member, airframe: Airframe, transmitter: Transmitter) -> Airframe:
    """The airframe with a receiver, bound, and both checks passed at noon."""
    fit(user=owner, receiver=ReceiverFactory.create(label="R1"), airframe=airframe, at=NOON - 2 * HOUR)
    bind(user=owner, airframe=airframe, transmitter=transmitter, at=NOON - HOUR)
    for kind in ("failsafe", "range"):
        check(owner, airframe, transmitter, kind=kind)
    return airframe


def check(owner: Member, airframe: Airframe, transmitter: Transmitter, **changes: Any) -> None:
    fields = {"kind": "failsafe", "failsafe_digest": failsafe_digest(make_setup()), "passed": True, "at": NOON}
    record_check(user=owner, airframe=airframe, transmitter=transmitter, **{**fields, **changes})


def reasons(airframe: Airframe, *, setup: Setup | None = None, **today: Any) -> dict[str, tuple[str, ...]]:
    found = check_standings(airframe, failsafe_digest=failsafe_digest(setup or make_setup()), **today)
    return {kind: standing.reasons for kind, standing in found.items()}


def test_current(checked: Airframe) -> None:
    assert reasons(checked) == {"failsafe": (), "range": ()}
    assert all(one.current for one in check_standings(checked, failsafe_digest=failsafe_digest(make_setup())).values())


def test_a_kind_never_checked_is_left_out(airframe: Airframe) -> None:
    assert reasons(airframe) == {}


def moved(owner: Member, airframe: Airframe) -> None:
    take_out(user=owner, airframe=airframe, at=LATER)


def moved_and_back(owner: Member, airframe: Airframe) -> None:
    receiver = airframe.fittings.get(until=None).receiver
    take_out(user=owner, airframe=airframe, at=LATER)
    fit(user=owner, receiver=receiver, airframe=airframe, at=LATER)


def bound_again(owner: Member, airframe: Airframe) -> None:
    bind(user=owner, airframe=airframe, transmitter=Transmitter.objects.get(label="Grey"), at=LATER)


def bound_to_another(owner: Member, airframe: Airframe) -> None:
    bind(user=owner, airframe=airframe, transmitter=TransmitterFactory.create(label="Blue"), at=LATER)


@pytest.mark.parametrize(
    ("happened", "reason"),
    [
        (moved, "R1 was moved since"),
        (moved_and_back, "R1 was moved since"),
        (bound_again, "the receiver was bound again since"),
        (bound_to_another, "it was made with Grey, and the receiver now obeys Blue"),
    ],
)
def test_stale(checked: Airframe, owner: Member, happened: Callable[[Member, Airframe], None], reason: str) -> None:
    happened(owner, checked)
    assert reasons(checked) == {"failsafe": (reason,), "range": (reason,)}


def test_work_makes_it_stale(checked: Airframe) -> None:
    assert reasons(checked, worked_at=NOON - HOUR)["range"] == ()
    assert reasons(checked, worked_at=LATER)["range"] == ("work on the model touched it since",)


def channel(number: int, **changes: Any) -> Setup:
    """The setup with one channel changed."""
    setup = make_setup()
    return setup.changed(channels=[c.model_dump() | (changes if c.number == number else {}) for c in setup.channels])


@pytest.mark.parametrize(
    "edited",
    [
        channel(1, failsafe=10.0),
        channel(1, failsafe=None),
        channel(2, failsafe="signal_off"),
        channel(2, centre_us=1510.0),
        channel(2, reversed=True),
        channel(2, low_us=1000.0),
        make_setup().changed(signal=make_setup().signal.model_dump() | {"per_100_us": 512.0}),
        make_setup().changed(surfaces=[make_setup().surface("elevator").model_dump() | {"channel": 3}], couplings=[]),
    ],
)
def test_an_edited_failsafe_makes_it_stale(checked: Airframe, edited: Setup) -> None:
    assert reasons(checked, setup=edited)["failsafe"] == ("the failsafe setting was edited since",)


@pytest.mark.parametrize("edited", [channel(1, centre_us=1510.0), channel(1, label="Tail"), make_setup(remarks="new")])
def test_an_edit_that_moves_no_failsafe_leaves_it_current(checked: Airframe, edited: Setup) -> None:
    assert reasons(checked, setup=edited)["failsafe"] == ()


def test_the_newest_check_counts(checked: Airframe, owner: Member, transmitter: Transmitter) -> None:
    check(owner, checked, transmitter, passed=False, at=LATER, note="motor ran on")
    assert reasons(checked)["failsafe"] == ("it was not passed",)
    check(owner, checked, transmitter, at=LATER + HOUR)
    assert reasons(checked)["failsafe"] == ()


def test_recording_a_check(airframe: Airframe, owner: Member, reader: Member, transmitter: Transmitter) -> None:
    with pytest.raises(FleetError, match="No receiver is recorded"):
        check(owner, airframe, transmitter)
    fit(user=owner, receiver=ReceiverFactory.create(), airframe=airframe)
    with pytest.raises(NotAllowed):
        check(reader, airframe, transmitter)
    with pytest.raises(FleetError, match="give one of failsafe, range"):
        check(owner, airframe, transmitter, kind="smell")
