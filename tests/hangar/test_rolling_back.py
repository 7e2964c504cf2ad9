"""Rolling back records a new revision with the old document, and never claims a model that nobody rebuilt."""

from typing import Any

import pytest

from hangar.fleet.models import Airframe
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.setups.as_built import differing_parts
from hangar.setups.errors import AsBuiltDiffers, HistoryError, ReasonError, RecordedMeanwhile
from hangar.setups.history import broken_links
from hangar.setups.models import Revision
from hangar.setups.operations import record, roll_back, roll_back_throws, throws_today
from mixing import Rig, Setup
from tests.factories import AirframeFactory, make_setup, record_first
from tests.mixing.example import example

CHANGED = make_setup(remarks="more down elevator")


def elevator(**changes: Any) -> Setup:
    """The setup with something else about its elevator."""
    setup = make_setup()
    return setup.changed(surfaces=[setup.surface("elevator").model_dump() | changes])


def load(**changes: Any) -> Setup:
    balance = make_setup().balance.model_dump()
    return make_setup(balance={**balance, "loads": [balance["loads"][0] | changes]})


REBUILT = elevator(chord_mm=45.0, linkage={"kind": "measured", "points": [[1000, -15], [2000, 15]]})


@pytest.fixture
def second(owner: Member, airframe: Airframe, first: Revision) -> Revision:
    return record(user=owner, airframe=airframe, setup=CHANGED, base=first, reason="it climbed").revision


@pytest.fixture
def rebuilt(owner: Member, airframe: Airframe, first: Revision) -> Revision:
    return record(user=owner, airframe=airframe, setup=REBUILT, base=first, reason="new elevator").revision


def test_it_appends(helper: Member, airframe: Airframe, first: Revision, second: Revision) -> None:
    done = roll_back(user=helper, airframe=airframe, to=first, reason="it flew better")
    assert (done.new, done.revision.number, done.revision.origin) == (True, 3, "rollback of 1")
    assert (done.revision.parent, done.revision.document_id) == (second, first.document_id)
    assert Revision.objects.count() == 3
    assert list(broken_links(airframe)) == []


def test_back_to_what_is_current_makes_no_revision(owner: Member, airframe: Airframe, second: Revision) -> None:
    assert not roll_back(user=owner, airframe=airframe, to=second, reason="again").new


def test_what_was_confirmed_was_shown_against_one_head(
    owner: Member, airframe: Airframe, first: Revision, second: Revision
) -> None:
    with pytest.raises(RecordedMeanwhile) as meanwhile:
        roll_back(user=owner, airframe=airframe, to=first, reason="back", base=first)
    assert meanwhile.value.head == second
    assert roll_back(user=owner, airframe=airframe, to=first, reason="back", base=second).new


def test_a_rebuilt_model_is_not_claimed(owner: Member, airframe: Airframe, first: Revision, rebuilt: Revision) -> None:
    with pytest.raises(
        AsBuiltDiffers, match=r"not built as it was in revision 1: .*chord was 40 mm and is 45 mm"
    ) as refused:
        roll_back(user=owner, airframe=airframe, to=first, reason="back")
    assert [part.path for part in refused.value.parts] == ["surfaces/elevator/chord_mm", "surfaces/elevator/linkage"]
    assert Revision.objects.count() == 2


def test_only_what_was_put_back_counts(owner: Member, airframe: Airframe, first: Revision, rebuilt: Revision) -> None:
    with pytest.raises(AsBuiltDiffers) as refused:
        roll_back(user=owner, airframe=airframe, to=first, reason="back", put_back={"surfaces/elevator/linkage"})
    assert [part.path for part in refused.value.parts] == ["surfaces/elevator/chord_mm"]
    both = {"surfaces/elevator/linkage", "surfaces/elevator/chord_mm"}
    done = roll_back(user=owner, airframe=airframe, to=first, reason="old elevator is back", put_back=both)
    assert done.revision.document_id == first.document_id


@pytest.mark.parametrize(
    ("now", "path", "words"),
    [
        (elevator(channel=3), "surfaces/elevator/channel", "Elevator: channel was channel 1 and is channel 3"),
        (elevator(stop_up_deg=25.0), "surfaces/elevator/stop_up_deg", "Elevator: stop up was 30° and is 25°"),
        (elevator(measure_at="tip"), "surfaces/elevator/measure_at", "was at the root and is tip"),
        (elevator(neutral_ref=""), "surfaces/elevator/neutral_ref", "was fin and is (empty)"),
        (load(mass_g=950.0), "balance/loads/small/mass_g", "Small battery: mass was 900 g and is 950 g"),
        (load(cg_mm=0.0), "balance/loads/small/cg_mm", "Small battery: balance behind the datum was 66 mm and is 0 mm"),
        (load(key="big"), "balance/loads/small", "Small battery is not there any more"),
        (make_setup(surfaces=[]), "surfaces/elevator", "Elevator is not there any more"),
    ],
)
def test_parts_in_words(now: Setup, path: str, words: str) -> None:
    found = {part.path: part.words for part in differing_parts(make_setup(), now)}
    assert words in found[path]


def test_what_the_transmitter_holds_is_no_part_of_the_model() -> None:
    setup = make_setup()
    channels = [channel.model_dump() | {"centre_us": 1520.0, "reversed": True} for channel in setup.channels]
    assert differing_parts(setup, setup.changed(channels=channels, couplings=[], remarks="x")) == ()
    assert differing_parts(setup, elevator(label="Tail")) == ()


def test_what_was_added_since() -> None:
    found = differing_parts(make_setup(surfaces=[]), make_setup())
    assert [(part.path, part.words) for part in found] == [("surfaces/elevator", "Elevator was not there then")]


def test_the_same_throws_on_todays_model(owner: Member, airframe: Airframe, first: Revision, rebuilt: Revision) -> None:
    """By hand: 80 % was 9.6 mm with 12 mm at 500 µs; with 15 mm at 500 µs the same takes 64 %."""
    assert throws_today(first, rebuilt).misses == ()
    done = roll_back_throws(user=owner, airframe=airframe, to=first, reason="back to its throws", base=rebuilt)
    assert (done.revision.origin, done.revision.parent) == ("throws of 1", rebuilt)
    assert differing_parts(done.revision.setup, REBUILT) == (), "the model stays what it is"
    low, high = done.revision.setup.couplings[0].stations
    assert [*low, *high] == pytest.approx([-100, 64, 100, -64])
    for position in (-100, 100):
        then, now = (Rig(one.setup).at({"pitch": position}).throw_mm["elevator"] for one in (first, done.revision))
        assert now == pytest.approx(then, abs=1e-6)
    assert list(broken_links(airframe)) == []


def test_throws_too_are_confirmed_against_one_head(
    owner: Member, reader: Member, airframe: Airframe, first: Revision, rebuilt: Revision
) -> None:
    with pytest.raises(RecordedMeanwhile):
        roll_back_throws(user=owner, airframe=airframe, to=first, reason="back", base=first)
    with pytest.raises(NotAllowed):
        roll_back_throws(user=reader, airframe=airframe, to=first, reason="back")
    assert Revision.objects.count() == 2


def test_who_and_why(owner: Member, reader: Member, airframe: Airframe, first: Revision, second: Revision) -> None:
    with pytest.raises(NotAllowed):
        roll_back(user=reader, airframe=airframe, to=first, reason="back")
    with pytest.raises(ReasonError):
        roll_back(user=owner, airframe=airframe, to=first, reason="")
    elsewhere = record_first(AirframeFactory.create(owner=owner))
    with pytest.raises(HistoryError, match="give a revision of Big Glider"):
        roll_back(user=owner, airframe=airframe, to=elsewhere, reason="back")


def test_what_was_not_rebuilt_keeps_its_entries(airframe: Airframe, owner: Member) -> None:
    """With one flap's servo turned round, nothing is left to enter anew but that flap: 33 stays 33."""
    flown = example()
    then = record_first(airframe, flown)
    surfaces = [surface.model_dump() for surface in flown.surfaces]
    turned = next(surface for surface in surfaces if surface["key"] == "left_flap")
    pulls = turned["linkage"]["longer_pulse"] == "pulls"
    turned["linkage"] = {**turned["linkage"], "longer_pulse": "pushes" if pulls else "pulls"}
    built = flown.changed(surfaces=surfaces)
    now = record(user=owner, airframe=airframe, setup=built, base=then, reason="flap servo turned round").revision
    solved = throws_today(then, now).setup
    differing = {one.channel for one in solved.couplings if one not in flown.couplings}
    assert differing == {turned["channel"]}


def test_a_failsafe_that_was_set_then_comes_back(owner: Member, airframe: Airframe, first: Revision) -> None:
    def failsafe(setup: Setup, told: Any) -> Setup:
        return setup.changed(channels=[channel.model_dump() | {"failsafe": told} for channel in setup.channels])

    then = record(
        user=owner, airframe=airframe, setup=failsafe(make_setup(), -20.0), base=first, reason="set it"
    ).revision
    record(user=owner, airframe=airframe, setup=failsafe(REBUILT, None), base=then, reason="new elevator")
    done = roll_back_throws(user=owner, airframe=airframe, to=then, reason="it flew better")
    assert all(channel.failsafe is not None for channel in done.revision.setup.channels if channel.number != 3)
    number = done.revision.setup.surface("elevator").channel
    throws = []
    for setup in (then.setup, done.revision.setup):
        rig, surface, told = Rig(setup), setup.surface("elevator"), setup.channel(number).failsafe
        assert isinstance(told, float)
        pulse, _ = rig.pulse(setup.channel(number), told)
        throws.append(float(rig.follow(surface, pulse).throw_mm(chord_mm=surface.chord_mm)))
    assert throws[1] == pytest.approx(throws[0], abs=1e-3)
