"""Airframes, receivers and transmitters through their pages."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from hangar.fleet.lookups import current_fitting
from hangar.fleet.models import Airframe, Binding, Receiver, Transmitter
from hangar.fleet.operations import fit
from hangar.members.models import Member
from hangar.setups.models import Revision
from tests.factories import AirframeFactory, ReceiverFactory, TransmitterFactory
from tests.hangar.pages.conftest import SignIn, error_at, values, words

pytestmark = pytest.mark.database

DETAILS = reverse("fleet:edit_airframe", args=["big-glider"])
PEOPLE = reverse("fleet:people", args=["big-glider"])
FIT = reverse("fleet:fit_receiver", args=["big-glider"])
TRANSMITTER = {
    "label": "Grey Case", "stick_mode": "1", "channels": "12", "centre_us": "1520", "per_100_us": "400",
    "limit_pct": "150", "step_pct": "0,5", "curve_points": "9",
}  # fmt: skip


class TestAirframes:
    @pytest.mark.parametrize(
        ("field", "typed", "told"),
        [
            ("name", "", "Give the name by which the club knows the model."),
            ("span_mm", "2600.5", "2600.5 is not a whole number; give one such as 2600."),
            ("wing_area_dm2", "-3", "−3 is too small; give at least 0.01."),
            ("status", "flying", "Select a valid choice."),
        ],
    )
    def test_what_is_wrong_with_its_facts(
        self, airframe: Airframe, owner: Member, sign_in: SignIn, field: str, typed: str, told: str
    ) -> None:
        given = {"name": "Sand Martin", "status": "building", "mark": "DEMO 01", field: typed}
        response = sign_in(owner).post(DETAILS, given)
        assert told in error_at(response, field)
        assert values(response)["mark"] == "DEMO 01"
        airframe.refresh_from_db()
        assert airframe.name == "Big Glider"

    def test_its_facts(self, airframe: Airframe, helper: Member, sign_in: SignIn) -> None:
        browser = sign_in(helper)
        shown = values(browser.get(DETAILS))
        assert (shown["name"], shown["span_mm"]) == ("Big Glider", "3600")
        browser.post(DETAILS, {**shown, "span_mm": "3700", "status": "resting"})
        airframe.refresh_from_db()
        assert (airframe.span_mm, airframe.status, airframe.slug) == (3700, "resting", "big-glider")
        refused = browser.post(DETAILS, {**shown, "name": "", "status": "resting"})
        assert error_at(refused, "name")
        assert "Facts about Big Glider" in words(refused)

    def test_helpers(self, airframe: Airframe, owner: Member, reader: Member, sign_in: SignIn) -> None:
        sign_in(owner).post(PEOPLE, {"owner": owner.pk, "helpers": [reader.pk]})
        assert list(airframe.helpers.all()) == [reader]
        sign_in(owner).post(PEOPLE, {"owner": owner.pk})
        assert list(airframe.helpers.all()) == []

    def test_a_helper_names_no_further_helpers(
        self, airframe: Airframe, helper: Member, reader: Member, sign_in: SignIn
    ) -> None:
        response = sign_in(helper).post(PEOPLE, {"owner": airframe.owner_id, "helpers": [helper.pk, reader.pk]})
        assert response.status_code == 403
        assert "names its owner and helpers" in response.content.decode()
        assert list(airframe.helpers.all()) == [helper]

    def test_an_owner_who_is_not_there(self, airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
        assert "Select a valid choice." in error_at(sign_in(owner).post(PEOPLE, {"owner": "999"}), "owner")

    def test_an_owner_who_has_left(
        self, airframe: Airframe, owner: Member, reader: Member, instructor: Member, sign_in: SignIn
    ) -> None:
        owner.is_active = False
        owner.save()
        response = sign_in(instructor).post(PEOPLE, {"owner": owner.pk, "helpers": [reader.pk]})
        assert f"{owner} has left; give an active member as the owner." in error_at(response, "owner")
        assert not airframe.helpers.filter(pk=reader.pk).exists()


class TestReceivers:
    def test_a_new_one(self, secretary: Member, sign_in: SignIn) -> None:
        browser = sign_in(secretary)
        browser.post(reverse("fleet:new_receiver"), {"label": "R7", "channels": "8", "status": "spare", "note": "blue"})
        assert Receiver.objects.get().channels == 8
        refused = browser.post(reverse("fleet:new_receiver"), {"label": "R7", "channels": "8", "status": "spare"})
        assert "There is a receiver “R7” already" in error_at(refused, "label")
        assert "R7 8 nowhere spare blue" in words(browser.get(reverse("fleet:receivers")))

    def test_changing_it(self, secretary: Member, sign_in: SignIn) -> None:
        receiver = ReceiverFactory.create(label="R7")
        browser, address = sign_in(secretary), reverse("fleet:edit_receiver", args=[receiver.pk])
        browser.post(address, {"label": "R7", "channels": "12", "status": "retired", "note": ""})
        receiver.refresh_from_db()
        assert (receiver.channels, receiver.status) == (12, "retired")
        assert error_at(browser.post(address, {"label": "R7", "channels": "many", "status": "spare"}), "channels")

    def test_putting_it_in_and_taking_it_out(self, airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
        receiver, browser = ReceiverFactory.create(label="R7"), sign_in(owner)
        response = browser.post(FIT, {"receiver": receiver.pk}, follow=True)
        assert "R7 sits in Big Glider now." in words(response)
        assert "R7, 9 channels, now in Big Glider" in words(browser.get(FIT))
        page = words(browser.get(reverse("fleet:receiver", args=[receiver.pk])))
        assert "sits there now Olive Owner" in page
        browser.post(reverse("fleet:take_receiver_out", args=["big-glider"]))
        assert current_fitting(airframe) is None

    def test_it_went_in_by_a_clock_that_was_ahead(self, airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
        tomorrow = timezone.now() + timedelta(days=1)
        fit(user=owner, airframe=airframe, receiver=ReceiverFactory.create(label="R7"), at=tomorrow)
        for name in ("take_receiver_out", "leave"):
            response = sign_in(owner).post(reverse(f"fleet:{name}", args=["big-glider"]), follow=True)
            assert "R7 was put into Big Glider at" in words(response)
        airframe.refresh_from_db()
        assert airframe.status != "gone"
        assert current_fitting(airframe) is not None

    def test_from_someone_elses_model(self, airframe: Airframe, owner: Member, reader: Member, sign_in: SignIn) -> None:
        theirs, receiver = AirframeFactory.create(name="Theirs", owner=reader), ReceiverFactory.create(label="R7")
        sign_in(reader).post(reverse("fleet:fit_receiver", args=[theirs.slug]), {"receiver": receiver.pk})
        response = sign_in(owner).post(FIT, {"receiver": receiver.pk})
        assert response.status_code == 403
        fitting = current_fitting(theirs)
        assert fitting is not None
        assert fitting.receiver == receiver

    def test_none_chosen(self, airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
        response = sign_in(owner).post(FIT, {"receiver": ""})
        assert error_at(response, "receiver") == "Choose the receiver that was put in."

    def test_a_retired_one_is_not_offered(self, airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
        retired = ReceiverFactory.create(label="R13", status="retired")
        assert "R13" not in words(sign_in(owner).get(FIT))
        assert "Select a valid choice." in error_at(sign_in(owner).post(FIT, {"receiver": retired.pk}), "receiver")

    def test_binding(self, airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
        browser, address = sign_in(owner), reverse("fleet:bind_receiver", args=["big-glider"])
        transmitter = TransmitterFactory.create(label="Grey Case")
        assert "No receiver is recorded" in words(browser.post(address, {"transmitter": transmitter.pk}))
        browser.post(FIT, {"receiver": ReceiverFactory.create().pk})
        assert error_at(browser.post(address, {}), "transmitter").startswith("Choose the transmitter")
        browser.post(address, {"transmitter": transmitter.pk})
        assert Binding.objects.get().transmitter == transmitter
        assert "Bound to Grey Case" in words(browser.get(FIT))


class TestTransmitters:
    def test_a_new_one(self, owner: Member, sign_in: SignIn) -> None:
        response = sign_in(owner).post(reverse("fleet:new_transmitter"), {**TRANSMITTER, "clubs": "on"}, follow=True)
        added = Transmitter.objects.get()
        assert (added.owner, added.centre_us, added.step_pct, added.channels) == (owner, 1520, 0.5, 12)
        assert "Signs unproven:" in words(response)

    def test_the_clubs(self, instructor: Member, sign_in: SignIn) -> None:
        sign_in(instructor).post(reverse("fleet:new_transmitter"), {**TRANSMITTER, "clubs": "on"})
        assert Transmitter.objects.get().owner is None
        assert "Grey Case the club" in words(sign_in(instructor).get(reverse("fleet:transmitters")))

    def test_what_is_wrong(self, owner: Member, sign_in: SignIn) -> None:
        response = sign_in(owner).post(reverse("fleet:new_transmitter"), {**TRANSMITTER, "per_100_us": "9"})
        assert error_at(response, "per_100_us") == "9 is too small; give at least 50."
        assert values(response)["centre_us"] == "1520"

    def test_its_figures(self, owner: Member, sign_in: SignIn) -> None:
        transmitter = TransmitterFactory.create(owner=owner)
        address = reverse("fleet:edit_transmitter", args=[transmitter.pk])
        sign_in(owner).post(address, TRANSMITTER)
        transmitter.refresh_from_db()
        assert (transmitter.label, transmitter.limit_pct) == ("Grey Case", 150)

    def test_the_test_of_its_signs(self, owner: Member, sign_in: SignIn) -> None:
        transmitter = TransmitterFactory.create(owner=owner)
        browser, address = sign_in(owner), reverse("fleet:prove_signs", args=[transmitter.pk])
        seen = {"lever_forward": "minus", "expo_positive": "softens", "centre_unit": "us"}
        assert error_at(browser.post(address, seen), "reversal")
        page = words(browser.post(address, {**seen, "reversal": "after"}, follow=True))
        assert "Tested by Olive Owner" in page
        assert "Forward reads minus" in page
        transmitter.refresh_from_db()
        assert transmitter.signs_proven


def test_a_receiver_with_too_few_channels_is_refused_where_it_was_chosen(
    first: Revision, owner: Member, sign_in: SignIn
) -> None:
    small = ReceiverFactory.create(label="R2", channels=2)
    response = sign_in(owner).post(reverse("fleet:fit_receiver", args=["big-glider"]), {"receiver": small.pk})
    page = words(response)
    assert "R2 cannot go into Big Glider." in page
    assert "does not exist on this receiver, which has 2 channels. Fit one with more channels." in page
    assert f'value="{small.pk}" selected' in response.content.decode(), "what was chosen stays"
