"""A club in which every address of the table leads somewhere, and the words by which the table calls what is in it.

It is made once for the whole walk: each step undoes what it did.
"""

import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.utils import timezone
from PIL import Image

from hangar.fleet.models import Airframe
from hangar.fleet.operations import fit
from hangar.fleet.photo_operations import set_photo
from hangar.fleet.rules import MassBand
from hangar.flights.operations import Read, ground, log_flight, record_throw_check
from hangar.members.models import Member, PersonalName, Visit
from hangar.members.operations import invite
from hangar.setups.drafts import start_draft
from hangar.setups.models import Revision
from hangar.setups.operations import record
from hangar.setups.thrown import throw_away
from hangar.sheets.batches import start_batch
from hangar.sheets.models import ItemState, Kind
from hangar.sheets.operations import record_print
from mixing import Setup
from tests.factories import AirframeFactory, MemberFactory, ReceiverFactory, TransmitterFactory, record_first
from tests.hangar.access.table import Cast

GLIDER = Path(__file__).parents[2] / "mixing" / "data" / "electric_glider.json"
NUMBER_OF_OWNER = "OP-OF-OWNER"


@dataclass(frozen=True)
class Club:
    cast: Cast
    # For each role a browser in which such a member is signed in; the visitor's knows nobody.
    browsers: dict[str, Client]


@pytest.fixture(autouse=True)
def _over_https(settings: Any) -> None:
    """As behind a proxy with HTTPS, so that the walk sees every promise that the site makes there."""
    settings.SECURE_SSL_REDIRECT = True
    settings.SECURE_HSTS_SECONDS = 365 * 24 * 3600
    settings.SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = True


@pytest.fixture(scope="module")
def club(django_db_setup: None, django_db_blocker: Any) -> Iterator[Club]:
    """The database as it is for the walk, undone at its end."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield _club()
        transaction.set_rollback(True)


def _club() -> Club:
    members = {
        "owner": MemberFactory.create(login="owner", name__full_name="Olive Owner"),
        "helper": MemberFactory.create(login="helper"),
        "reader": MemberFactory.create(login="reader"),
        "instructor": MemberFactory.create(login="instructor", instructor=True),
        "secretary": MemberFactory.create(login="secretary", secretary=True),
    }
    PersonalName.objects.filter(member=members["owner"]).update(operator_number=NUMBER_OF_OWNER)
    browsers = {role: Client() for role in ("visitor", *members)}
    for role, member in members.items():
        browsers[role].force_login(member)
    return Club(make_cast(members), browsers)


def make_cast(members: dict[str, Member]) -> Cast:
    owner, helper, secretary = members["owner"], members["helper"], members["secretary"]
    airframe = AirframeFactory.create(slug="big-glider", name="Big Glider", owner=owner)
    airframe.helpers.add(helper)
    bare = AirframeFactory.create(slug="bare", owner=owner)
    bare.helpers.add(helper)
    setup = Setup.from_text(GLIDER.read_bytes())
    first = record_first(airframe, setup)
    second = record(
        user=owner, airframe=airframe, setup=setup.changed(remarks="Another."), base=first, reason="another remark"
    ).revision
    receiver = ReceiverFactory.create()
    fit(user=owner, receiver=receiver, airframe=airframe)
    invitation, token = invite(user=secretary, full_name="Paul Pending")
    copy = record_print(user=owner, revision=second, kind=Kind.SETUP_SHEET)
    batch = start_batch(user=owner, airframes=[airframe], paper="a4", base="", what="one sheet")
    batch.items.update(state=ItemState.DONE, copy=copy)
    grounding = ground(user=owner, airframe=airframe, reason="a crack at the root")
    read = Read(surface="elevator", positions={"pitch": 100}, predicted_mm=-10, measured_mm=-9.5)
    check = record_throw_check(user=owner, revision=second, readings=[read])
    band = MassBand.objects.create(label="Up to 2 kg", from_g=0)
    return {
        "slug": airframe.slug, "number": 1, "bare": bare.slug, "receiver": receiver.pk,
        "transmitter": TransmitterFactory.create(owner=owner).pk,
        "club_transmitter": TransmitterFactory.create(owner=None).pk,
        "token": token, "invitation": invitation.pk, "member": MemberFactory.create().pk,
        "visit_of_owner": Visit.objects.get(member=owner).pk, "version": _photo(owner, airframe),
        "the_flight": _flight(owner, second), "copy": copy.pk, "copy_token": copy.token,
        "batch_of_owner": batch.pk,
        "thrown": _thrown_draft(owner, second), "the_check": check.pk, "grounded": grounding.pk, "mass_band": band.pk,
    }  # fmt: skip


def _photo(owner: Member, airframe: Airframe) -> str:
    file = io.BytesIO()
    Image.new("RGB", (8, 6)).save(file, "PNG")
    size = file.tell()
    file.seek(0)
    return set_photo(user=owner, airframe=airframe, file=file, size=size, alt="Grey").version


def _thrown_draft(owner: Member, revision: Revision) -> int:
    draft = start_draft(user=owner, airframe=revision.airframe, setup=revision.setup, base=revision)
    throw_away(user=owner, airframe=revision.airframe)
    return draft.pk


def _flight(owner: Member, revision: Revision) -> int:
    return log_flight(
        user=owner, revision=revision, flown_on=timezone.localdate(), pilot=owner, load="small", verdict="keep",
        reason="flew well",
    ).flight.pk  # fmt: skip
