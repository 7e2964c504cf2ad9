"""An airframe leaves the club with a handover that names nobody, and one that was bought comes in unmeasured."""

import io
import json
import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from hangar.fleet.errors import FleetError
from hangar.fleet.lookups import current_fitting
from hangar.fleet.models import Airframe, Receiver
from hangar.fleet.operations import change_airframe, fit, leave_club
from hangar.flights.errors import FlightError
from hangar.flights.models import Flight, Work
from hangar.flights.operations import (
    Read,
    log_flight,
    record_balance_check,
    record_throw_check,
    record_work,
    take_over,
    withdraw_balance_check,
    withdraw_flight,
)
from hangar.flights.standings import standing_of
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.setups.handover import read_handover
from hangar.setups.history import current_head
from hangar.setups.models import Revision
from hangar.setups.operations import record
from hangar.sheets.handover import handover_json, handover_of, handover_pdf
from mixing import Rig, Setup
from tests.factories import AirframeFactory, ReceiverFactory, make_setup, record_first
from tests.hangar.pages.conftest import SignIn, error_at, words
from tests.hangar.sheets.rendering import reader as pdf_reader
from tests.hangar.sheets.rendering import words_of
from tests.mixing.example import example

pytestmark = pytest.mark.database

LEAVE = reverse("fleet:leave", args=["big-glider"])
PDF, JSON = (reverse(f"sheets:handover_{kind}", args=["big-glider"]) for kind in ("pdf", "json"))
SECRETS = ("Olive", "Henry", "TERN", "Ask Ada", "why it was", "glued by", "tucked for", "wind of", "MEMORY")


@pytest.fixture
def known(airframe: Airframe, owner: Member, helper: Member) -> Revision:
    """A model about which people wrote a lot."""
    airframe.mark = "TERN 4"
    airframe.save()
    first = record_first(airframe, make_setup(remarks="Ask Ada about the spinner"))
    setup = make_setup(remarks="Ask Ada again")
    revision = record(user=owner, airframe=airframe, setup=setup, base=first, reason="why it was so").revision
    log_flight(user=owner, revision=revision, flown_on=revision.recorded_at.date(), pilot=helper, load="small",
               verdict="tweak", reason="tucked for Olive", wind="wind of Henry", observation="Olive saw")  # fmt: skip
    record_work(user=owner, airframe=airframe, kind="horn", note="glued by Henry")
    record_balance_check(user=owner, revision=first, load="small", cg_mm=65.5, mass_g=2110)
    record_throw_check(user=owner, revision=revision, readings=[Read("elevator", {"pitch": 100}, -9.6, -9.4)],
                       note="Olive held the ruler")  # fmt: skip
    return revision


def test_the_file_names_nobody(known: Revision, owner: Member) -> None:
    text = handover_json(known).decode()
    assert not [secret for secret in (*SECRETS, owner.author_key, known.seal, owner.login) if secret in text]
    told = json.loads(text)
    assert told["airframe"] == {"name": "Big Glider", "span_mm": 3600, "wing_area_dm2": None}
    assert [one["verdict"] for one in told["history"]] == ["not flown", "tweak"]
    assert [(one["load"], one["cg_mm"], one["mass_g"]) for one in told["balance"]] == [("Small battery", 65.5, 2110)]
    assert told["throws_read"][0] | {"on": ""} == {
        "surface": "Elevator", "with": "Elevator stick back", "read": "9.4 mm up", "predicted": "9.6 mm up", "on": "",
    }  # fmt: skip
    assert Setup.model_validate(told["setup"]) == make_setup()


def test_a_throw_that_was_read_says_where_the_model_stood(airframe: Airframe, owner: Member) -> None:
    revision = record_first(airframe, example())
    first, other = revision.setup.phases[:2]
    reads = [
        Read("left_flap", {}, 1.0, 1.1, phase=other.key),
        Read("left_flap", {"roll": -50.0}, 1.0, 1.1, phase=first.key),
    ]
    record_throw_check(user=owner, revision=revision, readings=reads, note="")
    told = [one["with"] for one in json.loads(handover_json(revision))["throws_read"]]
    assert told == [f"All controls at rest, {other.label}", f"Aileron stick half left, {first.label}"]


def test_what_was_withdrawn_is_not_handed_over(known: Revision, owner: Member) -> None:
    withdraw_flight(user=owner, flight=Flight.objects.get(), reason="no")
    withdraw_balance_check(user=owner, check=known.parent.balance_checks.get(), reason="no")  # type: ignore[union-attr]
    told = json.loads(handover_json(known))
    assert [one["verdict"] for one in told["history"]] == ["not flown", "not flown"]
    assert told["balance"] == []


def test_the_paper_names_nobody_and_tells_what_is_needed(known: Revision) -> None:
    content = handover_pdf(known)
    shown = words_of(content)
    assert not [secret for secret in SECRETS if secret in shown]
    for part in ("Big Glider", "Take nothing here as measured.", "60 to 70 mm behind wing root leading edge",
                 "2110 g as weighed", "Elevator stick back", "9.4 mm up", "Revision 2,", "tweak"):  # fmt: skip
        assert part in shown, part
    document = pdf_reader(content)
    assert document.metadata is not None
    assert document.metadata.title == "Handover of Big Glider"
    assert len(document.pages) == 1


def test_the_paper_has_its_days_in_the_readers_way(known: Revision) -> None:
    on = date_format(timezone.localdate(known.recorded_at), "DATE_FORMAT")
    shown = words_of(handover_pdf(known))
    assert f"Revision 2, {on}: tweak" in shown
    assert not re.search(r"\d{4}-\d\d-\d\d", shown)
    told = json.loads(handover_json(known))
    assert told["history"][1]["recorded_on"] == f"{timezone.localdate(known.recorded_at):%Y-%m-%d}"


def test_where_a_phase_stands_is_told_once(airframe: Airframe) -> None:
    setup = example()
    phases = {phase.label: phase for phase in handover_of(record_first(airframe, setup)).phases}
    rig = Rig(setup)
    for key, label in ((one.key, one.label) for one in setup.phases):
        at_rest = {one: round(float(throw), 1) for one, throw in rig.at({}, phase=key).throw_mm.items()}
        told = {place.words: {column.key for column, _ in place.moved} for place in phases[label].places}
        assert told.pop("All controls at rest", set()) == {one for one, throw in at_rest.items() if throw}
        assert told["Rudder stick right"] == {"rudder"}
        assert not [words for words in told if words.startswith("Phase")]


@pytest.mark.parametrize(("address", "kind"), [(PDF, "application/pdf"), (JSON, "application/json")])
def test_who_gets_it(known: Revision, owner: Member, reader: Member, sign_in: SignIn, address: str, kind: str) -> None:
    assert sign_in(owner).get(address)["Content-Type"] == kind
    assert sign_in(reader).get(address).status_code == 403
    assert Client().get(address)["Location"].startswith(reverse("members:sign_in"))
    assert sign_in(owner).post(address).status_code == 405
    assert sign_in(owner).get(address.replace("big-glider", "no-such")).status_code == 404


def test_without_a_setup_there_is_nothing_to_hand_over(airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    assert sign_in(owner).get(JSON).status_code == 404
    assert "nothing to hand over" in words(sign_in(owner).get(LEAVE))


class TestLeaving:
    def test_its_receiver_is_free_and_its_history_stays(self, known: Revision, owner: Member, sign_in: SignIn) -> None:
        fit(user=owner, receiver=ReceiverFactory.create(label="R7"), airframe=known.airframe)
        browser = sign_in(owner)
        assert "R7 is recorded as taken out" in words(browser.get(LEAVE))
        assert browser.post(LEAVE).status_code == 302
        assert current_fitting(known.airframe) is None
        assert Receiver.objects.get().status == "spare"
        page = words(browser.get(reverse("flights:airframe", args=["big-glider"])))
        assert "The airframe is gone from the club" in page
        assert "why it was so" in page
        assert "It leaves the club" not in page

    def test_it_is_in_the_line_up_only_where_it_is_asked_for(
        self, known: Revision, owner: Member, sign_in: SignIn
    ) -> None:
        leave_club(user=owner, airframe=known.airframe)
        assert "Big Glider" not in words(sign_in(owner).get("/"))
        assert "Big Glider" in words(sign_in(owner).get("/?status=gone"))

    def test_who_says_so(
        self, airframe: Airframe, helper: Member, reader: Member, instructor: Member, sign_in: SignIn
    ) -> None:
        assert sign_in(reader).post(LEAVE).status_code == 403
        assert sign_in(helper).post(LEAVE).status_code == 403, "a helper edits it, and does not sell it"
        with pytest.raises(NotAllowed, match="Only the owner"):
            leave_club(user=helper, airframe=airframe)
        assert Client().post(LEAVE)["Location"].startswith(reverse("members:sign_in"))
        assert sign_in(instructor).delete(LEAVE).status_code == 405
        assert sign_in(instructor).post(LEAVE).status_code == 302

    def test_not_past_that_page(self, airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
        with pytest.raises(FleetError, match="page about leaving"):
            change_airframe(user=owner, airframe=airframe, status="gone")
        facts = reverse("fleet:edit_airframe", args=["big-glider"])
        assert "gone from the club" not in words(sign_in(owner).get(facts))

    def test_it_can_come_back(self, airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
        leave_club(user=owner, airframe=airframe)
        facts = reverse("fleet:edit_airframe", args=["big-glider"])
        assert "gone from the club" in words(sign_in(owner).get(facts))
        sign_in(owner).post(facts, {"name": "Big Glider", "status": "airworthy"})
        assert "Big Glider" in words(sign_in(owner).get("/"))


def upload(text: bytes) -> dict[str, Any]:
    return {"document": SimpleUploadedFile("handover.json", text)}


class TestTakingOver:
    ADDRESS = reverse("flights:take_over", args=["bought"])

    @pytest.fixture
    def bought(self, reader: Member) -> Airframe:
        airframe: Airframe = AirframeFactory.create(slug="bought", name="Bought", owner=reader)
        return airframe

    def test_as_bought_unmeasured(self, known: Revision, bought: Airframe, reader: Member, sign_in: SignIn) -> None:
        browser = sign_in(reader)
        assert "It was bought with a setup" in words(browser.get(reverse("flights:airframe", args=["bought"])))
        assert browser.post(self.ADDRESS, upload(handover_json(known))).status_code == 302
        head = current_head(bought)
        assert head is not None
        assert (head.number, head.origin, head.reason) == (1, "import", "As bought, unmeasured.")
        assert {one.linkage.kind for one in head.setup.surfaces} == {"unmeasured"}
        assert head.setup.remarks == ""
        standing = standing_of(bought)
        assert standing.verdict is None, "no verdict comes with it"
        told = " ".join(standing.reasons)
        for part in ("was not flown yet", "throws were not measured since work on", "balance was not measured",
                     "no receiver is recorded"):  # fmt: skip
            assert part in told
        assert Work.objects.get(airframe=bought).kind == "bought"

    def test_a_plain_setup_document_does_too(self, bought: Airframe, reader: Member, sign_in: SignIn) -> None:
        assert sign_in(reader).post(self.ADDRESS, upload(make_setup().text().encode())).status_code == 302
        assert current_head(bought) is not None

    @pytest.mark.parametrize(
        ("text", "told"),
        [
            (b"{", "JSON"),
            (b'{"handover": 2, "setup": {}}', "reads version 1"),
            (b'{"handover": 1}', "has no setup in it"),
            (b'{"handover": 1, "setup": {"schema": 1}}', "balance is missing"),
            (b'{"handover": 1, "handover": 1}', "handover"),
            (b"[]", "object"),
        ],
    )
    def test_a_file_that_is_none(
        self, bought: Airframe, reader: Member, sign_in: SignIn, text: bytes, told: str
    ) -> None:
        response = sign_in(reader).post(self.ADDRESS, upload(text))
        assert "no sound setup in this file" in error_at(response, "document")
        assert told in words(response)
        assert current_head(bought) is None

    def test_no_file_an_empty_one_and_a_large_one(self, bought: Airframe, reader: Member, sign_in: SignIn) -> None:
        browser = sign_in(reader)
        assert "Choose the file." in error_at(browser.post(self.ADDRESS, {}), "document")
        assert "is empty" in error_at(browser.post(self.ADDRESS, upload(b"")), "document")
        assert "1 MiB at most" in error_at(browser.post(self.ADDRESS, upload(b" " * (1024 * 1024 + 1))), "document")

    def test_only_before_the_first_setup(self, first: Revision, owner: Member, sign_in: SignIn) -> None:
        with pytest.raises(FlightError, match="has a setup already"):
            take_over(user=owner, airframe=first.airframe, setup=make_setup())
        address = reverse("flights:take_over", args=["big-glider"])
        response = sign_in(owner).post(address, upload(make_setup().text().encode()))
        assert "has a setup already" in words(response)

    def test_who_may(self, bought: Airframe, owner: Member, sign_in: SignIn) -> None:
        assert sign_in(owner).get(self.ADDRESS).status_code == 403
        assert sign_in(owner).post(self.ADDRESS, upload(make_setup().text().encode())).status_code == 403
        assert Client().get(self.ADDRESS)["Location"].startswith(reverse("members:sign_in"))
        assert sign_in(owner).get(reverse("flights:take_over", args=["no-such"])).status_code == 404


def test_a_handover_is_read_as_it_was_written(known: Revision) -> None:
    assert read_handover(io.BytesIO(handover_json(known)).read()) == make_setup()
