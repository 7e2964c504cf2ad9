"""Editing one coupling: travel and throw at its stations, the straight line, fades, recording, two members at once."""

import json

import pytest
from django.test import Client
from django.urls import reverse

from hangar.members.models import Member
from hangar.pictures.words import plain
from hangar.setups.models import Draft, Revision
from hangar.setups.operations import record
from mixing import Rig, Setup
from mixing.wording import throw_words
from tests.hangar.pages.conftest import Answer, SignIn, error_at, values, words

FLAP = reverse("setups:coupling", args=["big-glider"]) + "?control=lever&channel=6&phase="


def sent(browser: Client, changes: dict[str, str], address: str = FLAP, *, do: str = "work") -> Answer:
    """Send the page's form as it stands, with some boxes changed."""
    form = values(browser.get(address))
    response: Answer = browser.post(address, {**form, **changes, "do": do}, follow=True)
    return response


def draft_of(member: Member) -> Setup:
    return Draft.objects.get(member=member).setup


def stations(setup: Setup, control: str, channel: int) -> list[list[float]]:
    found = [c for c in setup.couplings if (c.control, c.channel, c.phase) == (control, channel, None)]
    return [[*station] for coupling in found for station in coupling.stations]


def test_what_it_shows(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    response = sign_in(owner).get(FLAP)
    page, boxes = words(response), values(response)
    down = plain(float(Rig(glider.setup).at({"lever": -100}).throw_mm["right_flap"]))
    assert (boxes["x_0"], boxes["travel_0"], boxes["x_1"], boxes["travel_1"]) == ("−100", "95", "100", "0")
    assert (boxes["slope"], boxes["middle"]) == ("−47.5", "47.5")
    assert f"Left lever back (−100 %) travel 95 % Right flap ↓ {down} mm down" in page
    assert "Left lever forward (+100 %) travel 0 % Right flap 0 mm" in page
    assert "Take the propeller off or disconnect the motor" in page
    assert response.content.decode().count("<svg") >= 4
    assert Draft.objects.count() == 0, "looking at a page begins no draft"


def test_a_travel(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    response = sent(sign_in(owner), {"travel_0": "60"})
    setup = draft_of(owner)
    assert stations(setup, "lever", 6) == [[-100, 60], [100, 0]]
    down = plain(float(Rig(setup).at({"lever": -100}).throw_mm["right_flap"]))
    assert f"travel 60 % Right flap ↓ {down} mm down" in words(response)
    assert Revision.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "throw"), [("20 down", 20), ("12,5 mm down", 12.5), ("↓ 15", 15), ("3 up", -3), ("0", 0)]
)
def test_a_throw(glider: Revision, owner: Member, sign_in: SignIn, typed: str, throw: float) -> None:
    response = sent(sign_in(owner), {"want_0": typed})
    setup = draft_of(owner)
    # The travel is rounded to the transmitter's step of 1 %: the throw is met as closely as that allows.
    assert float(Rig(setup).at({"lever": -100}).throw_mm["right_flap"]) == pytest.approx(throw, abs=0.4)
    assert stations(setup, "lever", 6)[0][1] == round(stations(setup, "lever", 6)[0][1])
    assert values(response)["want_0"] == ""


def test_a_throw_where_another_control_adds(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    """In Thermal the flaps stand 8 % down: what is asked for is the whole, so that is taken off."""
    address = reverse("setups:coupling", args=["big-glider"]) + "?control=roll&channel=6&phase=thermal"
    sent(sign_in(owner), {"want_1": "5 up"}, address)
    throw = float(Rig(draft_of(owner)).at({"roll": 100}, phase="thermal").throw_mm["right_flap"])
    assert throw == pytest.approx(-5, abs=0.25)


@pytest.mark.parametrize(
    ("box", "typed", "told"),
    [
        ("travel_0", "much", "“much” is not a number; give one such as 12 or −7.5."),
        ("travel_0", "900", "This is 900; give at most 400."),
        ("travel_0", "", "Give a travel, or the throw that you want there."),
        ("x_0", "", "Give the position of the control, −100 to 100."),
        ("x_0", "−120", "This is −120; give at least −100."),
        ("want_0", "12", "“12” does not say which way; give 12 up or 12 down."),
        ("want_0", "left a bit", "“left a bit” is not a throw; give one such as 12 up or 8 down."),
        ("want_0", "50% up", "“50% up” is not a throw; give one such as 12 up or 8 down."),
        ("want_0", "5 left", "“5 left” does not say which way; give 5 up or 5 down."),
        ("want_0", "90 down", "past its stop"),
        ("expo_pct", "200", "This is 200; give at most 100."),
        ("factors_0", "all of it", "“all of it” is not a pair; give position and factor, such as −100: 60."),
    ],
)
def test_what_is_wrong_is_told_beside_it(
    glider: Revision, owner: Member, sign_in: SignIn, box: str, typed: str, told: str
) -> None:
    changes = {box: typed, "travel_1": "7"} | ({"fade_0": "roll"} if box == "factors_0" else {})
    response = sent(sign_in(owner), changes)
    assert response.status_code == 200
    assert told in error_at(response, box)
    assert values(response)[box] == typed
    assert values(response)["travel_1"] == "7"


def test_stations_out_of_order(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    response = sent(sign_in(owner), {"x_2": "50", "travel_2": "3"})
    assert "stations out of order: 50 comes after 100" in words(response)
    assert values(response)["x_2"] == "50"


def test_slope_and_middle_never_hide_the_other_end(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    """A slope of 30 with a middle of 30 is no 30 % flap: it is 60 % at one end and 0 at the other."""
    response = sent(sign_in(owner), {"slope": "30", "middle": "30"}, do="slope")
    assert stations(draft_of(owner), "lever", 6) == [[-100, 0], [100, 60]]
    down = plain(float(Rig(draft_of(owner)).at({"lever": 100}).throw_mm["right_flap"]))
    assert "Left lever back (−100 %) travel 0 % Right flap 0 mm" in words(response)
    assert f"Left lever forward (+100 %) travel 60 % Right flap ↓ {down} mm down" in words(response)


def test_slope_without_middle(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    response = sent(sign_in(owner), {"slope": "30", "middle": ""}, do="slope")
    assert error_at(response, "middle") == "Give a figure in %."
    assert values(response)["slope"] == "30"


def test_two_halves(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    sent(sign_in(owner), {"low": "−30", "high": "60"}, do="halves")
    assert stations(draft_of(owner), "lever", 6) == [[-100, -30], [0, 0], [100, 60]]


@pytest.mark.parametrize(
    ("start", "end", "reach", "gives"),
    [
        ("0", "−100", "70", [[-100, 70], [0, 0], [100, 0]]),
        ("50", "100", "70", [[-100, 0], [50, 0], [100, 70]]),
        ("−20", "40", "−30", [[-100, 0], [-20, 0], [40, -30], [100, -30]]),
    ],
)
def test_one_side_only(
    glider: Revision, owner: Member, sign_in: SignIn, start: str, end: str, reach: str, gives: list[list[float]]
) -> None:
    sent(sign_in(owner), {"start": start, "end": end, "reach": reach}, do="one_sided")
    assert stations(draft_of(owner), "lever", 6) == gives


MOTOR = reverse("setups:coupling", args=["big-glider"]) + "?control=lever&channel=3&phase="


@pytest.mark.parametrize(
    ("boxes", "do", "gives"),
    [
        ({"start": "50", "end": "100", "reach": "100"}, "one_sided", [[-100, -100], [50, -100], [100, 100]]),
        ({"start": "0", "end": "−100", "reach": "40"}, "one_sided", [[-100, 40], [0, -100], [100, -100]]),
        ({"low": "−100", "high": "60"}, "halves", [[-100, -100], [0, -100], [100, 60]]),
    ],
)
def test_a_motor_on_one_side_only_is_off_on_the_other(
    glider: Revision, owner: Member, sign_in: SignIn, boxes: dict[str, str], do: str, gives: list[list[float]]
) -> None:
    """Nothing, for what runs, is its off: at the middle of the channel a motor would run at half."""
    response = sent(sign_in(owner), boxes, MOTOR, do=do)
    assert stations(draft_of(owner), "lever", 3) == gives
    assert "At −100 % Motor is off, at 100 % it is full." in words(response)
    assert "Off (−100 %) up to a position of the control" in words(response)


@pytest.mark.parametrize(
    ("boxes", "do", "at", "told"),
    [
        ({"start": "0", "end": "0", "reach": "70"}, "one_sided", "end", "Start and end are both 0 %"),
        ({"start": "0", "end": "−120", "reach": "70"}, "one_sided", "end", "give at least −100"),
        ({"start": "0", "end": "−100", "reach": ""}, "one_sided", "reach", "Give a figure in %."),
        ({"low": "few", "high": "60"}, "halves", "low", "“few” is not a number"),
    ],
)
def test_a_shape_that_is_none(
    glider: Revision, owner: Member, sign_in: SignIn, boxes: dict[str, str], do: str, at: str, told: str
) -> None:
    response = sent(sign_in(owner), boxes, do=do)
    assert told in error_at(response, at)
    assert values(response)[at] == boxes[at]
    assert stations(draft_of(owner), "lever", 6) == [[-100, 95], [100, 0]]


def test_a_fade(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    sent(sign_in(owner), {"fade_0": "yaw", "factors_0": "−100: 0, 0: 100, 100: 100"})
    setup = draft_of(owner)
    assert float(Rig(setup).at({"lever": -100, "yaw": -100}).travel_pct[6]) == 0
    assert float(Rig(setup).at({"lever": -100, "yaw": 50}).travel_pct[6]) == pytest.approx(95)


def test_a_fade_that_lets_nothing_through_at_rest(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    response = sent(sign_in(owner), {"want_0": "10 down", "fade_0": "yaw", "factors_0": "−100: 100, 0: 0, 100: 100"})
    assert "its fade by Rudder stick is 0 % there" in error_at(response, "want_0")


def test_saving_untouched_changes_nothing(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    """With expo, fades and figures that a form could round."""
    data = glider.setup.data()
    data["couplings"][0]["stations"] = [[-100, 45.12345], [12.5, 0.001], [100, -70]]
    data["couplings"][0]["expo_pct"] = 24.75
    setup = Setup.from_text(json.dumps(data))
    second = record(user=owner, airframe=glider.airframe, setup=setup, base=glider, reason="awkward").revision
    browser = sign_in(owner)
    for one in setup.couplings:
        address = f"{FLAP.partition('?')[0]}?control={one.control}&channel={one.channel}&phase={one.phase or ''}"
        form = browser.get(address).context["form"]
        shown = {name: form[name].value() for name in form.fields if form[name].value() is not None}
        browser.post(address, {**shown, **values(browser.get(address)), "do": "work"})
    assert draft_of(owner).text() == second.document.text


def test_more_stations(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    before = sum(name.startswith("x_") for name in values(browser.get(FLAP)))
    assert sum(name.startswith("x_") for name in values(sent(browser, {}, do="more"))) > before


def test_a_coupling_that_was_not_there(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    address = reverse("setups:coupling", args=["big-glider"]) + "?control=power&channel=4&phase="
    response = sent(sign_in(owner), {"travel_0": "0", "travel_1": "2", "travel_2": "5"}, address)
    assert response.status_code == 200
    assert stations(draft_of(owner), "power", 4) == [[-100, 0], [0, 2], [100, 5]]


def test_removing_it(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    response = sent(sign_in(owner), {}, do="remove")
    assert stations(draft_of(owner), "lever", 6) == []
    assert "The coupling is out of the draft." in words(response)


def test_a_device_has_no_throw(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    address = reverse("setups:coupling", args=["big-glider"]) + "?control=power&channel=3&phase="
    browser = sign_in(owner)
    assert "or throw" not in words(browser.get(address))
    assert "Motor 100 % on" in words(browser.get(address))
    response = sent(browser, {"want_0": "5 up"}, address)
    assert "This channel moves no surface" in words(response)


class TestRecording:
    def test_with_a_reason(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        response = sent(sign_in(owner), {"travel_0": "60", "reason": "Less brake: it stopped short"}, do="record")
        second = Revision.objects.get(number=2)
        assert stations(second.setup, "lever", 6) == [[-100, 60], [100, 0]]
        assert (second.reason, second.origin, second.author_id) == (
            "Less brake: it stopped short",
            "edit",
            owner.author_key,
        )
        assert Draft.objects.count() == 0
        assert "Revision 2 is recorded." in words(response)

    def test_without_a_reason(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        response = sent(sign_in(owner), {"travel_0": "60", "reason": "  "}, do="record")
        assert "Give a reason" in error_at(response, "reason")
        assert values(response)["travel_0"] == "60"
        assert Revision.objects.count() == 1
        assert stations(draft_of(owner), "lever", 6) == [[-100, 60], [100, 0]]

    def test_a_reason_that_cannot_stay(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        response = sent(sign_in(owner), {"travel_0": "60", "reason": "up\u202edown"}, do="record")
        assert "control character" in error_at(response, "reason")

    def test_nothing_changed(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        response = sent(sign_in(owner), {"reason": "no change at all"}, do="record")
        assert "Nothing differs from revision 1" in words(response)
        assert Revision.objects.count() == 1

    def test_from_the_draft_page(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        sent(browser, {"travel_0": "60"})
        address = reverse("setups:draft", args=["big-glider"])
        page = words(browser.get(address))
        assert "95 % at −100, 0 % at +100 60 % at −100, 0 % at +100" in page
        browser.post(address, {"do": "record", "reason": "Less brake", "version": "2"})
        assert Revision.objects.get(number=2).reason == "Less brake"

    def test_throwing_it_away(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        sent(browser, {"travel_0": "60"})
        response = browser.post(reverse("setups:discard", args=["big-glider"]), follow=True)
        assert "Your draft is thrown away: " in words(response)
        assert Draft.objects.count() == 0


class TestTwoAtOnce:
    """Someone else, or another page of one's own, saves while a page is open."""

    def theirs(self, revision: Revision, helper: Member, channel: int, percent: float) -> Revision:
        data = revision.setup.data()
        for one in data["couplings"]:
            if (one["control"], one["channel"]) == ("lever", channel):
                one["stations"] = [[-100, percent], [100, 0]]
        setup = Setup.from_text(json.dumps(data))
        return record(user=helper, airframe=revision.airframe, setup=setup, base=revision, reason="by another").revision

    def test_other_things_are_joined(self, glider: Revision, owner: Member, helper: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        form = values(browser.get(FLAP))
        self.theirs(glider, helper, 7, 50)
        response = browser.post(FLAP, {**form, "travel_0": "60", "reason": "mine", "do": "record"}, follow=True)
        assert "It was joined with what was recorded meanwhile" in words(response)
        third = Revision.objects.get(number=3).setup
        assert stations(third, "lever", 6) == [[-100, 60], [100, 0]]
        assert stations(third, "lever", 7) == [[-100, 50], [100, 0]]

    def test_the_same_thing_is_a_choice(self, glider: Revision, owner: Member, helper: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        form = values(browser.get(FLAP))
        self.theirs(glider, helper, 6, 50)
        response = browser.post(FLAP, {**form, "travel_0": "60", "reason": "mine", "do": "record"})
        assert response.status_code == 409
        page = words(response)
        assert "by another" in page
        assert "60 % at −100" in page
        assert "50 % at −100" in page
        assert "Both sides changed this, to different values<br>It was " in response.content.decode()
        choices = page[page.index("Mine:") : page.index("Go on with these")]
        mine, other = choices.split("Revision 2:")
        for told, setup in ((mine, draft_of(owner)), (other, Revision.objects.get(number=2).setup)):
            throw = float(Rig(setup).at({"lever": -100}).throw_mm["right_flap"])
            assert f"→ {throw_words(throw, 'flap')}" in told
        assert stations(draft_of(owner), "lever", 6) == [[-100, 60], [100, 0]]
        assert Revision.objects.count() == 2

    @pytest.mark.parametrize(("side", "percent"), [("ours", 60), ("theirs", 50)])
    def test_choosing(
        self, glider: Revision, owner: Member, helper: Member, sign_in: SignIn, side: str, percent: float
    ) -> None:
        browser = sign_in(owner)
        form = values(browser.get(FLAP))
        self.theirs(glider, helper, 6, 50)
        browser.post(FLAP, {**form, "travel_0": "60", "travel_1": "3", "reason": "mine", "do": "record"})
        path = "couplings/lever/6/*/stations"
        settled = browser.post(
            reverse("setups:settle", args=["big-glider"]), {f"choose:{path}": side, "reason": "mine"}, follow=True
        )
        assert "Your draft now stands on revision 2" in words(settled)
        assert values(settled)["reason"] == "mine"
        assert stations(draft_of(owner), "lever", 6)[0] == [-100, percent]

    def test_choosing_nothing(self, glider: Revision, owner: Member, helper: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        form = values(browser.get(FLAP))
        self.theirs(glider, helper, 6, 50)
        browser.post(FLAP, {**form, "travel_0": "60", "reason": "mine", "do": "record"})
        response = browser.post(reverse("setups:settle", args=["big-glider"]), {"reason": "mine"})
        assert response.status_code == 409
        assert Draft.objects.count() == 1

    def test_two_pages_of_ones_own(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        form = values(sent(browser, {"travel_0": "70"}))
        sent(browser, {"travel_0": "80"})
        response = browser.post(FLAP, {**form, "travel_0": "60", "do": "work"})
        assert "Saved from another page meanwhile." in words(response)
        assert values(response)["travel_0"] == "60"
        assert stations(draft_of(owner), "lever", 6)[0] == [-100, 80]
        again = browser.post(FLAP, {**values(response), "do": "work"}, follow=True)
        assert stations(draft_of(owner), "lever", 6)[0] == [-100, 60]
        assert again.status_code == 200

    def test_a_draft_that_was_recorded_from_another_page(
        self, glider: Revision, owner: Member, sign_in: SignIn
    ) -> None:
        browser = sign_in(owner)
        form = values(sent(browser, {"travel_0": "70"}))
        sent(browser, {"travel_0": "70", "reason": "done"}, do="record")
        response = browser.post(FLAP, {**form, "travel_0": "60", "do": "work"}, follow=True)
        assert response.status_code == 200
        assert values(response)["travel_0"] == "60"


def test_a_draft_outlives_the_browser(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    sent(sign_in(owner), {"travel_0": "much", "travel_1": "7"})
    later = sign_in(owner).get(FLAP)
    assert values(later)["travel_0"] == "much"
    assert values(later)["travel_1"] == "7"
    assert "much" in words(sign_in(owner).get(reverse("setups:draft", args=["big-glider"])))
    assert "not complete" in words(sign_in(owner).get(reverse("setups:throws", args=["big-glider"])))


def test_the_matrix_leads_to_each_coupling(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    body = sign_in(owner).get(reverse("setups:throws", args=["big-glider"])).content.decode()
    assert "control=lever&amp;channel=6&amp;phase=" in body
    thermal = sign_in(owner).get(reverse("setups:throws", args=["big-glider"]) + "?phase=thermal").content.decode()
    assert "control=roll&amp;channel=6&amp;phase=thermal" in thermal
