"""The line-up: what it tells of each airframe, searching it, and how many questions it asks the database."""

import datetime
import re

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from hangar.fleet.checks import failsafe_digest
from hangar.fleet.models import Airframe
from hangar.fleet.operations import bind, fit, record_check
from hangar.flights import glances
from hangar.flights.models import Glance
from hangar.flights.operations import ground, log_flight
from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.setups.operations import enter, record
from mixing import Setup
from tests.factories import AirframeFactory, ReceiverFactory, TransmitterFactory
from tests.hangar.pages.conftest import SignIn, words
from tests.seeding import many_airframes

pytestmark = pytest.mark.database

LINE_UP = reverse("flights:line_up")


def made_ready(revision: Revision, owner: Member) -> None:
    """Everything that a model needs so that nothing speaks against flying it."""
    airframe, transmitter = revision.airframe, TransmitterFactory.create(owner=owner)
    fit(user=owner, receiver=ReceiverFactory.create(), airframe=airframe)
    bind(user=owner, airframe=airframe, transmitter=transmitter)
    for kind in ("failsafe", "range"):
        record_check(
            user=owner, airframe=airframe, kind=kind, transmitter=transmitter, passed=True,
            failsafe_digest=failsafe_digest(revision.setup), at=timezone.now(),
        )  # fmt: skip
    enter(user=owner, revision=revision, transmitter=transmitter, model_memory="07")
    log_flight(user=owner, revision=revision, flown_on=timezone.localdate(), pilot=owner, load="small", verdict="keep")


QUERIES = 11


@pytest.mark.parametrize("count", [10, 400])
def test_the_number_of_queries_does_not_grow(reader: Member, sign_in: SignIn, count: int) -> None:
    """At ten and at many airframes, whatever it is sorted, searched and filtered by."""
    many_airframes(count)
    browser = sign_in(reader)
    for query in (
        "",
        "?sort=-state",
        "?sort=warnings",
        "?search=seeded",
        "?state=grounded",
        "?sort=-last_flown&page=1",
    ):
        with CaptureQueriesContext(connection) as asked:
            response = browser.get(f"{LINE_UP}{query}")
        assert "Seeded" in words(response)
        # The member's own models come first where nothing is asked for; each word that is searched for asks once more,
        # whether few owners are called so.
        expected = QUERIES + (not query) + ("search=" in query)
        assert len(asked) == expected, "\n".join(query["sql"][:160] for query in asked)


def test_airframes_that_came_in_past_the_operations(first: Revision, reader: Member, sign_in: SignIn) -> None:
    """As an import of a whole club brings them."""
    Glance.objects.all().delete()
    assert "Big Glider elevator, motor look first" in words(sign_in(reader).get(LINE_UP))


def test_what_it_tells(first: Revision, owner: Member, reader: Member, sign_in: SignIn) -> None:
    made_ready(first, owner)
    page = words(sign_in(reader).get(LINE_UP))
    today = date_format(timezone.localdate(), "DATE_FORMAT")
    receiver = first.airframe.fittings.get().receiver
    told = f"ready to fly Olive Owner 1 keep none printed {receiver} {today} {today} none {today}"
    assert f"Big Glider elevator, motor {told}" in page


def test_whether_the_sheet_in_the_box_is_up_to_date(first: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    browser.post(reverse("sheets:print_sheet", args=["big-glider", 1]))
    assert "not flown up to date none" in words(browser.get(LINE_UP))
    setup = first.setup.changed(remarks="x")
    record(user=owner, airframe=first.airframe, setup=setup, base=first, reason="a remark")
    assert "2 not flown of revision 1 none" in words(browser.get(LINE_UP))


def test_the_page_says_which_rules_it_follows(first: Revision, reader: Member, sign_in: SignIn) -> None:
    page = words(sign_in(reader).get(LINE_UP))
    assert "Look first: the airframe is not airworthy; no setup" in page


@pytest.mark.parametrize("column", ["name", "state", "owner", "revision", "verdict", "sheet", "receiver", "warnings"])
def test_every_column_sorts(three: None, airframe: Airframe, reader: Member, sign_in: SignIn, column: str) -> None:
    """Also where one of them has nothing to say there."""
    for way in ("", "-"):
        response = sign_in(reader).get(LINE_UP, {"sort": f"{way}{column}"})
        assert response.status_code == 200
        assert words(response).count("look first") >= 1


def test_without_a_setup(airframe: Airframe, reader: Member, sign_in: SignIn) -> None:
    assert (
        "Big Glider no setup yet look first no setup is recorded no receiver is recorded in it Olive Owner none not "
        "flown none printed none none none none never" in words(sign_in(reader).get(LINE_UP))
    )


def test_a_grounded_one(first: Revision, owner: Member, reader: Member, sign_in: SignIn) -> None:
    made_ready(first, owner)
    ground(user=reader, airframe=first.airframe, reason="crack at the root")
    assert "grounded crack at the root Olive Owner" in words(sign_in(reader).get(LINE_UP))


@pytest.fixture
def three(first: Revision, owner: Member, reader: Member) -> None:
    made_ready(first, owner)
    AirframeFactory.create(slug="small-wing", name="Small Wing", owner=reader, status="building", mark="DEMO 77")
    grounded = AirframeFactory.create(slug="old-tug", name="Old Tug", owner=reader)
    ground(user=reader, airframe=grounded, reason="crack")


@pytest.mark.usefixtures("three")
@pytest.mark.parametrize(
    ("query", "there"),
    [
        ("", {"Big Glider", "Small Wing", "Old Tug"}),
        ("search=big", {"Big Glider"}),
        ("search=olive", {"Big Glider"}),
        ("search=demo+77", {"Small Wing"}),
        ("search=nothing+like+it", set()),
        ("status=building", {"Small Wing"}),
        ("state=grounded", {"Old Tug"}),
        ("state=ready+to+fly", {"Big Glider"}),
        ("state=look+first", {"Small Wing"}),
        ("state=ready+to+fly&search=wing", set()),
        ("state=upside+down", {"Big Glider", "Small Wing", "Old Tug"}),
    ],
)
def test_searching(reader: Member, sign_in: SignIn, query: str, there: set[str]) -> None:
    body = sign_in(reader).get(f"{LINE_UP}?{query}").content.decode()
    assert {name for name in ("Big Glider", "Small Wing", "Old Tug") if f">{name}</a>" in body} == there
    assert bool(there) is not ("No airframe fits this search." in body)


@pytest.mark.usefixtures("three")
def test_by_owner(owner: Member, sign_in: SignIn) -> None:
    page = words(sign_in(owner).get(f"{LINE_UP}?owner={owner.pk}"))
    assert "Big Glider" in page
    assert "Small Wing" not in page


@pytest.mark.usefixtures("three")
def test_in_order_of_the_last_flight(owner: Member, sign_in: SignIn) -> None:
    names = ["Big Glider", "Old Tug"]
    for query, expected in (("sort=name", names), ("sort=-name", names[::-1])):
        body = sign_in(owner).get(f"{LINE_UP}?{query}").content.decode()
        assert sorted(names, key=body.index) == expected


@pytest.mark.usefixtures("three")
def test_a_script_gets_the_table_alone(owner: Member, sign_in: SignIn) -> None:
    whole = sign_in(owner).get(LINE_UP)
    part = sign_in(owner).get(LINE_UP, headers={"HX-Request": "true"})
    for response in (whole, part):
        assert "HX-Request" in response["Vary"]
    assert "<html" in whole.content.decode()
    assert "<html" not in part.content.decode()
    assert part.content.decode().strip() in whole.content.decode()


def test_twenty_five_on_a_page(owner: Member, sign_in: SignIn) -> None:
    for number in range(30):
        AirframeFactory.create(name=f"Kite {number:02}", owner=owner)
    first_page, second = (words(sign_in(owner).get(f"{LINE_UP}?page={n}&search=kite")) for n in (1, 2))
    assert "1 to 25 of 30" in first_page
    assert "Kite 24" in first_page
    assert "Kite 25" not in first_page
    assert "Kite 25" in second
    assert sign_in(owner).get(f"{LINE_UP}?page=99").status_code == 200


class TestWhatSpeaksAgainstFlying:
    """Each thing that must be looked at is told on the airframe's page, and the line-up says so in a word."""

    def told(self, sign_in: SignIn, member: Member) -> str:
        browser: Client = sign_in(member)
        assert re.search(r"elevator.* look first .* Olive Owner 1?2? ", words(browser.get(LINE_UP)))
        return words(browser.get(reverse("flights:airframe", args=["big-glider"])))

    def test_nothing(self, first: Revision, owner: Member, sign_in: SignIn) -> None:
        made_ready(first, owner)
        assert "Ready to fly Checks hold" in words(sign_in(owner).get(reverse("flights:airframe", args=["big-glider"])))

    def test_not_flown(self, first: Revision, owner: Member, sign_in: SignIn) -> None:
        assert "Revision 1 was not flown yet" in self.told(sign_in, owner)

    def test_rejected(self, first: Revision, owner: Member, sign_in: SignIn) -> None:
        made_ready(first, owner)
        log_flight(
            user=owner, revision=first, flown_on=timezone.localdate(), pilot=owner, load="small", verdict="reject",
            reason="it tucks",
        )  # fmt: skip
        assert "Revision 1 was rejected after a flight" in self.told(sign_in, owner)

    def test_another_revision_in_the_transmitter(self, first: Revision, owner: Member, sign_in: SignIn) -> None:
        made_ready(first, owner)
        from hangar.setups.operations import record

        changed: Setup = first.setup.changed(remarks="another word")
        second = record(user=owner, airframe=first.airframe, setup=changed, base=first, reason="words").revision
        log_flight(
            user=owner, revision=second, flown_on=timezone.localdate(), pilot=owner, load="small", verdict="keep"
        )
        assert "Revision 1 is in the transmitter, not 2" in self.told(sign_in, owner)

    def test_a_check_that_no_longer_holds(self, first: Revision, owner: Member, sign_in: SignIn) -> None:
        made_ready(first, owner)
        later = timezone.now() + datetime.timedelta(minutes=1)
        fit(user=owner, receiver=ReceiverFactory.create(label="R99"), airframe=first.airframe, at=later)
        assert "The failsafe check no longer holds:" in self.told(sign_in, owner)

    def test_what_the_audit_warns_of(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        made_ready(glider, owner)
        page = self.told(sign_in, owner)
        assert "The audit has 3 warnings" in page
        assert "Warning Rudder goes 38° left, 3° past its stop" in page

    def test_what_did_not_get_its_turn_never_says_ready(
        self, first: Revision, owner: Member, sign_in: SignIn, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        made_ready(first, owner)
        assert "ready to fly" in words(sign_in(owner).get(LINE_UP, {"state": "ready to fly"})).split("Show", 1)[1]
        glances.touch([first.airframe_id])
        monkeypatch.setattr("hangar.flights.views.refresh_stale", lambda: None)
        page = words(sign_in(owner).get(LINE_UP))
        assert "look first something was logged just now: load the page again" in page
        assert "No airframe fits" in words(sign_in(owner).get(LINE_UP, {"state": "ready to fly"}))

    def test_a_receiver_with_too_few_channels(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        receiver = ReceiverFactory.create(label="R6")
        fit(user=owner, receiver=receiver, airframe=glider.airframe)
        receiver.channels = 6
        receiver.save()
        page = self.told(sign_in, owner)
        assert "R6 has 6 channels, and the setup uses channel 7" in page
        assert "does not exist on this receiver, which has 6 channels" in page

    def test_no_receiver(self, first: Revision, owner: Member, sign_in: SignIn) -> None:
        assert "No receiver is recorded in it" in self.told(sign_in, owner)
