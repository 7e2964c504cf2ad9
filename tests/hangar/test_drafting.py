"""Drafts: what was typed is kept until it is recorded, or thrown away on purpose."""

import pytest

from hangar.fleet.models import Airframe
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.setups.drafts import draft_of, record_draft, save_draft, settle, start_draft
from hangar.setups.errors import DraftMoved, HistoryError, RecordedMeanwhile
from hangar.setups.models import Draft, Revision
from hangar.setups.operations import record
from hangar.setups.thrown import throw_away
from mixing import Setup, SetupError
from mixing.merge import Side
from tests.factories import make_setup, open_draft

MINE, THEIRS = make_setup(remarks="mine"), make_setup(remarks="theirs")


def test_a_draft_starts_from_what_is_current(owner: Member, airframe: Airframe, first: Revision) -> None:
    draft = open_draft(user=owner, airframe=airframe)
    assert (draft.base, draft.setup) == (first, make_setup())
    assert open_draft(user=owner, airframe=airframe) == draft


def test_each_member_has_their_own(owner: Member, helper: Member, airframe: Airframe, first: Revision) -> None:
    open_draft(user=owner, airframe=airframe)
    open_draft(user=helper, airframe=airframe)
    assert Draft.objects.count() == 2
    throw_away(user=owner, airframe=airframe)
    assert draft_of(owner, airframe) is None
    assert draft_of(helper, airframe) is not None


def test_recording_a_draft(owner: Member, airframe: Airframe, first: Revision) -> None:
    draft = open_draft(user=owner, airframe=airframe)
    draft = save_draft(user=owner, draft=draft, text=MINE.text(), version=draft.version)
    done = record_draft(user=owner, draft=draft, reason="mine is better")
    assert (done.revision.number, done.revision.origin, done.revision.setup) == (2, "edit", MINE)
    assert draft_of(owner, airframe) is None


def test_a_first_setup_from_a_draft(owner: Member, airframe: Airframe) -> None:
    draft = start_draft(user=owner, airframe=airframe, setup=MINE, base=None)
    assert record_draft(user=owner, draft=draft, reason="start").revision.origin == "start"


def test_half_typed_text_is_kept(owner: Member, airframe: Airframe, first: Revision) -> None:
    draft = open_draft(user=owner, airframe=airframe)
    draft = save_draft(user=owner, draft=draft, text="{ half", version=draft.version)
    with pytest.raises(SetupError):
        record_draft(user=owner, draft=draft, reason="r")
    kept = draft_of(owner, airframe)
    assert kept is not None
    assert kept.text == "{ half"


def test_two_pages_of_one_member(owner: Member, airframe: Airframe, first: Revision) -> None:
    shown = open_draft(user=owner, airframe=airframe)
    save_draft(user=owner, draft=shown, text=MINE.text(), version=shown.version)
    with pytest.raises(DraftMoved) as moved:
        save_draft(user=owner, draft=shown, text=THEIRS.text(), version=shown.version)
    assert moved.value.stored.setup == MINE


def test_a_later_version_outlives_the_recording_of_an_earlier_one(
    owner: Member, airframe: Airframe, first: Revision
) -> None:
    shown = open_draft(user=owner, airframe=airframe)
    saved = save_draft(user=owner, draft=shown, text=MINE.text(), version=shown.version)
    save_draft(user=owner, draft=saved, text=THEIRS.text(), version=saved.version)
    record_draft(user=owner, draft=saved, reason="mine")
    kept = draft_of(owner, airframe)
    assert kept is not None
    assert kept.setup == THEIRS


def test_what_cannot_be_recorded_stays_a_draft(
    owner: Member, helper: Member, airframe: Airframe, first: Revision
) -> None:
    draft = open_draft(user=owner, airframe=airframe)
    draft = save_draft(user=owner, draft=draft, text=MINE.text(), version=draft.version)
    record(user=helper, airframe=airframe, setup=THEIRS, base=first, reason="theirs")
    with pytest.raises(RecordedMeanwhile):
        record_draft(user=owner, draft=draft, reason="mine")
    kept = draft_of(owner, airframe)
    assert kept is not None
    assert (kept.base, kept.setup) == (first, MINE)


@pytest.mark.parametrize(("choice", "outcome"), [("ours", MINE), ("theirs", THEIRS)])
def test_choosing(
    owner: Member, helper: Member, airframe: Airframe, first: Revision, choice: Side, outcome: Setup
) -> None:
    draft = open_draft(user=owner, airframe=airframe)
    draft = save_draft(user=owner, draft=draft, text=MINE.text(), version=draft.version)
    record(user=helper, airframe=airframe, setup=THEIRS, base=first, reason="theirs")
    with pytest.raises(RecordedMeanwhile) as open_still:
        settle(user=owner, draft=draft, choices={})
    assert [conflict.path for conflict in open_still.value.conflicts] == ["remarks"]
    settled = settle(user=owner, draft=draft, choices={"remarks": choice})
    kept = draft_of(owner, airframe)
    assert kept is not None
    assert (kept.setup, kept.base, kept.version) == (outcome, Revision.objects.get(number=2), settled.version)
    assert record_draft(user=owner, draft=settled, reason="chosen").revision.setup == outcome


def test_choosing_between_two_first_setups(owner: Member, helper: Member, airframe: Airframe) -> None:
    draft = start_draft(user=owner, airframe=airframe, setup=MINE, base=None)
    record(user=helper, airframe=airframe, setup=THEIRS, base=None, reason="theirs", origin="start")
    with pytest.raises(RecordedMeanwhile):
        settle(user=owner, draft=draft, choices={})
    settled = settle(user=owner, draft=draft, choices={"": "ours"})
    assert record_draft(user=owner, draft=settled, reason="chosen").revision.setup == MINE


def test_there_is_nothing_to_settle_where_nobody_recorded(owner: Member, airframe: Airframe, first: Revision) -> None:
    draft = open_draft(user=owner, airframe=airframe)
    assert settle(user=owner, draft=draft, choices={}) == draft


def test_a_draft_is_its_members(
    owner: Member, helper: Member, reader: Member, airframe: Airframe, first: Revision
) -> None:
    draft = open_draft(user=owner, airframe=airframe)
    with pytest.raises(HistoryError, match="start one of your own"):
        save_draft(user=helper, draft=draft, text=MINE.text(), version=1)
    with pytest.raises(NotAllowed):
        start_draft(user=reader, airframe=airframe, setup=MINE, base=first)
    throw_away(user=owner, airframe=airframe)
    with pytest.raises(HistoryError, match="start a new one"):
        save_draft(user=owner, draft=draft, text=MINE.text(), version=1)
