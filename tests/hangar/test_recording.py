"""Recording a setup: numbers, reasons, and what happens when someone recorded meanwhile."""

import pytest

from hangar.fleet.models import Airframe
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.setups.errors import HistoryError, ReasonError, RecordedMeanwhile
from hangar.setups.history import broken_links, current_head, get_revision_of
from hangar.setups.models import Document, Revision
from hangar.setups.operations import record
from mixing import Setup, SetupError
from tests.factories import AirframeFactory, make_setup

CHANGED = make_setup(remarks="more down elevator")


def softer(percent: float) -> Setup:
    """The setup with another throw of the elevator."""
    setup = make_setup()
    elevator, motor = (coupling.model_dump() for coupling in setup.couplings)
    return setup.changed(couplings=[{**elevator, "stations": [[-100, percent], [100, -percent]]}, motor])


def test_the_first_revision(owner: Member, airframe: Airframe) -> None:
    done = record(user=owner, airframe=airframe, setup=make_setup(), base=None, reason="  start ", origin="start")
    revision = Revision.objects.get()
    assert (done.revision, done.new, done.merged) == (revision, True, False)
    assert (revision.number, revision.parent, revision.author) == (1, None, owner)
    assert (revision.reason, revision.origin) == ("start", "start")
    assert revision.setup == make_setup()
    assert revision.document.text == make_setup().text()
    assert current_head(airframe) == revision


def test_the_next_one_points_to_it(helper: Member, airframe: Airframe, first: Revision) -> None:
    done = record(user=helper, airframe=airframe, setup=CHANGED, base=first, reason="it climbed")
    assert (done.revision.number, done.revision.parent, done.revision.author) == (2, first, helper)
    assert list(broken_links(airframe)) == []


def test_numbers_are_counted_in_each_airframe(owner: Member, first: Revision) -> None:
    other = AirframeFactory.create(owner=owner)
    assert record(user=owner, airframe=other, setup=make_setup(), base=None, reason="start").revision.number == 1
    assert Document.objects.count() == 1, "one document serves both"


@pytest.mark.parametrize("base", ["head", "none"])
def test_recording_what_is_current_makes_no_revision(
    owner: Member, airframe: Airframe, first: Revision, base: str
) -> None:
    again = make_setup(remarks="")
    done = record(
        user=owner, airframe=airframe, setup=again, base=first if base == "head" else None, reason="nothing new"
    )
    assert (done.revision, done.new) == (first, False)
    assert Revision.objects.count() == 1


@pytest.mark.parametrize("login", ["reader"])
def test_a_reader_records_nothing(reader: Member, airframe: Airframe, first: Revision, login: str) -> None:
    with pytest.raises(NotAllowed):
        record(user=reader, airframe=airframe, setup=CHANGED, base=first, reason="mine now")


@pytest.mark.parametrize(
    ("reason", "message"),
    [
        ("", "Give a reason"),
        (" \t ", "Give a reason"),
        ("x" * 501, "501 characters; give 500 at most"),
        ("two\nlines", r"U\+000A"),
        ("bell\x07", r"U\+0007"),
        ("turned \u202e round", r"U\+202E"),
        ("half \ud800 a character", r"U\+D800"),
        ("line\u2028separator", r"U\+2028"),
    ],
)
def test_a_reason_is_one_line_of_text(
    owner: Member, airframe: Airframe, first: Revision, reason: str, message: str
) -> None:
    with pytest.raises(ReasonError, match=message):
        record(user=owner, airframe=airframe, setup=CHANGED, base=first, reason=reason)
    assert Revision.objects.count() == 1


def test_a_reason_of_500_characters_in_any_script(owner: Member, airframe: Airframe, first: Revision) -> None:
    reason = "Höhenruder: −3 %, 更软 " + "x" * 479
    assert len(reason) == 500
    done = record(user=owner, airframe=airframe, setup=CHANGED, base=first, reason=reason)
    assert Revision.objects.get(pk=done.revision.pk).reason == reason
    assert list(broken_links(airframe)) == []


def test_an_origin_or_a_base_that_cannot_be(owner: Member, airframe: Airframe, first: Revision) -> None:
    with pytest.raises(HistoryError, match="no origin 'rollback of 0'"):
        record(user=owner, airframe=airframe, setup=CHANGED, base=first, reason="r", origin="rollback of 0")
    with pytest.raises(HistoryError, match="give a revision of"):
        record(user=owner, airframe=AirframeFactory.create(owner=owner), setup=CHANGED, base=first, reason="r")


def test_a_setup_changed_past_its_validation_is_refused(owner: Member, airframe: Airframe, first: Revision) -> None:
    unsound = make_setup().model_copy(update={"channels": ()})
    with pytest.raises(SetupError):
        record(user=owner, airframe=airframe, setup=unsound, base=first, reason="r")
    assert Revision.objects.count() == 1


def test_both_touch_the_same(owner: Member, helper: Member, airframe: Airframe, first: Revision) -> None:
    theirs = record(user=helper, airframe=airframe, setup=softer(60), base=first, reason="softer").revision
    with pytest.raises(RecordedMeanwhile, match=r"Revision 2 was recorded meanwhile.*started from revision 1") as both:
        record(user=owner, airframe=airframe, setup=softer(95), base=first, reason="stronger")
    assert (both.value.base, both.value.head) == (first, theirs)
    assert (both.value.ours, both.value.theirs) == (softer(95), softer(60))
    assert [conflict.path for conflict in both.value.conflicts] == ["couplings/pitch/1/*/stations"]
    assert Revision.objects.count() == 2


def test_different_things_are_merged(owner: Member, helper: Member, airframe: Airframe, first: Revision) -> None:
    record(user=helper, airframe=airframe, setup=softer(60), base=first, reason="softer")
    done = record(user=owner, airframe=airframe, setup=CHANGED, base=first, reason="a remark")
    assert (done.new, done.merged, done.revision.number, done.revision.author) == (True, True, 3, owner)
    assert done.revision.setup == softer(60).changed(remarks=CHANGED.remarks)
    assert list(broken_links(airframe)) == []


def test_what_both_did_alike_is_recorded_once(
    owner: Member, helper: Member, airframe: Airframe, first: Revision
) -> None:
    both = softer(60).changed(remarks="x")
    record(user=helper, airframe=airframe, setup=both, base=first, reason="softer, and a remark")
    done = record(user=owner, airframe=airframe, setup=softer(60), base=first, reason="softer")
    assert (done.new, done.merged, done.revision.number) == (False, True, 2)


def test_two_first_setups(owner: Member, helper: Member, airframe: Airframe, first: Revision) -> None:
    with pytest.raises(RecordedMeanwhile, match="an airframe without a setup") as both:
        record(user=helper, airframe=airframe, setup=CHANGED, base=None, reason="start")
    assert (both.value.base, both.value.head) == (None, first)


def test_a_revision_is_found_by_its_number(owner: Member, airframe: Airframe, first: Revision) -> None:
    assert get_revision_of(airframe, 1) == first
