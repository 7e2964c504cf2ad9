"""The throw matrix as one page: units, the way, the other side, rates, phases, refusals, two pages at once."""

import re
from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from hangar.members.models import Member
from hangar.pictures.words import plain, short
from hangar.setups.models import Draft, Revision
from hangar.setups.throw_units import read_figure
from mixing import Rig, Setup
from tests.factories import record_first
from tests.hangar.pages.conftest import Answer, SignIn, values, words

PAGE = reverse("setups:throws", args=["big-glider"])
ELEVATOR_UP = "t-pitch-1-elevator"
RIGHT_UP = "t-roll-1-right_aileron"
LEFT_UP = "t-roll-0-left_aileron"
TIED = {"tie-right_aileron": "1", "tie-right_flap": "1"}
RATE = {"key": "rate", "label": "Rate switch", "kind": "switch", "plus": "down", "rest": -100,
        "positions": [-100, 100], "uses": []}  # fmt: skip


def sent(browser: Client, changes: dict[str, str], *, phase: str = "", live: bool = False, tied: bool = True) -> Answer:
    """Send the page's form as it stands, with some boxes changed; `live` as the script does when a box is left."""
    form = values(browser.get(PAGE, {"phase": phase}))
    ties = TIED if tied else {}
    headers = {"HX-Request": "true"} if live else {}
    return browser.post(PAGE, {**form, **ties, **changes}, headers=headers, follow=True)


def draft_of(member: Member) -> Setup:
    return Draft.objects.get(member=member).setup


def throw(setup: Setup, surface: str, phase: str | None = None, **positions: float) -> float:
    return float(Rig(setup).at(dict(positions), phase=phase).throw_mm[surface])


def error_at(response: Answer, name: str) -> str:
    match = re.search(rf'id="{name}-error">(.*?)</p>', response.content.decode())
    assert match is not None, f"no error at {name}: {words(response)[:1500]}"
    return unescape(match[1])


@pytest.fixture
def rated(airframe: Any, glider_setup: Setup) -> Revision:
    """The glider with a rate switch on elevator and ailerons: 60 % when it is down."""
    data = glider_setup.data()
    data["controls"].append(RATE)
    for one in data["couplings"]:
        if (one["control"], one["channel"]) in (("pitch", 4), ("roll", 1), ("roll", 2)):
            one["fades"].append({"control": "rate", "stations": [[-100, 100], [100, 60]]})
    return record_first(airframe, Setup.model_validate(data))


def test_every_cell_says_what_mixing_computes(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    shown = values(sign_in(owner).get(PAGE))
    down = throw(glider.setup, "right_flap", lever=-100)
    assert shown["t-lever-0-right_flap"] == f"{plain(down)} mm down"
    up = throw(glider.setup, "right_aileron", roll=100)
    assert shown[RIGHT_UP] == f"{plain(abs(up))} mm up"
    assert shown["t-yaw-1-rudder"].endswith("mm right")
    assert shown["t-yaw-1-elevator"] == "0 mm"
    assert Draft.objects.count() == 0, "looking at a page begins no draft"


@pytest.mark.parametrize(
    ("unit", "typed", "mm", "shown"),
    [
        ("mm", "8 up", -8, "8.0 mm up"), ("mm", "7,5 mm down", 7.5, "7.5 mm down"), ("mm", "↑ 6", -6, "6.0 mm up"),
        ("mm", "−5", -5, "5.0 mm up"), ("mm", "+5", 5, "5.0 mm down"), ("mm", "9", -9, "9.0 mm up"),
        ("mm", "0", 0, "0 mm"), ("mm", "4 u", -4, "4.0 mm up"),
        ("deg", "10 up", -8.367, "10.0° up"), ("deg", "7.5°", -6.278, "7.5° up"), ("travel", "−50", -7, "−50 %"),
    ],
)  # fmt: skip
def test_typing(glider: Revision, owner: Member, sign_in: SignIn, unit: str, typed: str, mm: float, shown: str) -> None:
    """10° on a chord of 48 mm are 2 · 48 · sin 5° = 8.367 mm; the measured linkage gives 14 mm for 100 % up."""
    owner.throw_unit = unit
    owner.save()
    browser = sign_in(owner)
    sent(browser, {ELEVATOR_UP: typed})
    assert throw(draft_of(owner), "elevator", pitch=100) == pytest.approx(mm, abs=0.005)
    assert values(browser.get(PAGE))[ELEVATOR_UP] == shown


@pytest.mark.parametrize(
    ("typed", "role", "now", "value"),
    [
        ("12 left", "rudder", 0.0, 12), ("12 r", "rudder", 5.0, -12), ("12", "rudder", 5.0, 12),
        ("12", "rudder", -5.0, -12), ("12mm up", "flap", 3.0, -12), ("0 up", "flap", 3.0, 0),
        ("12", "flap", -0.4, -12), ("− 5", "flap", 1.0, -5),
    ],
)  # fmt: skip
def test_the_way(typed: str, role: str, now: float, value: float) -> None:
    assert read_figure(typed, role, "mm", now=now) == value


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("much", "“much” is not a throw; give one such as 12 up or 8 down."),
        ("12 left", "“12 left” does not say which way; give 12 up or 12 down."),
        ("−12 up", "“−12 up” does not say which way; give 12 up or 12 down."),
        ("", "Give a throw; 0 for none."),
        ("1 2 up", "“1 2 up” is not a throw"),
        ("1e3 up", "is not a throw"),
        ("12 up or so", "does not say which way"),
        ("30 up", "past its stop"),
    ],
)
def test_what_cannot_be_read_or_had_stays(
    glider: Revision, owner: Member, sign_in: SignIn, typed: str, told: str
) -> None:
    response = sent(sign_in(owner), {ELEVATOR_UP: typed, "t-yaw-1-rudder": "20 right"})
    assert told in error_at(response, ELEVATOR_UP)
    assert values(response)[ELEVATOR_UP] == typed
    setup = draft_of(owner)
    assert throw(setup, "rudder", yaw=100) == pytest.approx(-20, abs=0.01), "what could be had is kept"
    assert throw(setup, "elevator", pitch=100) == pytest.approx(throw(glider.setup, "elevator", pitch=100))


def test_a_way_is_asked_for_where_nothing_moves(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    for typed, told in (("3", "3"), ("0.5 in", "0.5 in"), ("2cm", "2 cm")):
        response = sent(sign_in(owner), {"t-yaw-1-elevator": typed})
        asked = f"“{typed}” does not say which way; give {told} up or {told} down."
        assert error_at(response, "t-yaw-1-elevator") == asked


def test_what_would_do_is_told(airframe: Any, owner: Member, sign_in: SignIn, glider_setup: Setup) -> None:
    data = glider_setup.data()
    for surface in data["surfaces"]:
        surface |= {"stop_up_deg": 60, "stop_down_deg": 60}
    record_first(airframe, Setup.model_validate(data))
    response = sent(sign_in(owner), {RIGHT_UP: "34 up"}, live=True)
    assert re.search(
        r"needs −1\d\d(\.\d)? % travel; channel 1 is held at −120 % \(900 µs\).*a \d+ mm (arm|horn) would do with",
        error_at(response, RIGHT_UP),
    )
    assert 'value="34 up"' in response.content.decode()
    assert Draft.objects.count() == 0


class TestTheOtherSide:
    def test_is_tied_where_the_two_mirror(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        body = sign_in(owner).get(PAGE).content.decode()
        assert re.search(r'name="tie-right_aileron"[^>]* checked', body)
        assert "Aileron left + right tied" in words(sign_in(owner).get(PAGE))

    def test_gets_the_same(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        response = sent(browser, {RIGHT_UP: "9 up"}, live=True)
        setup = draft_of(owner)
        assert throw(setup, "right_aileron", roll=100) == pytest.approx(-9, abs=0.02)
        assert throw(setup, "left_aileron", roll=-100) == pytest.approx(-9, abs=0.02)
        # The other end of both is as it was, and so is neutral.
        before = throw(glider.setup, "left_aileron", roll=100)
        assert throw(setup, "left_aileron", roll=100) == pytest.approx(before, abs=0.02)
        assert throw(setup, "left_aileron") == pytest.approx(0, abs=0.02)
        assert f'id="{LEFT_UP}" value="9.0 mm up"' in response.content.decode()

    def test_a_brake_moves_both_alike(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        sent(sign_in(owner), {"t-lever-0-left_flap": "30 down"})
        setup = draft_of(owner)
        assert throw(setup, "right_flap", lever=-100) == pytest.approx(30, abs=0.05)

    def test_untied(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        sent(browser, {RIGHT_UP: "9 up"}, tied=False)
        setup = draft_of(owner)
        assert throw(setup, "right_aileron", roll=100) == pytest.approx(-9, abs=0.02)
        before = throw(glider.setup, "left_aileron", roll=-100)
        assert throw(setup, "left_aileron", roll=-100) == pytest.approx(before)
        assert not re.search(r'name="tie-right_aileron"[^>]* checked', browser.get(PAGE).content.decode())

    def test_that_cannot_follow_refuses_both(self, airframe: Any, owner: Member, sign_in: SignIn,
                                             glider_setup: Setup) -> None:  # fmt: skip
        data = glider_setup.data()
        next(s for s in data["surfaces"] if s["key"] == "left_aileron")["stop_up_deg"] = 14
        record_first(airframe, Setup.model_validate(data))
        response = sent(sign_in(owner), {RIGHT_UP: "12 up"})
        assert "Left aileron 12 mm up needs" in error_at(response, RIGHT_UP)
        assert "untie the pair to have it on one side only" in error_at(response, RIGHT_UP)
        assert Draft.objects.count() == 0

    def test_two_throws_that_contradict(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        response = sent(sign_in(owner), {RIGHT_UP: "9 up", LEFT_UP: "7 up"})
        told = "7.0 mm up now: another throw that you typed moves it too" if throw(
            draft_of(owner), "right_aileron", roll=100) > -8 else "9.0 mm up now"  # fmt: skip
        assert told in words(response)


class TestRates:
    LOW = "t-pitch-1-rate-1-elevator"

    def test_are_rows_of_their_own(self, rated: Revision, owner: Member, sign_in: SignIn) -> None:
        response = sign_in(owner).get(PAGE)
        shown = values(response)
        high, low = (throw(rated.setup, "elevator", pitch=100, rate=rate) for rate in (-100, 100))
        assert (shown[ELEVATOR_UP], shown[self.LOW]) == (f"{plain(-high)} mm up", f"{plain(-low)} mm up")
        assert "Elevator stick back Rate switch up" in words(response)
        assert "Elevator stick back Rate switch down" in words(response)
        assert "t-yaw-1-rate-1-rudder" not in shown, "the rudder stick has no rate"
        assert "t-pitch-1-rate-1-rudder" not in shown, "and nothing to type where the switch changes nothing"

    def test_the_low_rate(self, rated: Revision, owner: Member, sign_in: SignIn) -> None:
        sent(sign_in(owner), {self.LOW: "6 up"})
        setup = draft_of(owner)
        assert throw(setup, "elevator", pitch=100, rate=100) == pytest.approx(-6, abs=0.01)
        assert throw(setup, "elevator", pitch=100) == throw(rated.setup, "elevator", pitch=100)

    def test_the_high_rate(self, rated: Revision, owner: Member, sign_in: SignIn) -> None:
        sent(sign_in(owner), {ELEVATOR_UP: "9 up"})
        setup = draft_of(owner)
        assert throw(setup, "elevator", pitch=100) == pytest.approx(-9, abs=0.01)
        assert float(Rig(setup).at({"pitch": 100, "rate": 100}).travel_pct[4]) == pytest.approx(
            0.6 * float(Rig(setup).at({"pitch": 100}).travel_pct[4])
        )

    def test_both_sides(self, rated: Revision, owner: Member, sign_in: SignIn) -> None:
        sent(sign_in(owner), {"t-roll-1-rate-1-right_aileron": "5 up"})
        setup = draft_of(owner)
        assert throw(setup, "right_aileron", roll=100, rate=100) == pytest.approx(-5, abs=0.02)
        assert throw(setup, "left_aileron", roll=-100, rate=100) == pytest.approx(-5, abs=0.02)

    def test_more_than_all(self, rated: Revision, owner: Member, sign_in: SignIn) -> None:
        response = sent(sign_in(owner), {self.LOW: "13 up"})
        assert "lets through 0 to 100 % of the response" in error_at(response, self.LOW)
        assert "raise the throw at the other position of Rate switch first" in error_at(response, self.LOW)


class TestPhases:
    def test_what_others_add_is_counted_in(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        sent(sign_in(owner), {"t-roll-1-right_flap": "5 up"}, phase="thermal")
        assert throw(draft_of(owner), "right_flap", "thermal", roll=100) == pytest.approx(-5, abs=0.01)

    def test_one_phase_alone(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        sent(sign_in(owner), {ELEVATOR_UP: "6 up", "own": "1"}, phase="thermal")
        setup = draft_of(owner)
        assert throw(setup, "elevator", "thermal", pitch=100) == pytest.approx(-6, abs=0.01)
        assert throw(setup, "elevator", "cruise", pitch=100) == throw(glider.setup, "elevator", "cruise", pitch=100)

    def test_where_it_stands(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        sent(sign_in(owner), {"t-flightphase-0-right_flap": "4 down"})
        setup = draft_of(owner)
        assert throw(setup, "right_flap", "thermal") == pytest.approx(4, abs=0.01)
        assert throw(setup, "left_flap", "thermal") == pytest.approx(4, abs=0.01)
        assert throw(setup, "right_flap", "cruise") == pytest.approx(0, abs=1e-9)

    def test_what_a_phase_changes(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        page = words(sign_in(owner).get(reverse("setups:phase_changes", args=["big-glider"])))
        stands = plain(throw(glider.setup, "right_flap", "thermal"))
        assert f"Right flap channel 6: +8 % ↓ {stands} mm down" in page
        assert "Aileron stick → Right flap 12 % at −100, −12 % at +100 in every other phase: nothing" in page
        both = [plain(throw(glider.setup, "left_aileron", phase, roll=-100)).lstrip("−")
                for phase in ("cruise", "thermal")]  # fmt: skip
        assert f"Left aileron ↑ {both[0]} mm up → ↑ {both[1]} mm up" in page
        assert "Elevator stick back" not in page, "what the phase does not change is not there"


def test_the_unit_is_remembered(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    response = sent(browser, {"to_unit": "travel", ELEVATOR_UP: "7 up"})
    owner.refresh_from_db()
    assert owner.throw_unit == "travel"
    assert throw(draft_of(owner), "elevator", pitch=100) == pytest.approx(-7, abs=0.01)
    travel = float(Rig(draft_of(owner)).at({"pitch": 100}).travel_pct[4])
    assert values(response)[ELEVATOR_UP] == f"{short(travel)} %"


def test_a_live_answer_holds_what_changed(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    response = sent(sign_in(owner), {RIGHT_UP: "5 up"}, live=True, tied=False)
    body = response.content.decode()
    assert "<html" not in body
    assert response["HX-Trigger"] == "kept"
    assert "HX-Request" in response["Vary"]
    assert "Kept in your draft" in body
    assert 'name="version" value="2"' in body
    assert re.search(r"New in this draft.*Caution.*<details", body, flags=re.DOTALL), "one side alone is uneven"


def test_saving_untouched_changes_nothing(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    for phase in ("cruise", "thermal"):
        for unit in ("mm", "deg", "travel"):
            owner.throw_unit = unit
            owner.save()
            sent(sign_in(owner), {}, phase=phase)
    assert Draft.objects.count() == 0


def test_a_control_that_moved_nothing(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    sent(sign_in(owner), {"t-yaw-1-elevator": "3 down"})
    setup = draft_of(owner)
    assert throw(setup, "elevator", yaw=100) == pytest.approx(3, abs=0.01)
    assert throw(setup, "elevator", yaw=-100) == 0


class TestTwoPagesAtOnce:
    def test_other_cells_are_both_kept(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        old = values(browser.get(PAGE))
        sent(browser, {ELEVATOR_UP: "9 up"})
        browser.post(PAGE, {**old, "t-yaw-1-rudder": "20 right"})
        setup = draft_of(owner)
        assert throw(setup, "elevator", pitch=100) == pytest.approx(-9, abs=0.01)
        assert throw(setup, "rudder", yaw=100) == pytest.approx(-20, abs=0.01)

    def test_the_same_cell_is_told_and_can_be_put_in_its_place(
        self, glider: Revision, owner: Member, sign_in: SignIn
    ) -> None:
        browser = sign_in(owner)
        old = values(browser.get(PAGE))
        sent(browser, {ELEVATOR_UP: "9 up"})
        response = browser.post(PAGE, {**old, ELEVATOR_UP: "7 up"})
        assert "Another page of yours made this 9.0 mm up meanwhile" in error_at(response, ELEVATOR_UP)
        assert throw(draft_of(owner), "elevator", pitch=100) == pytest.approx(-9, abs=0.01)
        browser.post(PAGE, values(response))
        assert throw(draft_of(owner), "elevator", pitch=100) == pytest.approx(-7, abs=0.01)

    def test_sent_again_after_a_lost_answer(self, glider: Revision, owner: Member, sign_in: SignIn) -> None:
        browser = sign_in(owner)
        form = {**values(browser.get(PAGE)), ELEVATOR_UP: "9.0 mm up"}
        for _ in range(2):
            response = browser.post(PAGE, form, headers={"HX-Request": "true"})
            assert f'id="{ELEVATOR_UP}-error"' not in response.content.decode()
        assert Draft.objects.get().version == 2, "the second time changed nothing"


@pytest.mark.parametrize("shown", ["{", "[]", '{"t-pitch-1-elevator": 5}', "null", ""])
def test_junk_is_no_error(glider: Revision, owner: Member, sign_in: SignIn, shown: str) -> None:
    response = sent(sign_in(owner), {"shown": shown, "unit": "inch", "phase": "nowhere", "version": "x", "base": "1"})
    assert response.status_code == 200


def test_the_largest_setup_can_be_sent(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    response = sent(sign_in(owner), {f"t-{n}": "0 mm" for n in range(40 * 80)} | {ELEVATOR_UP: "9 up"})
    assert response.status_code == 200
    assert throw(draft_of(owner), "elevator", pitch=100) == pytest.approx(-9, abs=0.01)


def test_strangers_and_readers(glider: Revision, owner: Member, reader: Member, sign_in: SignIn) -> None:
    for address in (PAGE, reverse("setups:phase_changes", args=["big-glider"])):
        assert Client().get(address).status_code == 302
        assert sign_in(reader).get(address).status_code == 403
        assert sign_in(owner).get(address.replace("big-glider", "no-such")).status_code == 404
    assert sign_in(reader).post(PAGE, {ELEVATOR_UP: "9 up"}).status_code == 403
    assert Draft.objects.count() == 0


def test_what_a_motor_does_leads_to_its_response(
    airframe: Any, glider_setup: Setup, owner: Member, sign_in: SignIn
) -> None:
    data = glider_setup.data()
    data["controls"].append({**RATE, "key": "arm", "label": "Arming switch", "plus": "armed"})
    motor = next(one for one in data["couplings"] if one["channel"] == 3)
    motor["fades"] = [{"control": "arm", "stations": [[-100, 0], [100, 100]]}]
    record_first(airframe, Setup.model_validate(data))
    response = sign_in(owner).get(PAGE)
    links = re.findall(r'<td data-label="Motor"[^>]*>(.*?)</td>', response.content.decode(), flags=re.DOTALL)
    bare = [link for link in links if "/draft/throws/coupling/?" not in link]
    assert len(bare) == 3, "only what the phase switch does has no response"
    assert "Response of Motor at Left lever back" in words(response)
    power = [link for link in links if "control=power" in link]
    assert ["held off: Arming switch" in link for link in power] == [False, True], "at its rest it is off by itself"
    rows = re.findall(r"<tr[^>]*><th[^>]*>Right slider.*?</tr>", response.content.decode(), flags=re.DOTALL)
    assert not any('<tr class=" idle"' in row or "device idle" in row for row in rows), "a phone shows them, too"
    page = words(sign_in(owner).get(reverse("flights:airframe", args=["big-glider"])))
    assert page.count("off held off: Arming switch") == 1
