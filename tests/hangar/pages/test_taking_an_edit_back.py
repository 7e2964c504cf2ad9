"""The last edit of a draft can be taken back, and had again; never over another page, never another member's."""

import pytest
from django.urls import reverse

from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.setups.drafts import save_draft, settle, start_draft, take_back
from hangar.setups.errors import DraftMoved, HistoryError
from hangar.setups.models import Draft, Revision
from hangar.setups.operations import record
from mixing import Rig, Setup
from tests.hangar.pages.conftest import SignIn, values, words

PAGE = reverse("setups:throws", args=["big-glider"])
BACK = reverse("setups:take_back", args=["big-glider"])
DRAFT = reverse("setups:draft", args=["big-glider"])
ELEVATOR_UP = "t-pitch-1-elevator"


def up(setup: Setup) -> float:
    return round(-float(Rig(setup).at({"pitch": 100}).throw_mm["elevator"]), 1)


def test_from_the_matrix(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    assert "Take back" not in words(browser.get(PAGE))
    for typed in ("9 up", "7 up"):
        browser.post(PAGE, {**values(browser.get(PAGE)), ELEVATOR_UP: typed})
    assert "Take back the last edit" in words(browser.get(PAGE))
    for expected in (9.0, 7.0, 9.0):
        response = browser.post(BACK, values(browser.get(PAGE)), follow=True)
        assert up(Draft.objects.get().setup) == expected
        assert response.redirect_chain == [(PAGE, 302)]
        assert "The last edit is taken back." in words(response)


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
    response = browser.post(BACK, old, follow=True)
    assert "saved from another page meanwhile" in words(response)
    assert up(Draft.objects.get().setup) == 7.0


def test_nothing_to_take_back(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    response = sign_in(owner).post(BACK, {"version": "0"}, follow=True)
    assert "There is no edit to take back." in words(response)
    assert Draft.objects.count() == 0


def test_readers_may_not(glider: Revision, owner: Member, reader: Member, sign_in: SignIn) -> None:
    assert sign_in(reader).post(BACK).status_code == 403
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
