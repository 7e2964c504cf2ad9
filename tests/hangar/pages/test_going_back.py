"""The page that leads back: what it proposes, what it shows before it is confirmed, and what it refuses."""

import re

import pytest
from django.urls import reverse
from django.utils import timezone

from hangar.fleet.models import Airframe
from hangar.flights.operations import log_flight, withdraw_flight
from hangar.members.models import Member
from hangar.pictures.words import plain
from hangar.setups.entries import channel_of
from hangar.setups.models import Revision
from hangar.setups.operations import enter, record, roll_back
from mixing import Rig, Setup, audit
from tests.factories import TransmitterFactory
from tests.hangar.pages.conftest import SignIn, error_at, values, words

BACK = reverse("flights:roll_back", args=["big-glider"])


def with_brake(setup: Setup, percent: float) -> Setup:
    couplings = [coupling.model_dump() for coupling in setup.couplings]
    for one in couplings:
        if (one["control"], one["channel"]) in (("lever", 6), ("lever", 7)):
            one["stations"] = [[-100, percent], [100, 0]]
    return setup.changed(couplings=couplings)


@pytest.fixture
def three(glider: Revision, owner: Member) -> list[Revision]:
    """Three revisions; the second flew well, the third did not."""
    revisions = [glider]
    for percent, reason in ((80, "a little less brake"), (40, "far less brake")):
        setup = with_brake(glider.setup, percent)
        revisions.append(
            record(user=owner, airframe=glider.airframe, setup=setup, base=revisions[-1], reason=reason).revision
        )
    today = timezone.localdate()
    log_flight(user=owner, revision=revisions[1], flown_on=today, pilot=owner, load="small", verdict="keep")
    log_flight(
        user=owner,
        revision=revisions[2],
        flown_on=today,
        pilot=owner,
        load="small",
        verdict="reject",
        reason="too fast",
    )
    return revisions


def flap(setup: Setup) -> str:
    return plain(abs(float(Rig(setup).at({"lever": -100}).throw_mm["right_flap"])))


def test_what_it_proposes_and_shows(three: list[Revision], owner: Member, sign_in: SignIn) -> None:
    page = words(sign_in(owner).get(BACK))
    assert "From revision 3 to the setup of revision 2." in page
    assert "To revision 2, the last that flew well" in page
    assert f"Left lever back Right flap ↓ {flap(three[2].setup)} mm down → ↓ {flap(three[1].setup)} mm down" in page
    assert "40 % at −100, 0 % at +100 → 80 % at −100, 0 % at +100" in page
    assert "No record says what is in the transmitter; this assumes revision 3." in page
    assert "Take the propeller off or disconnect the motor" in page
    assert Revision.objects.count() == 3


def test_entries_start_from_what_is_in_the_transmitter(three: list[Revision], owner: Member, sign_in: SignIn) -> None:
    transmitter = TransmitterFactory.create(label="Grey Case", owner=owner)
    enter(user=owner, revision=three[0], transmitter=transmitter, model_memory="07")
    page = words(sign_in(owner).get(BACK))
    assert "It holds revision 1 now: Grey Case, model memory 07." in page
    assert "95 % at −100, 0 % at +100 → 80 % at −100, 0 % at +100" in page
    assert f"↓ {flap(three[0].setup)} mm down → ↓ {flap(three[1].setup)} mm down" in page


def test_entries_stand_in_the_order_of_the_channels(three: list[Revision], owner: Member, sign_in: SignIn) -> None:
    response = sign_in(owner).get(BACK)
    numbers = [channel_of(change.path) for change in response.context["entries"]]
    assert numbers == [6, 7]
    assert words(response).index("Trims to centre") < words(response).index("40 % at −100")


def test_what_the_transmitter_holds_already_is_not_entered_again(
    three: list[Revision], owner: Member, sign_in: SignIn
) -> None:
    """Back, and forth again before anything was entered."""
    enter(user=owner, revision=three[2], transmitter=TransmitterFactory.create(), model_memory="7")
    browser, told = sign_in(owner), []
    for to in (2, 3):
        head = Revision.objects.latest("number").number
        given = {"to": str(to), "head": str(head), "reason": "as it was"}
        told.append(words(browser.post(BACK, given, follow=True)))
    assert "carries the setup of revision 2. Enter it on the transmitter, print its sheet" in told[0]
    assert "carries the setup of revision 3. The transmitter holds it already: print its sheet" in told[1]


def test_an_entry_keeps_its_name_on_a_printed_page(three: list[Revision], owner: Member, sign_in: SignIn) -> None:
    """What only leads to the help is left out of print and never broken into lines: no entry may look like it."""
    page = sign_in(owner).get(BACK).content.decode()
    assert 'class="card-lines"' in page
    assert set(re.findall(r'<(\w+)[^>]*class="what"', page)) <= {"a"}


def test_findings_of_where_it_leads(three: list[Revision], owner: Member, sign_in: SignIn) -> None:
    response = sign_in(owner).get(BACK)
    assert [finding.text for finding in response.context["findings"]] == [f.text for f in audit(three[1].setup)]
    assert "Findings of revision 2" in words(response)


class TestARolledBackDocument:
    """It carries no verdict of its own."""

    @pytest.fixture
    def fourth(self, three: list[Revision], owner: Member) -> Revision:
        return roll_back(user=owner, airframe=three[0].airframe, to=three[1], reason="It floated past").revision

    def test_says_where_it_flew_well(self, fourth: Revision, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        page = words(browser.get(reverse("flights:revision", args=["big-glider", 4])))
        assert "The same document flew well as revision 2 ." in page
        history = words(browser.get(reverse("flights:history", args=["big-glider"])))
        assert "rollback of 2 not flown; the same document flew well as revision 2" in history
        assert "Not flown yet; the same document flew well as revision 2." in words(
            browser.get(reverse("flights:airframe", args=["big-glider"]))
        )

    def test_can_be_rolled_back(self, fourth: Revision, three: list[Revision], owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        form = values(browser.get(f"{BACK}?to=3"))
        browser.post(BACK, {**form, "to": "3", "reason": "It was the wind"})
        fifth = Revision.objects.get(number=5)
        assert (fifth.origin, fifth.document_id) == ("rollback of 3", three[2].document_id)

    def test_what_is_still_to_do(self, fourth: Revision, three: list[Revision], owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        browser.post(reverse("sheets:print_sheet", args=["big-glider", 3]))
        response = browser.get(reverse("flights:revision", args=["big-glider", 4]))
        assert "Out of date: the printed sheet of revision 3." in words(response)
        card = reverse("flights:change_card", args=["big-glider", 4])
        assert card in response.content.decode()
        enter(user=owner, revision=fourth, transmitter=TransmitterFactory.create(), model_memory="07")
        assert "No record says what is in the transmitter" not in words(browser.get(response.request["PATH_INFO"]))


def test_going_back(three: list[Revision], owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    form = values(browser.get(BACK))
    response = browser.post(BACK, {**form, "reason": "It floated past"}, follow=True)
    fourth = Revision.objects.get(number=4)
    assert fourth.document_id == three[1].document_id
    assert (fourth.origin, fourth.reason) == ("rollback of 2", "It floated past")
    page = words(response)
    assert "Revision 4 carries the setup of revision 2. Enter it on the transmitter, print its sheet" in page
    assert reverse("sheets:print_sheet", args=["big-glider", 4]) in response.content.decode()


def test_to_any_other(three: list[Revision], owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    response = browser.get(f"{BACK}?to=1")
    assert "To revision 1" in words(response)
    browser.post(BACK, {**values(response), "to": "1", "reason": "all the way"})
    assert Revision.objects.get(number=4).document_id == three[0].document_id


def test_without_a_reason(three: list[Revision], owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    response = browser.post(BACK, {**values(browser.get(f"{BACK}?to=1")), "reason": ""})
    assert error_at(response, "reason").startswith("Give a reason")
    assert values(response)["to"] == "1"
    assert Revision.objects.count() == 3


@pytest.mark.parametrize("query", ["to=99", "to=two", "to=-1"])
def test_to_what_is_not_there(three: list[Revision], owner: Member, sign_in: SignIn, query: str) -> None:
    assert sign_in(owner).get(f"{BACK}?{query}").status_code == 404


def test_to_the_current_one(three: list[Revision], owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    response = browser.post(BACK, {"to": "3", "head": "3", "reason": "nothing"}, follow=True)
    assert "says the same already" in words(response)
    assert Revision.objects.count() == 3


def test_when_someone_recorded_meanwhile(three: list[Revision], owner: Member, helper: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    form = values(browser.get(BACK))
    newer = with_brake(three[2].setup, 45)
    record(user=helper, airframe=three[2].airframe, setup=newer, base=three[2], reason="meanwhile")
    response = browser.post(BACK, {**form, "reason": "It floated past"})
    assert "Revision 4 was recorded since this page was opened" in words(response)
    assert values(response)["head"] == "4"
    assert values(response)["reason"] == "It floated past"
    assert Revision.objects.count() == 4


def test_a_page_that_does_not_say_what_it_showed(three: list[Revision], owner: Member, sign_in: SignIn) -> None:
    response = sign_in(owner).post(BACK, {"to": "2", "reason": "It floated past"})
    assert "load it again" in words(response)
    assert Revision.objects.count() == 3


def test_nowhere_to_go(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    assert "There is no earlier revision to go back to." in words(sign_in(owner).get(BACK))


def test_without_a_setup(airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    assert sign_in(owner).get(BACK).status_code == 404


class TestAModelThatWasRebuilt:
    """The flap horns were lengthened after revision 3: an entry of then gives less throw today."""

    @pytest.fixture
    def rebuilt(self, three: list[Revision], owner: Member) -> Revision:
        surfaces = [surface.model_dump() for surface in three[2].setup.surfaces]
        for one in surfaces:
            if one["role"] == "flap":
                one["linkage"]["horn_mm"] = 14.0
        setup = three[2].setup.changed(surfaces=surfaces)
        return record(
            user=owner, airframe=three[2].airframe, setup=setup, base=three[2], reason="longer horns"
        ).revision

    def test_the_throws_come_back(
        self, rebuilt: Revision, three: list[Revision], owner: Member, sign_in: SignIn
    ) -> None:
        browser = sign_in(owner)
        response = browser.get(BACK)
        page = words(response)
        assert "The model is built otherwise now" in page
        assert "So this takes the throws of revision 2" in page
        browser.post(BACK, {**values(response), "reason": "It floated past"})
        fifth = Revision.objects.get(number=5)
        assert fifth.origin == "throws of 2"
        assert fifth.setup.surface("right_flap").linkage == rebuilt.setup.surface("right_flap").linkage
        throws = [float(Rig(r.setup).at({"lever": -100}).throw_mm["right_flap"]) for r in (fifth, three[1])]
        assert throws[0] == pytest.approx(throws[1], abs=0.5)

    def test_the_entries_are_refused_while_nothing_was_put_back(
        self, rebuilt: Revision, owner: Member, sign_in: SignIn
    ) -> None:
        browser = sign_in(owner)
        response = browser.get(f"{BACK}?how=entries")
        assert "only if each of these was put back on the model" in words(response)
        refused = browser.post(BACK, {**values(response), "how": "entries", "reason": "It floated past"})
        assert "The model is not built as it was in revision 2" in error_at(refused, "put_back")
        assert values(refused)["reason"] == "It floated past"
        assert Revision.objects.count() == 4

    def test_the_entries_once_everything_was_put_back(
        self, rebuilt: Revision, three: list[Revision], owner: Member, sign_in: SignIn
    ) -> None:
        browser = sign_in(owner)
        response = browser.get(f"{BACK}?how=entries")
        parts = [part.path for part in response.context["parts"]]
        assert len(parts) == 2
        browser.post(BACK, {**values(response), "how": "entries", "put_back": parts, "reason": "short horns again"})
        assert Revision.objects.get(number=5).document_id == three[1].document_id


def test_the_reason_of_the_rejected_flight_is_proposed(three: list[Revision], owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    assert values(browser.get(BACK))["reason"] == "Revision 3 was rejected: too fast"
    flight = three[2].flights.get()
    withdraw_flight(user=owner, flight=flight, reason="that was the other model")
    assert values(browser.get(BACK))["reason"] == ""


def test_no_reason_is_proposed_where_the_current_one_flew_well(
    three: list[Revision], owner: Member, sign_in: SignIn
) -> None:
    log_flight(
        user=owner, revision=three[2], flown_on=timezone.localdate(), pilot=owner, load="small", verdict="keep"
    )  # fmt: skip
    assert values(sign_in(owner).get(BACK))["reason"] == ""
