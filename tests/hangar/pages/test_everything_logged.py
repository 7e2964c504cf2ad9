"""The list of everything logged of an airframe, and withdrawing from it."""

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from hangar.fleet.operations import bind, fit, record_check, see_mark
from hangar.flights.log import KINDS
from hangar.flights.models import Flight, Grounding, Work
from hangar.flights.operations import (
    Read,
    ground,
    log_flight,
    record_balance_check,
    record_throw_check,
    record_work,
    release,
)
from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.setups.operations import enter
from tests.factories import AirframeFactory, ReceiverFactory, TransmitterFactory
from tests.hangar.pages.conftest import SignIn, error_at, words

pytestmark = pytest.mark.database

LOG = reverse("flights:log", args=["big-glider"])


@pytest.fixture
def everything(first: Revision, owner: Member, instructor: Member) -> Revision:
    airframe, transmitter = first.airframe, TransmitterFactory.create(owner=owner, label="Grey case")
    airframe.mark = "TERN 4"
    airframe.save()
    fit(user=owner, receiver=ReceiverFactory.create(label="R7"), airframe=airframe)
    bind(user=owner, airframe=airframe, transmitter=transmitter)
    record_check(user=owner, airframe=airframe, kind="range", transmitter=transmitter, passed=True,
                 failsafe_digest="0" * 64, note="40 paces")  # fmt: skip
    see_mark(user=owner, airframe=airframe)
    enter(user=owner, revision=first, transmitter=transmitter, model_memory="07")
    log_flight(user=owner, revision=first, flown_on=timezone.localdate(), pilot=owner, load="small", verdict="keep",
               observation="smooth")  # fmt: skip
    record_work(user=owner, airframe=airframe, kind="servo", note="a new servo")
    record_throw_check(user=owner, revision=first, readings=[Read("elevator", {"pitch": 100}, -9.6, -9.5)])
    record_balance_check(user=owner, revision=first, load="small", cg_mm=65, mass_g=2100)
    release(user=instructor, grounding=ground(user=owner, airframe=airframe, reason="crack"), reason="glued")
    return first


def test_it_tells_everything(everything: Revision, reader: Member, sign_in: SignIn) -> None:
    page = words(sign_in(reader).get(LOG))
    for told in ("Receiver R7 put into it, where it is now", "Receiver R7 bound to Grey case",
                 "Range check with Grey case, passed: 40 paces", "The mark TERN 4 seen on the model",
                 "Revision 1 entered on Grey case, model memory 07", "verdict keep: smooth", "Work, servo: a new servo",
                 "Throws of revision 1 read at the model",
                 "Balance 65 mm behind the datum, with small, 2100 g as weighed",
                 "Grounded: crack; released by Ines Instructor: glued"):  # fmt: skip
        assert told in page, told
    assert "Withdraw " not in page, "a reader withdraws nothing"


def test_of_this_airframe_alone(everything: Revision, reader: Member, sign_in: SignIn) -> None:
    AirframeFactory.create(slug="other", name="Other")
    assert "Nothing is logged yet." in words(sign_in(reader).get(reverse("flights:log", args=["other"])))


@pytest.mark.parametrize("count", [5, 100])
def test_constant_queries_and_pages(everything: Revision, owner: Member, sign_in: SignIn, count: int) -> None:
    for n in range(count):
        record_work(user=owner, airframe=everything.airframe, kind="servo", note=f"screw {n}")
    browser = sign_in(owner)
    with CaptureQueriesContext(connection) as asked:
        page = words(browser.get(f"{LOG}?page=9"))
    assert ("Page 4 of 4" in page) == (count == 100)
    assert len(asked) == 6 + len(KINDS)
    assert f"screw {count - 1}" in words(browser.get(LOG)), "the newest first"


@pytest.mark.parametrize("kind", KINDS)
def test_withdrawing(everything: Revision, owner: Member, instructor: Member, sign_in: SignIn, kind: str) -> None:
    row = KINDS[kind].rows.everything.get()
    member = instructor if kind == "grounding" else owner
    browser, address = sign_in(member), reverse("flights:withdraw", args=["big-glider", kind, row.pk])
    assert address in browser.get(LOG).content.decode()
    assert "Withdraw this?" in words(browser.get(address))
    refused = browser.post(address, {"reason": " "})
    assert "Say why it is withdrawn" in error_at(refused, "reason")
    assert browser.post(address, {"reason": "logged for the wrong model"}).status_code == 302
    page: str = browser.get(LOG).content.decode()
    assert "<s>" in page
    assert f"by {member}: logged for the wrong model" in page
    assert address not in page
    assert browser.get(address).status_code == 302, "once is enough"


def test_who_may(everything: Revision, owner: Member, reader: Member, helper: Member, sign_in: SignIn) -> None:
    work, grounding = Work.objects.get(), Grounding.objects.get()
    address = reverse("flights:withdraw", args=["big-glider", "work", work.pk])
    for member in (reader, helper):
        assert sign_in(member).get(address).status_code == 403
        assert sign_in(member).post(address, {"reason": "no"}).status_code == 403
    of_grounding = reverse("flights:withdraw", args=["big-glider", "grounding", grounding.pk])
    assert sign_in(owner).post(of_grounding, {"reason": "no"}).status_code == 403
    for stranger in (Client().get(address), Client().get(LOG)):
        assert stranger["Location"].startswith(reverse("members:sign_in"))
    assert Work.objects.count() == 1


@pytest.mark.parametrize(("slug", "kind", "pk"), [("big-glider", "work", 999), ("big-glider", "revision", 1),
                                                  ("no-such", "work", None), ("other", "work", None)])  # fmt: skip
def test_what_is_not_there(everything: Revision, owner: Member, sign_in: SignIn, slug: str, kind: str, pk: Any) -> None:
    AirframeFactory.create(slug="other", owner=owner)
    address = reverse("flights:withdraw", args=[slug, kind, pk or Work.objects.get().pk])
    assert sign_in(owner).get(address).status_code == 404
    assert sign_in(owner).delete(LOG).status_code == 405


def test_struck_through_wherever_it_was_told(everything: Revision, owner: Member, sign_in: SignIn) -> None:
    browser, flight, work = sign_in(owner), Flight.objects.get(), Work.objects.get()
    for kind, row in (("flight", flight), ("work", work)):
        browser.post(reverse("flights:withdraw", args=["big-glider", kind, row.pk]), {"reason": "wrong model"})
    airframe = browser.get(reverse("flights:airframe", args=["big-glider"]))
    assert "<s>a new servo</s>" in airframe.content.decode()
    for page in (airframe, browser.get(reverse("flights:revision", args=["big-glider", 1]))):
        assert "<s>smooth</s>" in page.content.decode()
        assert "by Olive Owner: wrong model" in words(page)
    alone = words(browser.get(reverse("flights:flight", args=["big-glider", flight.pk])))
    assert "What it showed counts no longer." in alone
    assert "What follows from it" not in alone


def test_a_receivers_own_page(everything: Revision, owner: Member, sign_in: SignIn) -> None:
    fitting = KINDS["receiver"].rows.everything.get()
    sign_in(owner).post(
        reverse("flights:withdraw", args=["big-glider", "receiver", fitting.pk]), {"reason": "it was R9"}
    )
    page = sign_in(owner).get(reverse("fleet:receiver", args=[fitting.receiver_id]))
    assert "<s>Big Glider</s>" in page.content.decode()
    assert "it was R9" in words(page)


def test_revisions_are_not_withdrawn_and_the_page_says_what_to_do(
    first: Revision, owner: Member, sign_in: SignIn
) -> None:
    assert "A revision of the setup is never withdrawn: roll back to another one." in words(sign_in(owner).get(LOG))
