"""Channels, surfaces, controls, devices, phases, balance, signal and remarks, each through its form, on the draft."""

import json
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from hangar.languages.speaking import speaking
from hangar.members.models import Member
from hangar.setups.models import Draft, Revision
from hangar.setups.operations import record
from hangar.setups.part_forms import PartForm
from hangar.setups.part_views import SECTIONS
from mixing import Setup
from tests.hangar.pages.conftest import Answer, SignIn, error_at, speak, values, words


def page(section: str, index: int | str = "") -> str:
    if index == "":
        return reverse("setups:single", args=["big-glider", section])
    if index == "new":
        return reverse("setups:new_part", args=["big-glider", section])
    return reverse("setups:part", args=["big-glider", section, index])


def shown(response: Answer) -> dict[str, Any]:
    """What the page's own form would send if nothing were touched: boxes, choices and ticks."""
    form: PartForm = response.context["form"]
    desk = response.context["desk"]
    with speaking(desk.member.language or "en", desk.member.length_unit):
        fields = {name: form[name].value() for name in form.fields}
    sent = {form.add_prefix(name): value for name, value in fields.items() if value not in (None, False)}
    return {**sent, "version": desk.version, **({} if desk.draft else {"base": desk.base.number})}


def send(browser: Client, address: str, changes: dict[str, Any], *, follow: bool = True) -> Answer:
    response: Answer = browser.post(address, {**shown(browser.get(address)), **changes}, follow=follow)
    return response


def draft(member: Member) -> dict[str, Any]:
    data: dict[str, Any] = json.loads(Draft.objects.get(member=member).text)
    return data


@pytest.fixture
def awkward(glider: Revision, owner: Member) -> Revision:
    """The same model with figures that a form could round, and a switch that acts fully in its middle."""
    data = glider.setup.data()
    data["surfaces"][2]["linkage"]["points"] = [[1000.5, -14.2571], [1500, 0], [2000, 13.0049]]
    data["surfaces"][0]["linkage"]["arm_neutral_deg"] = -3.14159
    data["controls"][5]["uses"].append({"purpose": "camber", "full": 0})
    data["controls"][3]["rest"] = 33.3333
    data["channels"][4]["failsafe"] = -12.3456
    data["phases"][1]["stance"] = {"1": 5.0001, "6": -8.125}
    data["balance"]["loads"][0]["cg_mm"] = 98.76543
    data["remarks"] = "  two spaces,\n\nand lines  "
    setup = Setup.from_text(json.dumps(data))
    return record(user=owner, airframe=glider.airframe, setup=setup, base=glider, reason="awkward").revision


@pytest.mark.parametrize("section", [*SECTIONS])
@pytest.mark.parametrize(("language", "unit"), [("en", "mm"), ("de", "mm"), ("de", "inch")])
def test_saving_untouched_changes_nothing(
    awkward: Revision, owner: Member, sign_in: SignIn, section: str, language: str, unit: str
) -> None:
    """Whatever a form shows it must give back exactly, or a member loses what they never touched."""
    speak(owner, language, unit)
    browser = sign_in(owner)
    rows = awkward.setup.data()[section]
    places: list[int | str] = list(range(len(rows))) if section not in ("balance", "signal", "remarks") else [""]
    for place in places:
        response = send(browser, page(section, place), {}, follow=False)
        assert response.status_code == 302
    assert Draft.objects.get(member=owner).setup.text() == awkward.document.text


CHANNEL = {"number": "8", "label": "Spare", "centre_us": "1500", "low_us": "1000", "high_us": "2000", "failsafe": ""}
SURFACE = {
    "label": "Left spoiler", "role": "spoiler", "side": "left", "pair": "spoiler", "channel": "8", "chord_mm": "25",
    "stop_up_deg": "60", "stop_down_deg": "0", "kind": "measured", "points": "1000 22 up\n1500 0\n2000 0,5 down",
}  # fmt: skip


class TestAdding:
    def test_a_channel(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        send(sign_in(owner), page("channels", "new"), {**CHANNEL, "failsafe": "travel", "failsafe_pct": "−20"})
        assert draft(owner)["channels"][7] == {
            "number": 8, "label": "Spare", "reversed": False, "centre_us": 1500, "low_us": 1000, "high_us": 2000,
            "failsafe": -20,
        }  # fmt: skip

    @pytest.mark.parametrize(
        ("kind", "fields", "linkage"),
        [
            ("measured", {}, {"kind": "measured", "points": [[1000, -22], [1500, 0], [2000, 0.5]]}),
            (
                "unmeasured", {"deg_per_1000_us": "70", "assumed_way": "raises"},
                {"kind": "unmeasured", "deg_per_1000_us": 70, "longer_pulse": "raises"},
            ),
            (
                "four_bar",
                {"arm_mm": "11", "horn_mm": "13,5", "pivot_d_mm": "80", "pivot_e_mm": "4", "arm_neutral_deg": "−5",
                 "horn_neutral_deg": "0", "neutral_us": "1500", "servo_deg_per_1000_us": "90", "longer_pulse": "pulls",
                 "push": "raises"},
                {"kind": "four_bar", "arm_mm": 11, "horn_mm": 13.5, "pivot_mm": [80, 4], "arm_neutral_deg": -5,
                 "horn_neutral_deg": 0, "neutral_us": 1500, "servo_deg_per_1000_us": 90, "longer_pulse": "pulls",
                 "push": "raises"},
            ),
        ],
    )  # fmt: skip
    def test_a_surface_with_each_linkage(
        self, glider: Revision, owner: Member, sign_in: SignIn, kind: str, fields: dict[str, str], linkage: Any
    ) -> None:
        browser = sign_in(owner)
        send(browser, page("channels", "new"), CHANNEL)
        send(browser, page("surfaces", "new"), {**SURFACE, **fields, "kind": kind})
        added = draft(owner)["surfaces"][-1]
        assert added["key"] == "left_spoiler"
        assert added["linkage"] == linkage
        assert (added["chord_mm"], added["channel"], added["pair"]) == (25, 8, "spoiler")
        assert Draft.objects.get(member=owner).setup.surface("left_spoiler").label == "Left spoiler"

    def test_a_switch_and_what_it_is_for(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        fields = {"label": "Brake switch", "kind": "switch", "plus": "up", "rest": "−100", "positions": "−100, 0, 100",
                  "purpose_0": "brake", "full_0": "100", "purpose_1": "camber", "full_1": "-100"}  # fmt: skip
        send(sign_in(owner), page("controls", "new"), fields)
        assert draft(owner)["controls"][-1] == {
            "key": "brake_switch", "label": "Brake switch", "kind": "switch", "plus": "up", "rest": -100,
            "positions": [-100, 0, 100],
            "uses": [{"purpose": "brake", "full": 100}, {"purpose": "camber", "full": -100}],
        }  # fmt: skip

    def test_a_device(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        send(browser, page("channels", "new"), CHANNEL)
        fields = {"label": "Tow hook", "kind": "release", "channel": "8", "off_pct": "−100", "full_pct": "100"}
        send(browser, page("devices", "new"), fields)
        assert draft(owner)["devices"][-1]["key"] == "tow_hook"

    def test_a_phase(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        fields = {"label": "Landing", "control": "flightphase", "position": "100", "transition_s": "0,5",
                  "stance_6": "20", "stance_7": "20", "stance_1": "0"}  # fmt: skip
        send(sign_in(owner), page("phases", "new"), fields)
        assert draft(owner)["phases"][-1] == {
            "key": "landing", "label": "Landing", "control": "flightphase", "position": 100, "transition_s": 0.5,
            "stance": {"6": 20, "7": 20},
        }  # fmt: skip

    def test_two_of_one_name_get_two_keys(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        send(sign_in(owner), page("controls", "new"), {"label": "Left lever!", "plus": "up"})
        send(sign_in(owner), page("controls", "new"), {"label": "Left lever?", "plus": "up"})
        assert [one["key"] for one in draft(owner)["controls"]][-2:] == ["left_lever", "left_lever_2"]


class TestChanging:
    def test_a_key_stays(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        send(sign_in(owner), page("surfaces", 2), {"label": "Stabiliser"})
        assert (draft(owner)["surfaces"][2]["key"], draft(owner)["surfaces"][2]["label"]) == ("elevator", "Stabiliser")

    def test_the_loads(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        changes = {"label_1": "", "mass_1": "", "cg_1": "", "label_2": "Ballast", "mass_2": "2900", "cg_2": "97"}
        send(sign_in(owner), page("balance"), changes)
        assert [(load["key"], load["label"]) for load in draft(owner)["balance"]["loads"]] == [
            ("small", "Small battery"), ("ballast", "Ballast"),
        ]  # fmt: skip

    def test_the_signal(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        send(sign_in(owner), page("signal"), {"step_pct": "0,5", "curve_free_x": "on"})
        assert draft(owner)["signal"]["step_pct"] == 0.5
        assert draft(owner)["signal"]["curve_free_x"] is True

    def test_the_remarks(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        send(sign_in(owner), page("remarks"), {"remarks": "Two lines.\nOf remarks."})
        assert draft(owner)["remarks"] == "Two lines.\nOf remarks."

    def test_a_channel_number_moves_it_in_the_list(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        send(sign_in(owner), page("channels", 0), {"number": "9"})
        assert [one["number"] for one in draft(owner)["channels"]] == [2, 3, 4, 5, 6, 7, 9]


class TestWhatIsWrong:
    @pytest.mark.parametrize(
        ("section", "place", "field", "typed", "told"),
        [
            ("channels", 0, "low_us", "2200", "This is 2200; give less than the high limit, 2100."),
            ("channels", 0, "centre_us", "wide", "“wide” is not a number"),
            ("channels", 0, "number", "99", "99 is too large; give at most 64."),
            ("channels", 0, "label", "", "Nothing is written here; write something."),
            ("channels", 0, "low_us", "", "No number is given here; give one."),
            ("channels", 1, "number", "1", "is there already"),
            ("surfaces", 2, "chord_mm", "0", "This is 0; give above 0."),
            ("surfaces", 2, "points", "1000 14", "Line 1: “14” does not say which way; give 14 up or 14 down."),
            ("surfaces", 2, "points", "1000 14 up", "This holds 1; give at least 2."),
            ("surfaces", 2, "points", "1000 9 up\n1500 9 up", "must rise or fall all the way"),
            ("surfaces", 3, "points", "1000 14 up", "give 14 right or 14 left"),
            ("surfaces", 0, "arm_mm", "", "This is needed for a linkage of this kind."),
            ("surfaces", 0, "arm_neutral_deg", "95", "This is 95; give at most 90."),
            ("controls", 5, "positions", "", "This is missing; a switch needs its positions"),
            ("controls", 5, "positions", "−100, up", "“up” is not a number"),
            ("controls", 5, "rest", "50", "This is 50; give one of the positions −100, 0, 100."),
            ("controls", 3, "purpose_1", "brake", "is there already"),
            ("devices", 0, "full_pct", "−100", "the same as its travel at off"),
            ("devices", 0, "channel", "6", "which moves a surface"),
            ("phases", 1, "position", "50", "the switch has the positions −100, 0, 100"),
            ("phases", 1, "stance_6", "900", "This is 900; give at most 400."),
            ("balance", "", "cg_low_mm", "120", "give at most the rear limit, which is 102"),
            ("balance", "", "mass_0", "", "give a number"),
            ("signal", "", "limit_pct", "0", "give above 0"),
        ],
    )
    def test_it_is_told_at_its_field_and_kept(
        self, glider: Revision, owner: Member, sign_in: SignIn,
        section: str, place: int | str, field: str, typed: str, told: str,
    ) -> None:  # fmt: skip
        browser = sign_in(owner)
        response = send(browser, page(section, place), {field: typed})
        assert response.status_code == 200
        assert told in error_at(response, field)
        assert str(response.context["form"][field].value()) == typed
        assert "What you typed is kept in your draft." in words(response)
        again = sign_in(owner).get(response.request["PATH_INFO"])
        assert str(again.context["form"][field].value() or "") == typed

    def test_a_new_part_that_is_wrong_is_not_added_twice(
        self, glider: Revision, owner: Member, sign_in: SignIn
    ) -> None:
        browser = sign_in(owner)
        response = send(browser, page("channels", "new"), {**CHANNEL, "low_us": "wide"})
        assert "“wide” is not a number" in error_at(response, "low_us")
        again = browser.post(response.request["PATH_INFO"], {**shown(response), "low_us": "1000"}, follow=True)
        assert again.status_code == 200
        assert [one["number"] for one in draft(owner)["channels"]] == [1, 2, 3, 4, 5, 6, 7, 8]

    def test_a_linkage_that_cannot_work(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        """Arm and horn both in line with the rod: the horn stands at a dead point."""
        changes = {"pivot_e_mm": "0", "arm_neutral_deg": "90", "horn_neutral_deg": "90"}
        response = send(sign_in(owner), page("surfaces", 0), changes)
        assert "dead" in error_at(response, "arm_mm")
        assert values(response)["horn_neutral_deg"] == "90"

    def test_a_travel_that_was_forgotten(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        response = send(sign_in(owner), page("channels", 0), {"failsafe": "travel", "failsafe_pct": ""})
        assert error_at(response, "failsafe_pct") == "Give the travel to which it goes, in %."
        assert draft(owner)["channels"][0]["failsafe"] == "travel", "it must not become a failsafe that was never set"

    def test_the_draft_says_where(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        send(browser, page("surfaces", 2), {"chord_mm": "0"})
        response = browser.get(reverse("setups:draft", args=["big-glider"]))
        assert "Elevator, chord from the hinge line is 0; give above 0" in words(response)
        assert page("surfaces", 2) in response.content.decode()
        assert "It can be recorded once nothing is missing." in words(response)
        recorded = browser.post(reverse("setups:draft", args=["big-glider"]), {"do": "record", "reason": "so be it"})
        assert recorded.status_code == 200
        assert Revision.objects.count() == 1


def test_removing_what_others_need(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    address = reverse("setups:remove_part", args=["big-glider", "channels", 5])
    response = browser.post(address, {"base": "1", "version": "0"}, follow=True)
    assert "Right flap is out of the draft." in words(response)
    told = words(browser.get(reverse("setups:draft", args=["big-glider"])))
    assert "Right flap, channel is 6; there is no such channel" in told
    assert "Aileron stick, channel is 6; there is no such channel" in told
    assert "[" not in told.partition("Still missing or wrong")[2].partition("Sections")[0]
    assert browser.post(reverse("setups:remove_part", args=["big-glider", "channels", 50])).status_code == 404


def test_a_channel_that_drives_nothing_goes_with_its_couplings(
    glider: Revision, owner: Member, sign_in: SignIn
) -> None:
    browser = sign_in(owner)
    index, flap = next((n, one) for n, one in enumerate(glider.setup.surfaces) if one.key == "right_flap")
    address = reverse("setups:remove_part", args=["big-glider", "surfaces", index])
    browser.post(address, {"base": "1", "version": "0"})
    place = next(n for n, one in enumerate(draft(owner)["channels"]) if one["number"] == flap.channel)
    page = browser.get(reverse("setups:parts", args=["big-glider", "channels"]))
    browser.post(reverse("setups:remove_part", args=["big-glider", "channels", place]), values(page))
    left = draft(owner)
    assert flap.channel not in {one["number"] for one in left["channels"]}
    assert flap.channel not in {one["channel"] for one in left["couplings"]}
    assert str(flap.channel) not in {number for phase in left["phases"] for number in phase["stance"]}
    assert flap.label not in {one.label for one in Setup.from_text(json.dumps(left)).surfaces}


def test_two_pages_of_ones_own(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    old = shown(browser.get(page("surfaces", 2)))
    send(browser, page("surfaces", 2), {"chord_mm": "50"})
    send(browser, page("surfaces", 2), {"chord_mm": "51"})
    response = browser.post(page("surfaces", 2), {**old, "base": "", "version": "1", "chord_mm": "60"})
    assert "Saved from another page meanwhile." in words(response)
    assert values(response)["chord_mm"] == "60"
    assert draft(owner)["surfaces"][2]["chord_mm"] == 51
    browser.post(page("surfaces", 2), {**old, "base": "", "version": values(response)["version"], "chord_mm": "60"})
    assert draft(owner)["surfaces"][2]["chord_mm"] == 60


def test_each_member_has_a_draft_of_their_own(glider: Revision, owner: Member, helper: Member, sign_in: SignIn) -> None:
    send(sign_in(owner), page("remarks"), {"remarks": "owner's"})
    send(sign_in(helper), page("remarks"), {"remarks": "helper's"})
    assert (draft(owner)["remarks"], draft(helper)["remarks"]) == ("owner's", "helper's")


def test_a_setup_by_hand_is_a_setup(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    assert isinstance(Setup.from_text(json.dumps(glider.setup.data())), Setup)
    for key in ("channels", "surfaces", "controls", "devices", "phases"):
        response = sign_in(owner).get(reverse("setups:parts", args=["big-glider", key]))
        for part in glider.setup.data()[key]:
            assert part["label"] in words(response)
    for key in ("balance", "signal", "remarks"):
        assert sign_in(owner).get(reverse("setups:parts", args=["big-glider", key])).status_code == 302
