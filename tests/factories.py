# factory_boy says that it is typed, but its declarations are not.
# mypy: disable-error-code="attr-defined, no-untyped-call"
"""What tests need to be there: members, airframes, receivers, transmitters and a setup that flies."""

from typing import Any

import factory
from django.utils import timezone

from hangar.fleet.models import Airframe, Receiver, Status, Transmitter
from hangar.members.models import Member, PersonalName, Role
from hangar.setups.drafts import draft_of, start_draft
from hangar.setups.history import current_head
from hangar.setups.models import Draft, Revision
from hangar.setups.operations import record
from mixing import Setup


class MemberFactory(factory.django.DjangoModelFactory[Member]):
    class Meta:
        model = Member
        skip_postgeneration_save = True

    login = factory.Sequence(lambda n: f"member{n}")
    # Nobody signs in with it: tests use force_login. Hashing a real one for every member would take most of their time.
    password = "!"
    name = factory.RelatedFactory("tests.factories.PersonalNameFactory", factory_related_name="member")

    class Params:
        instructor = factory.Trait(role=Role.INSTRUCTOR)
        secretary = factory.Trait(role=Role.SECRETARY)


class PersonalNameFactory(factory.django.DjangoModelFactory[PersonalName]):
    class Meta:
        model = PersonalName

    member = factory.SubFactory(MemberFactory, name=None)
    full_name = factory.Sequence(lambda n: f"Member Number {n}")


class AirframeFactory(factory.django.DjangoModelFactory[Airframe]):
    class Meta:
        model = Airframe

    slug = factory.Sequence(lambda n: f"glider-{n}")
    name = factory.Sequence(lambda n: f"Glider {n}")
    span_mm = 3600
    status = Status.AIRWORTHY
    owner = factory.SubFactory(MemberFactory)


class ReceiverFactory(factory.django.DjangoModelFactory[Receiver]):
    class Meta:
        model = Receiver

    label = factory.Sequence(lambda n: f"R{n}")
    channels = 9


class TransmitterFactory(factory.django.DjangoModelFactory[Transmitter]):
    class Meta:
        model = Transmitter

    label = factory.Sequence(lambda n: f"Transmitter {n}")
    owner = factory.SubFactory(MemberFactory)


def restart_numbers(first: int) -> None:
    """The next of each kind gets this number in its name."""
    for made in (MemberFactory, PersonalNameFactory, AirframeFactory, ReceiverFactory, TransmitterFactory):
        made.reset_sequence(first)


def make_setup(**changes: Any) -> Setup:
    """A small glider, with one elevator and a motor. `changes` replace top fields of the document."""
    data: dict[str, Any] = {
        "schema": 1,
        "signal": {
            "centre_us": 1500,
            "per_100_us": 500,
            "limit_pct": 125,
            "step_pct": 1,
            "curve_points": 5,
            "curve_free_x": False,
            "channels": 9,
        },
        "balance": {
            "cg_datum": "wing root leading edge",
            "cg_low_mm": 60,
            "cg_high_mm": 70,
            "loads": [{"key": "small", "label": "Small battery", "mass_g": 900, "cg_mm": 66}],
        },
        "controls": [
            {"key": "pitch", "label": "Elevator stick", "kind": "stick", "plus": "back", "rest": 0, "positions": None,
             "uses": [{"purpose": "pitch", "full": 100}]},
            {"key": "power", "label": "Right slider", "kind": "lever", "plus": "forward", "rest": -100,
             "positions": None, "uses": [{"purpose": "power", "full": 100}]},
        ],
        "channels": [
            {"number": 1, "label": "Elevator", "reversed": False, "centre_us": 1500, "low_us": 900, "high_us": 2100,
             "failsafe": "last_position"},
            {"number": 2, "label": "Motor", "reversed": False, "centre_us": 1500, "low_us": 900, "high_us": 2100,
             "failsafe": -100},
            {"number": 3, "label": "Spare", "reversed": False, "centre_us": 1500, "low_us": 900, "high_us": 2100,
             "failsafe": None},
        ],
        "surfaces": [
            {"key": "elevator", "label": "Elevator", "role": "elevator", "side": "centre", "pair": None, "channel": 1,
             "chord_mm": 40, "stop_up_deg": 30, "stop_down_deg": 30, "measure_at": "at the root", "neutral_ref": "fin",
             "linkage": {"kind": "measured", "points": [[1000, -12], [2000, 12]]}},
        ],
        "devices": [
            {"key": "motor", "label": "Motor", "kind": "electric_motor", "channel": 2, "off_pct": -100, "full_pct": 100}
        ],
        "phases": [],
        "couplings": [
            {"control": "pitch", "channel": 1, "phase": None, "stations": [[-100, 80], [100, -80]], "expo_pct": 0,
             "fades": []},
            {"control": "power", "channel": 2, "phase": None, "stations": [[-100, -100], [100, 100]], "expo_pct": 0,
             "fades": []},
        ],
        "remarks": "",
    }  # fmt: skip
    return Setup.model_validate({**data, **changes})


def record_first(airframe: Airframe, setup: Setup | None = None) -> Revision:
    """The airframe's first revision, by its owner."""
    return record(
        user=airframe.owner, airframe=airframe, setup=setup or make_setup(), base=None, reason="first setup",
        origin="start", now=timezone.now(),
    ).revision  # fmt: skip


def setup_with_pitch(percent: float) -> Setup:
    """`make_setup` with so much travel of the elevator at full stick."""
    couplings = [coupling.model_dump() for coupling in make_setup().couplings]
    for one in couplings:
        if one["control"] == "pitch":
            one["stations"] = [[-100, percent], [100, -percent]]
    return make_setup(couplings=couplings)


def open_draft(*, user: Member, airframe: Airframe) -> Draft:
    """The member's draft; where there is none, a new one of the setup that is current."""
    draft = draft_of(user, airframe)
    if draft is not None:
        return draft
    head = current_head(airframe)
    assert head is not None, "without a setup there is nothing to begin from"
    return start_draft(user=user, airframe=airframe, setup=head.setup, base=head)
