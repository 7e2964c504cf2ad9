"""What is done standing beside the model: logging a flight, a check, what was entered; grounding and releasing."""

from pathlib import Path

import pytest
from django.contrib.messages import constants
from django.contrib.messages.storage.base import LEVEL_TAGS
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from hangar.fleet.models import Airframe, Check
from hangar.fleet.operations import bind, fit
from hangar.flights.models import Flight, Grounding
from hangar.flights.operations import ground, log_flight
from hangar.members.models import Member
from hangar.setups.models import Entered, Revision
from hangar.setups.operations import enter, record
from tests.factories import ReceiverFactory, TransmitterFactory, make_setup
from tests.hangar.pages.conftest import Answer, SignIn, error_at, values, words

AIRFRAME = reverse("flights:airframe", args=["big-glider"])
FLIGHT = reverse("flights:log_flight", args=["big-glider"])
CHECK = reverse("setups:check", args=["big-glider"])
ENTER = reverse("setups:enter", args=["big-glider"])
GROUND = reverse("flights:ground", args=["big-glider"])
RELEASE = reverse("flights:release", args=["big-glider"])


def flight(owner: Member, **changes: str) -> dict[str, str]:
    today = timezone.localdate().isoformat()
    given = {
        "revision": "1",
        "load": "small",
        "verdict": "keep",
        "condition_after": "sound",
        "flown_on": today,
        "pilot": str(owner.pk),
    }
    return {**given, **changes}


@pytest.fixture
def second(first: Revision, owner: Member) -> Revision:
    setup = make_setup(remarks="changed")
    return record(user=owner, airframe=first.airframe, setup=setup, base=first, reason="second").revision


class TestAFlight:
    def test_two_taps_are_enough(self, first: Revision, owner: Member, sign_in: SignIn) -> None:
        """Everything but the verdict is filled in already."""
        browser = sign_in(owner)
        form = browser.get(FLIGHT).context["form"]
        shown = {name: form[name].value() for name in form.fields}
        given = {name: value for name, value in shown.items() if value is not None}
        response = browser.post(FLIGHT, {**given, "verdict": "keep"}, follow=True)
        logged = Flight.objects.get()
        assert (logged.revision, logged.pilot, logged.load, logged.verdict) == (first, owner, "small", "keep")
        assert logged.flown_on == timezone.localdate()
        assert "The flight of revision 1 is logged." in words(response)

    def test_what_is_in_the_transmitter_is_what_flew(
        self, second: Revision, first: Revision, owner: Member, sign_in: SignIn
    ) -> None:
        browser = sign_in(owner)
        assert browser.get(FLIGHT).context["form"]["revision"].value() == 2
        enter(user=owner, revision=first, transmitter=TransmitterFactory.create(), model_memory="7")
        response = browser.get(FLIGHT)
        assert response.context["form"]["revision"].value() == 1
        assert "revision 1, in the transmitter revision 2" in words(response)
        browser.post(FLIGHT, flight(owner))
        assert Flight.objects.get().revision == first
        browser.post(FLIGHT, flight(owner, revision="2"))
        assert Flight.objects.filter(revision=second).exists()

    def test_it_leads_with_revision_load_and_what_was_seen(
        self, first: Revision, owner: Member, sign_in: SignIn
    ) -> None:
        page = words(sign_in(owner).get(FLIGHT))
        order = [
            "Flown was",
            "Flown with",
            "What was seen",
            "The setup: verdict",
            "The model afterwards",
            "Pilot",
            "Wind",
        ]
        places = [page.index(each) for each in order]
        assert places == sorted(places)

    def test_a_load_which_that_revision_does_not_have(self, first: Revision, owner: Member, sign_in: SignIn) -> None:
        balance = first.setup.balance.model_dump()
        balance["loads"] = [{**balance["loads"][0], "key": "large", "label": "Large battery"}]
        setup = first.setup.changed(balance=balance)
        record(user=owner, airframe=first.airframe, setup=setup, base=first, reason="another battery")
        response = sign_in(owner).post(FLIGHT, flight(owner, revision="2", observation="nose up"))
        assert error_at(response, "load") == "Say with which load of revision 2: Large battery."
        assert values(response)["observation"] == "nose up"
        assert response.context["form"]["revision"].value() == "2"

    @pytest.mark.parametrize("asked", ["99", "two"])
    def test_of_a_revision_that_is_not_there(self, first: Revision, owner: Member, sign_in: SignIn, asked: str) -> None:
        assert sign_in(owner).get(f"{FLIGHT}?revision={asked}").status_code == 404

    @pytest.mark.parametrize(
        ("field", "typed", "told"),
        [
            ("verdict", "", "Give a verdict: keep, tweak or reject."),
            ("load", "lead", "Say with which load of revision 1: Small battery."),
            ("flown_on", "yesterday", "Enter a valid date."),
            ("verdict", "reject", None),
            ("pilot", "99999", "Select a valid choice."),
        ],
    )
    def test_what_is_missing(
        self, first: Revision, owner: Member, sign_in: SignIn, field: str, typed: str, told: str | None
    ) -> None:
        response = sign_in(owner).post(FLIGHT, flight(owner, observation="nose up", **{field: typed}))
        assert Flight.objects.count() == 0
        assert values(response)["observation"] == "nose up"
        if told is None:
            assert error_at(response, "reason") == "Say what has to change, or why it is rejected."
        else:
            assert told in error_at(response, field)

    @pytest.mark.parametrize(("day", "told"), [("2999-01-01", "is still to come"), ("0001-01-01", "of our time")])
    def test_on_a_day_that_cannot_be(
        self, first: Revision, owner: Member, sign_in: SignIn, day: str, told: str
    ) -> None:
        """Told at the box, which is in view then."""
        response = sign_in(owner).post(FLIGHT, flight(owner, flown_on=day))
        assert told in error_at(response, "flown_on")
        assert '<details class="rest" open>' in response.content.decode()
        assert not Flight.objects.exists()

    @pytest.mark.parametrize("condition", ["inspect", "damaged"])
    def test_damage_grounds_it(self, first: Revision, owner: Member, sign_in: SignIn, condition: str) -> None:
        response = sign_in(owner).post(FLIGHT, flight(owner, condition_after=condition), follow=True)
        assert Grounding.objects.get().flight == Flight.objects.get()
        assert "The flight is logged, and Big Glider is grounded" in words(response)
        assert "Grounded" in words(response)

    def test_of_a_grounded_model(self, first: Revision, owner: Member, sign_in: SignIn) -> None:
        ground(user=owner, airframe=first.airframe, reason="crack")
        response = sign_in(owner).post(FLIGHT, flight(owner), follow=True)
        assert "Big Glider was grounded, and still is." in words(response)
        assert Flight.objects.count() == 1

    def test_without_a_setup(self, airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
        for address in (FLIGHT, CHECK, ENTER):
            assert sign_in(owner).get(address).status_code == 404


class TestGrounding:
    def test_anyone_may(self, airframe: Airframe, reader: Member, sign_in: SignIn) -> None:
        response = sign_in(reader).post(GROUND, {"reason": "crack at the root"}, follow=True)
        assert Grounding.objects.get().reason == "crack at the root"
        assert "Grounded Crack at the root" in words(response)

    def test_with_a_reason(self, airframe: Airframe, reader: Member, sign_in: SignIn) -> None:
        response = sign_in(reader).post(GROUND, {"reason": " "})
        assert error_at(response, "reason") == "Say why it must not fly."
        assert Grounding.objects.count() == 0

    def released(self, browser: Client, grounding: Grounding, reason: str) -> Answer:
        response: Answer = browser.post(RELEASE, {"grounding": grounding.pk, "reason": reason}, follow=True)
        return response

    def test_releasing(self, airframe: Airframe, reader: Member, instructor: Member, sign_in: SignIn) -> None:
        grounding = ground(user=reader, airframe=airframe, reason="crack")
        browser = sign_in(instructor)
        assert RELEASE in browser.get(AIRFRAME).content.decode()
        assert error_at(self.released(browser, grounding, ""), "reason") == "Say what was looked at or mended."
        self.released(browser, grounding, "glued and looked at")
        grounding.refresh_from_db()
        assert (grounding.released_by, grounding.release_reason) == (instructor, "glued and looked at")
        assert "is not grounded" in words(browser.get(RELEASE, follow=True))

    def test_never_alone_after_a_rebuild(self, airframe: Airframe, instructor: Member, sign_in: SignIn) -> None:
        airframe.helpers.add(instructor)
        grounding = ground(user=instructor, airframe=airframe, reason="rebuilt", second_person=True)
        response = self.released(sign_in(instructor), grounding, "it is fine")
        assert "A second person has to release Big Glider" in words(response)
        assert values(response)["reason"] == "it is fine"

    def test_what_is_grounded_elsewhere(self, airframe: Airframe, instructor: Member, sign_in: SignIn) -> None:
        ground(user=instructor, airframe=airframe, reason="crack")
        response = sign_in(instructor).post(RELEASE, {"grounding": "999", "reason": "fine"})
        assert "Select a valid choice." in error_at(response, "grounding")


class TestChecks:
    @pytest.fixture
    def fitted(self, first: Revision, owner: Member) -> Revision:
        fit(user=owner, receiver=ReceiverFactory.create(label="R7"), airframe=first.airframe)
        bind(user=owner, airframe=first.airframe, transmitter=TransmitterFactory.create(label="Grey Case"))
        return first

    def test_a_check(self, fitted: Revision, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        transmitter = browser.get(CHECK).context["form"]["transmitter"].value()
        response = browser.post(
            CHECK, {"kind": "range", "transmitter": transmitter, "passed": "yes", "note": "60 paces"}, follow=True
        )
        made = Check.objects.get()
        assert (made.kind, made.passed, made.note, made.transmitter.label) == ("range", True, "60 paces", "Grey Case")
        assert "Range check holds" in words(response).replace("✓ ", "")

    def test_that_was_not_passed(self, fitted: Revision, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        transmitter = browser.get(CHECK).context["form"]["transmitter"].value()
        response = browser.post(CHECK, {"kind": "failsafe", "transmitter": transmitter, "passed": "no"}, follow=True)
        assert Check.objects.get().passed is False
        assert "it was not passed" in words(response)

    def test_what_is_missing(self, fitted: Revision, owner: Member, sign_in: SignIn) -> None:
        response = sign_in(owner).post(CHECK, {"note": "60 paces"})
        assert error_at(response, "transmitter").startswith("Choose the transmitter")
        for field in ("kind", "passed"):
            assert error_at(response, field) == "Nothing is chosen here; choose one."
        assert values(response)["note"] == "60 paces"

    def test_without_a_receiver(self, first: Revision, owner: Member, sign_in: SignIn) -> None:
        given = {"kind": "range", "transmitter": TransmitterFactory.create().pk, "passed": "yes"}
        assert "No receiver is recorded in Big Glider; fit one first." in words(sign_in(owner).post(CHECK, given))


class TestEntering:
    def test_it(self, second: Revision, owner: Member, sign_in: SignIn) -> None:
        transmitter = TransmitterFactory.create(label="Grey Case")
        given = {"revision": "1", "transmitter": transmitter.pk, "model_memory": "07 Big"}
        response = sign_in(owner).post(ENTER, given, follow=True)
        entered = Entered.objects.get()
        assert (entered.revision.number, entered.transmitter, entered.model_memory) == (1, transmitter, "07 Big")
        assert "revision 1 on Grey Case, model memory 07 Big" in words(response)
        again = sign_in(owner).get(ENTER)
        assert values(again)["model_memory"] == "07 Big"
        assert again.context["form"]["revision"].value() == 2

    def test_what_is_missing(self, first: Revision, owner: Member, sign_in: SignIn) -> None:
        response = sign_in(owner).post(ENTER, {"revision": "9", "model_memory": ""})
        assert "Select a valid choice." in error_at(response, "revision")
        assert error_at(response, "model_memory") == "Give the name of the model memory."
        assert Entered.objects.count() == 0


def test_the_form_asks_in_the_order_in_which_it_is_told(first: Revision, owner: Member, sign_in: SignIn) -> None:
    """Revision, load and observation lead; then verdict, condition after, pilot, wind and date."""
    body = sign_in(owner).get(reverse("flights:log_flight", args=["big-glider"])).content.decode()
    names = ["revision", "load", "observation", "verdict", "condition_after", "pilot", "wind", "flown_on"]
    places = [body.index(f'name="{name}"') for name in names]
    assert places == sorted(places)
    assert '<option value="1" selected>' in body


def test_no_totals_anywhere(first: Revision, owner: Member, sign_in: SignIn) -> None:
    log_flight(user=owner, revision=first, flown_on=timezone.localdate(), pilot=owner, load="small", verdict="keep")
    for address in ("/", reverse("flights:airframe", args=["big-glider"]), reverse("flights:log", args=["big-glider"])):
        page = words(sign_in(owner).get(address)).lower()
        assert "hours" not in page
        assert "in total" not in page
        assert "1 flight" not in page


def test_what_is_grave_looks_grave(first: Revision, owner: Member, sign_in: SignIn) -> None:
    """What was logged well, and what grounds a model, are told apart by the style of the message."""
    browser = sign_in(owner)
    good = browser.post(FLIGHT, flight(owner), follow=True).content.decode()
    assert '<div class="message good" role="status">' in good
    grave = browser.post(GROUND, {"reason": "a servo buzzes"}, follow=True).content.decode()
    assert '<div class="message caution-message" role="status">' in grave


def test_every_message_has_a_style() -> None:
    css = (Path(__file__).parents[3] / "hangar" / "static" / "parts.css").read_text()
    for level, tag in LEVEL_TAGS.items():
        if level not in (constants.DEBUG, constants.INFO):
            assert f".message.{tag} {{" in css
