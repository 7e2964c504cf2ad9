"""A draft that was thrown away can be had back for a while; in hand there is still one for each member and model."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.setups.drafts import draft_of, save_draft, start_draft, take_back
from hangar.setups.errors import DraftMoved, HistoryError
from hangar.setups.models import Draft, DraftStep, Revision
from hangar.setups.operations import record
from hangar.setups.thrown import KEPT_DAYS, MOST_KEPT, have_back, throw_away, thrown_of
from tests.factories import AirframeFactory
from tests.hangar.pages.conftest import SignIn, speak, values, words

MODEL = reverse("flights:airframe", args=["big-glider"])
DRAFT = reverse("setups:draft", args=["big-glider"])
DISCARD = reverse("setups:discard", args=["big-glider"])
THROWS = reverse("setups:throws", args=["big-glider"])


def draft_with(owner: Member, glider: Revision, remarks: str) -> Draft:
    draft = start_draft(user=owner, airframe=glider.airframe, setup=glider.setup, base=glider)
    text = glider.setup.changed(remarks=remarks).text()
    return save_draft(user=owner, draft=draft, text=text, version=draft.version)


def back(draft: Draft) -> str:
    return reverse("setups:have_back", args=["big-glider", draft.pk])


def test_back_from_the_page_that_follows(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser, draft = sign_in(owner), draft_with(owner, glider, "Flies.")
    gone = browser.post(DISCARD, follow=True)
    assert gone.redirect_chain == [(f"{MODEL}?thrown={draft.pk}", 302)]
    assert "Your draft is thrown away: Remarks. The recorded setup is as it was." in words(gone)
    assert back(draft) in gone.content.decode()
    assert "Nothing is edited yet" in words(browser.get(THROWS))
    there = browser.post(back(draft), follow=True)
    assert there.redirect_chain == [(DRAFT, 302)]
    assert "Your draft is back, as it was." in words(there)
    found = draft_of(owner, glider.airframe)
    assert found is not None
    assert (found.pk, found.base, found.setup.remarks) == (draft.pk, glider, "Flies.")
    assert "Take back: Remarks" in words(browser.get(THROWS))
    assert take_back(user=owner, draft=found, version=found.version).setup == glider.setup


def test_the_address_that_follows_says_nothing_later(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    """The browser's way back to it, or another member's, finds no draft that is in hand again."""
    draft = draft_with(owner, glider, "Flies.")
    for thrown in (draft.pk, 10**7, "x", ""):
        assert "thrown away" not in words(sign_in(owner).get(MODEL, {"thrown": thrown}))


def test_back_from_the_quiet_place(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    assert "Thrown away" not in words(browser.get(DRAFT))
    draft = draft_with(owner, glider, "First.")
    assert f"had back here for {KEPT_DAYS} days" in words(browser.get(DRAFT))
    throw_away(user=owner, airframe=glider.airframe)
    page = words(browser.get(DRAFT))
    assert f"Thrown away Kept for {KEPT_DAYS} days, for you alone. Remarks from revision 1, thrown away" in page
    assert "would take its place" not in page
    present = draft_with(owner, glider, "Second.")
    assert "The draft that you have now would take its place here." in words(browser.get(DRAFT))
    browser.post(back(draft))
    assert Draft.objects.get().setup.remarks == "First."
    assert [one.pk for one in thrown_of(owner, glider.airframe)] == [present.pk]


def test_a_first_setup(owner: Member, glider: Revision, sign_in: SignIn) -> None:
    browser, bare = sign_in(owner), AirframeFactory.create(slug="bare", owner=owner)
    start_draft(user=owner, airframe=bare, setup=glider.setup, base=None)
    gone = browser.post(reverse("setups:discard", args=["bare"]), follow=True)
    assert "Your draft is thrown away: a first setup." in words(gone)
    start = browser.get(reverse("setups:start", args=["bare"]))
    assert "Thrown away Kept for 30 days, for you alone. a first setup thrown away" in words(start)
    browser.post(reverse("setups:have_back", args=["bare", Draft.everything.get().pk]))
    assert Draft.objects.get().setup == glider.setup


def test_one_in_hand(glider: Revision, owner: Member) -> None:
    draft_with(owner, glider, "First.")
    throw_away(user=owner, airframe=glider.airframe)
    draft_with(owner, glider, "Second.")
    with pytest.raises(IntegrityError), transaction.atomic():
        Draft.objects.create(airframe=glider.airframe, member=owner, text="{}")


def test_a_draft_that_makes_way_is_kept(glider: Revision, owner: Member) -> None:
    first = draft_with(owner, glider, "First.")
    draft_with(owner, glider, "Second.")
    assert [one.pk for one in thrown_of(owner, glider.airframe)] == [first.pk]


def test_a_page_of_the_draft_that_made_way_does_not_save_into_it(glider: Revision, owner: Member) -> None:
    thrown = draft_with(owner, glider, "First.")
    throw_away(user=owner, airframe=glider.airframe)
    shown = draft_with(owner, glider, "Second.")
    assert shown.version == thrown.version
    there = have_back(user=owner, draft=thrown)
    with pytest.raises(DraftMoved):
        save_draft(user=owner, draft=there, text="{}", version=shown.version)


def test_recorded_meanwhile(glider: Revision, owner: Member, helper: Member, sign_in: SignIn) -> None:
    """It stands on the revision from which it began, as any draft does; recording joins the two."""
    draft = draft_with(owner, glider, "Flies.")
    throw_away(user=owner, airframe=glider.airframe)
    elsewhere = glider.setup.changed(balance=glider.setup.balance.model_copy(update={"cg_datum": "wing root"}))
    record(user=helper, airframe=glider.airframe, setup=elsewhere, base=glider, reason="another datum")
    have_back(user=owner, draft=draft)
    browser = sign_in(owner)
    page = browser.get(DRAFT)
    assert "Revision 2 was recorded meanwhile" in words(page)
    browser.post(DRAFT, {**values(page), "reason": "it flies", "do": "record"})
    assert Revision.objects.get(number=3).setup == elsewhere.changed(remarks="Flies.")


def test_when_its_time_is_over(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    then = timezone.now() - timedelta(days=KEPT_DAYS)
    draft = draft_with(owner, glider, "Flies.")
    throw_away(user=owner, airframe=glider.airframe, now=then)
    browser = sign_in(owner)
    assert "Thrown away" not in words(browser.get(DRAFT))
    assert browser.post(back(draft)).status_code == 404
    draft_with(owner, glider, "Second.")
    throw_away(user=owner, airframe=glider.airframe)
    assert Draft.everything.count() == 1
    assert DraftStep.objects.count() == 1


def test_the_last_ones_are_kept(glider: Revision, owner: Member) -> None:
    for n in range(MOST_KEPT + 2):
        draft_with(owner, glider, str(n))
        throw_away(user=owner, airframe=glider.airframe)
    kept = [draft.setup.remarks for draft in thrown_of(owner, glider.airframe)]
    assert kept == [str(n) for n in range(MOST_KEPT + 1, 1, -1)]
    assert Draft.everything.count() == MOST_KEPT


def test_tapped_twice(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    draft = draft_with(owner, glider, "Flies.")
    throw_away(user=owner, airframe=glider.airframe)
    browser = sign_in(owner)
    for _ in range(2):
        assert "Your draft is back, as it was." in words(browser.post(back(draft), follow=True))
    assert Draft.objects.get().pk == draft.pk
    assert not thrown_of(owner, glider.airframe).exists()


def test_nothing_to_throw_away(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    answer = sign_in(owner).post(DISCARD, follow=True)
    assert answer.redirect_chain == [(MODEL, 302)]
    assert "There is no draft of yours" in words(answer)


def test_it_is_its_members(glider: Revision, owner: Member, helper: Member, reader: Member, sign_in: SignIn) -> None:
    draft = draft_with(owner, glider, "Flies.")
    throw_away(user=owner, airframe=glider.airframe)
    browser = sign_in(helper)
    assert "Thrown away" not in words(browser.get(DRAFT))
    assert "thrown away" not in words(browser.get(MODEL, {"thrown": draft.pk}))
    assert browser.post(back(draft)).status_code == 404
    for member, refusal in ((reader, NotAllowed), (helper, HistoryError)):
        with pytest.raises(refusal):
            have_back(user=member, draft=draft)
    assert draft_of(owner, glider.airframe) is None
    assert draft_of(helper, glider.airframe) is None


def test_in_german(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    speak(owner, "de", "inch")
    draft_with(owner, glider, "Fliegt.")
    browser = sign_in(owner)
    assert "Dein Entwurf ist verworfen: Bemerkungen." in words(browser.post(DISCARD, follow=True))
    assert "30 Tage aufgehoben, nur für dich. Bemerkungen aus Fassung 1, verworfen am" in words(browser.get(DRAFT))
