"""What a flight showed becomes a draft with its reasoning: elevator with the brake, and a home for a flown trim."""

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from hangar.flights.models import Flight
from hangar.flights.observations import homes, part_of, span
from hangar.flights.operations import log_flight
from hangar.members.models import Member
from hangar.setups.drafts import draft_of, save_draft
from hangar.setups.models import Revision
from hangar.setups.operations import record
from mixing import Rig, Setup
from tests.factories import open_draft
from tests.hangar.pages.conftest import Answer, SignIn, error_at, values, words


@pytest.fixture
def flight(glider: Revision, owner: Member) -> Flight:
    return log_flight(
        user=owner, revision=glider, flown_on=timezone.localdate(), pilot=owner, load="small", verdict="tweak",
        reason="nose up with the brake", observation="at half brake it needed 3 mm down",
    ).flight  # fmt: skip


def page(name: str, flight: Flight) -> str:
    return reverse(f"flights:{name}", args=["big-glider", flight.pk])


def elevator(setup: Setup, lever: float, phase: str) -> float:
    return float(Rig(setup).at({"lever": lever}, phase=phase).throw_mm["elevator"])


def filled(response: Answer, **given: str) -> dict[str, str]:
    form = response.context["form"]
    shown = {name: form[name].value() for name in form.fields}
    kept = {name: str(value) for name, value in shown.items() if value is not None}
    return {**kept, **values(response), **given}


class TestElevatorWithTheBrake:
    def test_from_the_flight_to_a_draft(self, flight: Flight, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        assert page("compensate", flight) in browser.get(page("flight", flight)).content.decode()
        response = browser.get(page("compensate", flight))
        assert "at half brake it needed 3 mm down" in words(response)
        given = filled(response, out_0="50", needed_0="3 down", out_1="100", needed_1="2 down")
        shown = browser.post(page("compensate", flight), {**given, "do": "show"})
        assert "What it gives" in words(shown)
        assert draft_of(owner, flight.revision.airframe) is None

        done = browser.post(page("compensate", flight), {**given, "do": "draft"}, follow=True)
        draft = draft_of(owner, flight.revision.airframe)
        assert draft is not None
        setup, phase = flight.revision.setup, given["phase"]
        stowed, full = span(setup.control("lever"))
        for share, needed in ((0, 0), (0.5, 3), (1, 2)):
            at = stowed + share * (full - stowed)
            assert elevator(draft.setup, at, phase) - elevator(setup, at, phase) == pytest.approx(needed, abs=0.05)
        reason = values(done)["reason"]
        assert reason.startswith(f"Flight of {date_format(flight.flown_on)} with revision 1: Elevator with Left lever")
        assert "at 50 % 3.0 mm down, at 100 % 2.0 mm down" in reason
        browser.post(reverse("setups:draft", args=["big-glider"]), {**values(done), "do": "record"})
        assert Revision.objects.get(number=2).reason == reason

    @pytest.mark.parametrize(
        ("given", "field", "told"),
        [
            ({"needed_0": ""}, "needed_0", "Give the throw that was needed, such as 3 down."),
            ({"needed_0": "3"}, "needed_0", "does not say which way"),
            ({"needed_0": "3 down", "out_0": ""}, "out_0", "Say how far it was out: 50 is half."),
            ({"needed_0": "3 down", "out_0": "150"}, "out_0", "150 is too large; give at most 100."),
        ],
    )
    def test_what_is_missing(
        self, flight: Flight, owner: Member, sign_in: SignIn, given: dict[str, str], field: str, told: str
    ) -> None:
        browser = sign_in(owner)
        form = filled(browser.get(page("compensate", flight)), **given)
        response = browser.post(page("compensate", flight), {**form, "needed_3": "1 up", "out_3": "25"} | given)
        if field == "needed_0" and not given["needed_0"]:
            response = browser.post(page("compensate", flight), form)
        assert told in error_at(response, field)

    def test_more_than_the_model_can(self, flight: Flight, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        form = filled(browser.get(page("compensate", flight)), out_0="100", needed_0="60 down")
        response = browser.post(page("compensate", flight), {**form, "do": "draft"})
        assert "Not saved yet" in words(response)
        assert draft_of(owner, flight.revision.airframe) is None

    def test_a_draft_that_is_there_is_gone_on_with(self, flight: Flight, owner: Member, sign_in: SignIn) -> None:
        draft = open_draft(user=owner, airframe=flight.revision.airframe)
        text = draft.setup.changed(remarks="mine").text()
        save_draft(user=owner, draft=draft, text=text, version=draft.version)
        browser = sign_in(owner)
        response = browser.get(page("compensate", flight))
        assert "It goes into your draft, which started from revision 1." in words(response)
        given = filled(response, out_0="50", needed_0="3 down")
        browser.post(page("compensate", flight), {**given, "do": "draft"})
        found = draft_of(owner, flight.revision.airframe)
        assert found is not None
        assert found.setup.remarks == "mine"
        assert found.setup.couplings != flight.revision.setup.couplings
        again = browser.post(page("compensate", flight), {**given, "do": "draft"})
        assert again.status_code == 302, "sent twice, it is there once"
        late = browser.post(page("compensate", flight), {**given, "needed_0": "5 down", "do": "draft"})
        assert "saved from another page meanwhile" in words(late)
        assert draft_of(owner, flight.revision.airframe).setup == found.setup  # type: ignore[union-attr]
        browser.post(page("compensate", flight), {**given, **values(late), "do": "draft"})
        changed = draft_of(owner, flight.revision.airframe)
        assert changed is not None
        assert changed.setup not in (found.setup, flight.revision.setup)

    def test_a_draft_that_is_no_setup_yet(self, flight: Flight, owner: Member, sign_in: SignIn) -> None:
        draft = open_draft(user=owner, airframe=flight.revision.airframe)
        save_draft(user=owner, draft=draft, text="{}", version=draft.version)
        response = sign_in(owner).get(page("trim_home", flight))
        assert response["Location"] == reverse("setups:draft", args=["big-glider"])


class TestAHomeForTheTrim:
    def test_three_homes_with_what_each_changes(self, flight: Flight, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        given = filled(browser.get(page("trim_home", flight)), trim_elevator="2 up")
        response = browser.post(page("trim_home", flight), {**given, "do": "show"})
        told = words(response)
        for title in ("Turn the clevis", "Move the channel's centre", "Change the stance of"):
            assert title in told
        assert [home.key for home in response.context["homes"]] == ["clevis", "centre", "stance"]
        assert all(home.proposal.throws for home in response.context["homes"])

    @pytest.mark.parametrize("home", ["clevis", "centre", "stance"])
    def test_the_chosen_one_becomes_a_draft(self, flight: Flight, owner: Member, sign_in: SignIn, home: str) -> None:
        browser = sign_in(owner)
        given = filled(browser.get(page("trim_home", flight)), trim_elevator="2 up", home=home, do="draft")
        done = browser.post(page("trim_home", flight), given, follow=True)
        draft = draft_of(owner, flight.revision.airframe)
        assert draft is not None
        rest = [
            float(Rig(setup).at({}, phase=given["phase"]).throw_mm["elevator"])
            for setup in (flight.revision.setup, draft.setup)
        ]
        assert rest[1] - rest[0] == pytest.approx(-2.0, abs=0.05)
        assert "flew straight with trim, Elevator 2.0 mm up" in values(done)["reason"]
        assert values(done)["reason"].endswith("trims to centre")

    @pytest.mark.parametrize(
        ("given", "told"),
        [
            ({"do": "draft"}, "Choose where the trim goes."),
            ({"do": "draft", "home": "attic"}, "Choose where the trim goes."),
            ({"trim_elevator": ""}, "Give at least one trim, such as 2 up."),
            ({"trim_elevator": "2"}, "does not say which way"),
            ({"trim_rudder": "2 up"}, "2 left"),
        ],
    )
    def test_what_is_missing(
        self, flight: Flight, owner: Member, sign_in: SignIn, given: dict[str, str], told: str
    ) -> None:
        browser = sign_in(owner)
        form = filled(browser.get(page("trim_home", flight)), trim_elevator="2 up") | given
        assert told in words(browser.post(page("trim_home", flight), form))
        assert draft_of(owner, flight.revision.airframe) is None

    def test_a_home_that_cannot_be(self, flight: Flight) -> None:
        found = {home.key: home for home in homes(flight.revision.setup, {"elevator": 35.0}, None)}
        assert set(found) == {"clevis", "centre"}
        assert found["centre"].proposal is None
        assert "Elevator" in found["centre"].refused

    def test_pitch_and_roll_of_elevons(self) -> None:
        setup = layout("elevons")
        left, right = (one.key for one in setup.surfaces if one.role == "elevon")
        trims = {left: -3.0, right: -1.0}
        assert part_of(setup, trims, "all") == trims
        assert part_of(setup, trims, "together") == {left: -2.0, right: -2.0}
        assert part_of(setup, trims, "against") == {left: -1.0, right: 1.0}

    def test_of_a_revision_that_is_not_current(self, flight: Flight, owner: Member, sign_in: SignIn) -> None:
        setup = flight.revision.setup.changed(remarks="x")
        record(user=owner, airframe=flight.revision.airframe, setup=setup, base=flight.revision, reason="later")
        response = sign_in(owner).get(page("trim_home", flight))
        assert "The flight was of revision 1: see that the throws still agree." in words(response)


def layout(name: str) -> Setup:
    from django.conf import settings

    return Setup.from_text((settings.BASE_DIR / "fixtures" / "layouts" / f"{name}.json").read_bytes())


def test_who_may_open_it(flight: Flight, reader: Member, sign_in: SignIn) -> None:
    browser = sign_in(reader)
    assert browser.get(page("flight", flight)).status_code == 200
    assert "What follows from it" not in words(browser.get(page("flight", flight)))
    for name in ("compensate", "trim_home"):
        assert browser.get(page(name, flight)).status_code == 403
    assert browser.get(reverse("flights:flight", args=["big-glider", 999])).status_code == 404
