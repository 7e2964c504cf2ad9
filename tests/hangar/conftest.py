"""The cast: who owns the airframe, who helps with it, who only reads, and who keeps the club."""

from typing import Any

import pytest
from django.conf import settings

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.models import Revision
from tests.factories import AirframeFactory, MemberFactory, record_first


@pytest.fixture(scope="session", autouse=True)
def _fast_passwords() -> None:
    """A hash that is quick to make: no test is about how slow the real one is."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def owner(db: Any) -> Member:
    return MemberFactory.create(login="owner", name__full_name="Olive Owner")


@pytest.fixture
def helper(db: Any) -> Member:
    return MemberFactory.create(login="helper", name__full_name="Henry Helper")


@pytest.fixture
def reader(db: Any) -> Member:
    """Another pilot: sees every setup, edits none of this owner's."""
    return MemberFactory.create(login="reader", name__full_name="Rita Reader")


@pytest.fixture
def instructor(db: Any) -> Member:
    return MemberFactory.create(login="instructor", instructor=True, name__full_name="Ines Instructor")


@pytest.fixture
def secretary(db: Any) -> Member:
    return MemberFactory.create(login="secretary", secretary=True, name__full_name="Sam Secretary")


@pytest.fixture
def airframe(owner: Member, helper: Member) -> Airframe:
    airframe = AirframeFactory.create(slug="big-glider", name="Big Glider", owner=owner)
    airframe.helpers.add(helper)
    return airframe


@pytest.fixture
def first(airframe: Airframe) -> Revision:
    """The airframe's first revision."""
    return record_first(airframe)
