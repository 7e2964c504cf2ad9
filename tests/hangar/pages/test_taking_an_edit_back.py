"""Every edit of a draft can be taken back, and done again; never over another page, never another member's."""

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.setups import steps
from hangar.setups.drafts import do_again, save_draft, settle, start_draft, take_back
from hangar.setups.errors import DraftMoved, HistoryError
from hangar.setups.models import Draft, DraftStep, Revision
from hangar.setups.operations import record
from mixing import Rig, Setup
from tests.hangar.pages.conftest import SignIn, values, words

PAGE = reverse("setups:throws", args=["big-glider"])
BACK = reverse("setups:take_back", args=["big-glider"])
AGAIN = reverse("setups:do_again", args=["big-glider"])
DRAFT = reverse("setups:draft", args=["big-glider"])
ELEVATOR_UP = "t-pitch-1-elevator"


def up(setup: Setup) -> float:
    return round(-float(Rig(setup).at({"pitch": 100}).throw_mm["elevator"]), 1)


def test_from_the_matrix(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    assert "Take back" not in words(browser.get(PAGE))
    for typed in ("9 up", "7 up"):
        browser.post(PAGE, {**values(browser.get(PAGE)), ELEVATOR_UP: typed})
    start = up(glider.setup)
    for address, expected in ((BACK, 9.0), (BACK, start), (AGAIN, 9.0), (BACK, start), (AGAIN, 9.0), (AGAIN, 7.0)):
        response = browser.post(address, values(browser.get(PAGE)), follow=True)
        assert up(Draft.objects.get().setup) == expected
        assert response.redirect_chain == [(PAGE, 302)]
        done = "Taken back" if address == BACK else "Done again"
        assert f"{done}: Elevator, Elevator stick." in words(response)
    page = words(browser.get(PAGE))
    assert "Take back: Elevator, Elevator stick" in page
    assert "Do again" not in page


def test_each_edit_by_its_name(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    """What is beside where one stands, on each of the pages of the draft."""
    browser = sign_in(owner)
    tied = {"tie-right_aileron": "1"}
    browser.post(PAGE, {**values(browser.get(PAGE)), ELEVATOR_UP: "9 up"})
    browser.post(PAGE, {**values(browser.get(PAGE)), **tied, "t-roll-1-right_aileron": "5 up"})
    remarks = reverse("setups:single", args=["big-glider", "remarks"])
    browser.post(remarks, {**values(browser.get(remarks)), "remarks": "Flies."})
    flap = reverse("setups:coupling", args=["big-glider"]) + "?control=lever&channel=6&phase="
    for page in (PAGE, DRAFT, flap):
        assert "Take back: Remarks" in words(browser.get(page))
    browser.post(BACK, values(browser.get(PAGE)))
    for page in (PAGE, DRAFT, flap):
        told = words(browser.get(page))
        assert "Take back: Right aileron, Aileron stick and 1 more" in told
        assert "Do again: Remarks" in told
    live = browser.post(PAGE, {**values(browser.get(PAGE)), ELEVATOR_UP: "8 up"}, headers={"HX-Request": "true"})
    assert "Take back: Elevator, Elevator stick" in words(live)
    assert "Do again" not in words(live), "an edit of another kind goes another way"


def test_an_edit_that_leaves_no_setup(glider: Revision, owner: Member) -> None:
    draft = start_draft(user=owner, airframe=glider.airframe, setup=glider.setup, base=glider)
    draft = save_draft(user=owner, draft=draft, text="{ half", version=1)
    assert steps.trail_of(draft).back == "an edit of an unfinished setup"
    draft = take_back(user=owner, draft=draft, version=2)
    assert draft.setup == glider.setup
    assert do_again(user=owner, draft=draft, version=3).text == "{ half"


def test_as_many_steps_as_are_kept(glider: Revision, owner: Member, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(steps, "KEPT", 4)
    draft = start_draft(user=owner, airframe=glider.airframe, setup=glider.setup, base=glider)
    for n in range(1, 8):
        text = glider.setup.changed(remarks=str(n)).text()
        draft = save_draft(user=owner, draft=draft, text=text, version=draft.version)
        assert DraftStep.objects.count() <= 4
    for n in (6, 5, 4, 3):
        draft = take_back(user=owner, draft=draft, version=draft.version)
        assert draft.setup.remarks == str(n)
    with pytest.raises(HistoryError, match="no edit to take back"):
        take_back(user=owner, draft=draft, version=draft.version)
    for n in range(4, 8):
        draft = do_again(user=owner, draft=draft, version=draft.version)
        assert draft.setup.remarks == str(n)
    with pytest.raises(HistoryError, match="no edit to do again"):
        do_again(user=owner, draft=draft, version=draft.version)


def test_a_step_is_kept_in_little(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    for n in range(10):
        browser.post(PAGE, {**values(browser.get(PAGE)), ELEVATOR_UP: f"{9 + n / 10} up"})
    texts = DraftStep.objects.values_list("packed", flat=True)
    assert len(texts) == 10
    assert sum(map(len, texts)) < 10 * len(glider.document.text) / 20
    assert Draft.objects.get().steps.count() == 10


def test_a_draft_that_is_begun_anew_has_no_steps(glider: Revision, owner: Member) -> None:
    draft = start_draft(user=owner, airframe=glider.airframe, setup=glider.setup, base=glider)
    save_draft(user=owner, draft=draft, text="{}", version=1)
    again = start_draft(user=owner, airframe=glider.airframe, setup=glider.setup, base=glider)
    assert steps.trail_of(again) == steps.Trail()
    assert again.steps.count() == 0


@given(st.text(), st.text())
def test_packing(text: str, like: str) -> None:
    assert steps.unpack(steps.pack(text, like), like) == text


def test_keeping_what_is_kept_already_is_no_edit(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    flap = reverse("setups:coupling", args=["big-glider"]) + "?control=lever&channel=6&phase="
    browser.post(flap, {**values(browser.get(flap)), "travel_0": "60", "do": "work"})
    for _ in range(2):
        browser.post(flap, {**values(browser.get(flap)), "do": "work"})
    browser.post(BACK, values(browser.get(flap)))
    assert Draft.objects.get().setup == glider.setup


@pytest.mark.parametrize(
    "back", ["https://elsewhere.example/", "//elsewhere.example", "/members/", "", PAGE + "?phase=x"]
)
def test_where_it_leads(glider: Revision, owner: Member, sign_in: SignIn, back: str) -> None:
    browser = sign_in(owner)
    browser.post(PAGE, {**values(browser.get(PAGE)), ELEVATOR_UP: "9 up"})
    response = browser.post(BACK, {**values(browser.get(PAGE)), "back": back})
    assert response["Location"] == (back if back.startswith(PAGE) else DRAFT)


def test_another_page_saved_meanwhile(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    browser.post(PAGE, {**values(browser.get(PAGE)), ELEVATOR_UP: "9 up"})
    old = values(browser.get(PAGE))
    browser.post(PAGE, {**values(browser.get(PAGE)), ELEVATOR_UP: "7 up"})
    for address in (BACK, AGAIN):
        response = browser.post(address, old, follow=True)
        assert ("saved from another page meanwhile" if address == BACK else "no edit to do again") in words(response)
        assert up(Draft.objects.get().setup) == 7.0


def test_one_tab_takes_back_what_the_other_shows(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    """Two tabs of one member: what the other one shows counts as older, also where one went back and forth."""
    browser = sign_in(owner)
    browser.post(PAGE, {**values(browser.get(PAGE)), ELEVATOR_UP: "9 up"})
    other = values(browser.get(PAGE))
    browser.post(BACK, values(browser.get(PAGE)))
    assert "saved from another page" in words(browser.post(BACK, other, follow=True)) or up(
        Draft.objects.get().setup
    ) == up(glider.setup)
    browser.post(AGAIN, values(browser.get(PAGE)))
    browser.post(BACK, other)
    assert up(Draft.objects.get().setup) == 9.0, "the other tab did not see that it was done again"
    browser.post(PAGE, {**other, "t-lever-0-elevator": "3 down"})
    draft = Draft.objects.get()
    assert up(draft.setup) == 9.0, "what was typed goes on top"
    assert round(float(Rig(draft.setup).at({"lever": -100}).throw_mm["elevator"]), 1) == 3.0
    assert steps.trail_of(draft).back == "Elevator, Left lever"


def test_nothing_to_take_back(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    for address, told in ((BACK, "There is no edit to take back."), (AGAIN, "There is no edit to do again.")):
        assert told in words(browser.post(address, {"version": "0"}, follow=True))
    assert Draft.objects.count() == 0


def test_readers_may_not(glider: Revision, owner: Member, reader: Member, sign_in: SignIn) -> None:
    assert [sign_in(reader).post(address).status_code for address in (BACK, AGAIN)] == [403, 403]
    draft = start_draft(user=owner, airframe=glider.airframe, setup=glider.setup, base=glider)
    draft = save_draft(user=owner, draft=draft, text="{}", version=1)
    with pytest.raises(NotAllowed):
        take_back(user=reader, draft=draft, version=2)


def test_a_helper_may_not_take_back_the_owners(glider: Revision, owner: Member, helper: Member) -> None:
    draft = start_draft(user=owner, airframe=glider.airframe, setup=glider.setup, base=glider)
    draft = save_draft(user=owner, draft=draft, text="{}", version=1)
    with pytest.raises(HistoryError, match="no edit to take back"):
        take_back(user=helper, draft=draft, version=2)
    with pytest.raises(DraftMoved):
        take_back(user=owner, draft=draft, version=1)
    assert take_back(user=owner, draft=draft, version=2).text == glider.setup.text()


def test_there_is_no_way_back_behind_a_newer_revision(glider: Revision, owner: Member, helper: Member) -> None:
    """What the draft said before stood on the older revision: taking it back would undo the other member's work."""
    draft = start_draft(user=owner, airframe=glider.airframe, setup=glider.setup, base=glider)
    draft = save_draft(user=owner, draft=draft, text=glider.setup.changed(remarks="mine").text(), version=1)
    theirs = glider.setup.changed(balance=glider.setup.balance.model_copy(update={"cg_high_mm": 103.0}))
    record(user=helper, airframe=glider.airframe, setup=theirs, base=glider, reason="theirs")
    settled = settle(user=owner, draft=draft, choices={})
    assert settled.base is not None
    assert settled.base.number == 2
    with pytest.raises(HistoryError):
        take_back(user=owner, draft=settled, version=settled.version)


def test_the_draft_tells_its_throws_in_mm(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    browser.post(PAGE, {**values(browser.get(PAGE)), "t-roll-1-right_aileron": "5 up"})
    page = words(browser.get(DRAFT))
    before = -float(Rig(glider.setup).at({"roll": 100}).throw_mm["right_aileron"])
    assert f"Aileron stick right Right aileron ↑ {before:.1f} mm up → ↑ 5.0 mm up" in page
    assert "New in this draft Caution" in page
