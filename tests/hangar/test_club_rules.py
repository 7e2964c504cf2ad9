"""The club's own rules: set by the secretary, each optional, and named where one makes a model "look first"."""

from typing import Any

import pytest
from django.core.exceptions import ValidationError

from hangar.fleet.errors import FleetError
from hangar.fleet.models import Airframe, MassBand
from hangar.fleet.operations import add_airframe, see_mark, withdraw_mark_seen
from hangar.fleet.rule_operations import add_mass_band, change_mass_band, remove_mass_band, set_club_rules
from hangar.fleet.rules import club_rules
from hangar.flights.errors import FlightError
from hangar.flights.models import Grounding
from hangar.flights.operations import log_flight, record_balance_check, record_work, release
from hangar.flights.reports import is_grounded, open_groundings
from hangar.flights.standings import standing_of
from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.setups.operations import record
from tests.factories import AirframeFactory, MemberFactory, make_setup, record_first


def asked(airframe: Airframe) -> tuple[list[str], list[str]]:
    """What the club's rules say of it: what makes it look first, and what is only told."""
    standing = standing_of(airframe)
    return [one for one in standing.reasons if one.startswith("club rule")], standing.told


def test_without_rules_nothing_is_asked(first: Revision) -> None:
    assert asked(first.airframe) == ([], [])
    assert not is_grounded(first.airframe)


def test_the_secretary_sets_them(owner: Member, instructor: Member, secretary: Member) -> None:
    for member in (owner, instructor):
        for deed in (lambda m=member: set_club_rules(user=m, mark="told"),
                     lambda m=member: add_mass_band(user=m, label="heavy", from_g=5000)):  # fmt: skip
            with pytest.raises(NotAllowed, match="ask the secretary"):
                deed()
    set_club_rules(user=secretary, mark="told")
    set_club_rules(user=secretary, mass_weighed="look_first")
    rules = club_rules()
    assert (rules.mark, rules.mass_weighed, rules.changed_by) == ("told", "look_first", secretary)


def test_a_rule_that_is_none(secretary: Member) -> None:
    with pytest.raises(FleetError, match="no rule colour"):
        set_club_rules(user=secretary, colour="red")
    with pytest.raises(ValidationError):
        set_club_rules(user=secretary, mark="loudly")
    assert club_rules().mark == "off"


@pytest.mark.parametrize(("weight", "where"), [("look_first", 0), ("told", 1)])
class TestWhatIsAskedOfAModel:
    def test_a_mark(self, first: Revision, secretary: Member, weight: str, where: int) -> None:
        set_club_rules(user=secretary, mark=weight)
        assert asked(first.airframe)[where] == ["club rule: a mark is asked for, and none is recorded"]
        first.airframe.mark = "TERN 4"
        first.airframe.save()
        assert asked(first.airframe) == ([], [])

    def test_its_mark_seen(self, first: Revision, owner: Member, secretary: Member, weight: str, where: int) -> None:
        set_club_rules(user=secretary, mark_seen=weight)
        airframe = first.airframe
        told = ["club rule: nobody has seen its mark on the model as it is recorded"]
        assert asked(airframe)[where] == told
        airframe.mark = "TERN 4"
        airframe.save()
        seen = see_mark(user=owner, airframe=airframe)
        assert asked(airframe) == ([], [])
        airframe.mark = "TERN 5"
        airframe.save()
        assert asked(airframe)[where] == told, "another mark is to be seen again"
        airframe.mark = "TERN 4"
        airframe.save()
        withdraw_mark_seen(user=owner, seen=seen, reason="I mixed it up")
        assert asked(airframe)[where] == told

    def test_its_mass(self, first: Revision, owner: Member, secretary: Member, weight: str, where: int) -> None:
        set_club_rules(user=secretary, mass_weighed=weight)
        assert asked(first.airframe)[where] == ["club rule: its flying mass was not weighed"]
        record_balance_check(user=owner, revision=first, load="small", cg_mm=65)
        assert asked(first.airframe)[where], "balanced, not weighed"
        record_balance_check(user=owner, revision=first, load="small", cg_mm=65, mass_g=2100)
        assert asked(first.airframe) == ([], [])

    def test_its_band(self, first: Revision, owner: Member, secretary: Member, weight: str, where: int) -> None:
        add_mass_band(user=secretary, label="light", from_g=0, weight="off")
        heavy = add_mass_band(user=secretary, label="heavy", from_g=2000, weight=weight, asks="with a helper")
        assert asked(first.airframe) == ([], []), "it was not weighed"
        record_balance_check(user=owner, revision=first, load="small", cg_mm=65, mass_g=2000)
        assert asked(first.airframe)[where] == [
            "club rule: it weighs 2000 g, which is in the band “heavy”: with a helper"
        ]
        record_balance_check(user=owner, revision=first, load="small", cg_mm=65, mass_g=1999)
        assert asked(first.airframe) == ([], []), "the newest weighing counts"
        change_mass_band(user=secretary, band=heavy, from_g=1500)
        assert asked(first.airframe)[where]
        remove_mass_band(user=secretary, band=heavy)
        assert asked(first.airframe) == ([], [])


def test_the_heaviest_load_counts(owner: Member, airframe: Airframe, secretary: Member) -> None:
    loads = [{"key": key, "label": key, "mass_g": 900, "cg_mm": 66} for key in ("small", "large")]
    setup = make_setup()
    balance = {**setup.data()["balance"], "loads": loads}
    revision = record_first(airframe, make_setup(balance=balance))
    add_mass_band(user=secretary, label="heavy", from_g=2000, weight="look_first")
    record_balance_check(user=owner, revision=revision, load="large", cg_mm=65, mass_g=2300)
    record_balance_check(user=owner, revision=revision, load="small", cg_mm=65, mass_g=1900)
    assert asked(airframe)[0]


def test_bands_do_not_begin_at_one_mass(secretary: Member) -> None:
    add_mass_band(user=secretary, label="heavy", from_g=5000)
    with pytest.raises(ValidationError):
        add_mass_band(user=secretary, label="very heavy", from_g=5000)
    assert MassBand.objects.count() == 1


class TestASecondPersonBeforeTheFirstFlight:
    @pytest.fixture(autouse=True)
    def _rule(self, secretary: Member) -> None:
        set_club_rules(user=secretary, first_flight=True)

    def grounding(self, airframe: Airframe) -> Grounding:
        return open_groundings(airframe).get()

    def test_a_new_airframe_is_grounded_by_itself(self, owner: Member) -> None:
        airframe = add_airframe(user=owner, name="Kittiwake")
        standing = standing_of(airframe)
        assert standing.state == "grounded"
        assert standing.reasons == ["club rule: a second person releases it before its first flight"]

    def test_never_ones_own(self, owner: Member, instructor: Member, secretary: Member) -> None:
        """Neither who owns it, nor who helps with it, nor who recorded its setup."""
        own = add_airframe(user=instructor, name="Kittiwake")
        record_first(own)
        with pytest.raises(NotAllowed, match="you are one who owns it"):
            release(user=instructor, grounding=self.grounding(own), reason="fine")
        theirs = add_airframe(user=owner, name="Petrel")
        record(user=instructor, airframe=theirs, setup=make_setup(), base=None, reason="first", origin="start")
        with pytest.raises(NotAllowed, match="recorded its setup"):
            release(user=instructor, grounding=self.grounding(theirs), reason="fine")
        other = MemberFactory.create(instructor=True)
        theirs.helpers.add(other)
        with pytest.raises(NotAllowed, match="helps with it"):
            release(user=other, grounding=self.grounding(theirs), reason="fine")
        release(user=secretary, grounding=self.grounding(theirs), reason="looked over together")
        assert not is_grounded(theirs)

    def test_not_before_there_is_a_setup(self, owner: Member, instructor: Member) -> None:
        airframe = add_airframe(user=owner, name="Kittiwake")
        with pytest.raises(FlightError, match="no setup yet"):
            release(user=instructor, grounding=self.grounding(airframe), reason="fine")

    def test_flying_all_the_same_is_no_way_round(self, owner: Member) -> None:
        airframe = add_airframe(user=owner, name="Kittiwake")
        revision = record_first(airframe)
        log_flight(user=owner, revision=revision, flown_on=revision.recorded_at.date(), pilot=owner, load="small",
                   verdict="keep")  # fmt: skip
        assert is_grounded(airframe)

    def test_released_once_is_enough(self, owner: Member, instructor: Member, secretary: Member) -> None:
        airframe = add_airframe(user=owner, name="Kittiwake")
        record_first(airframe)
        release(user=instructor, grounding=self.grounding(airframe), reason="looked over")
        set_club_rules(user=secretary, first_flight=False)
        set_club_rules(user=secretary, first_flight=True)
        assert not is_grounded(airframe)


def test_switched_on_it_holds_for_what_has_not_flown(first: Revision, owner: Member, secretary: Member) -> None:
    new = AirframeFactory.create(owner=owner)
    log_flight(user=owner, revision=first, flown_on=first.recorded_at.date(), pilot=owner, load="small", verdict="keep")
    set_club_rules(user=secretary, first_flight=True)
    set_club_rules(user=secretary, first_flight=True)
    assert [one.airframe for one in Grounding.objects.all()] == [new]
    set_club_rules(user=secretary, first_flight=False)
    assert not is_grounded(new)
    withdrawn: Any = Grounding.everything.get()
    assert "does not ask for a second person" in withdrawn.withdrawal_reason
    set_club_rules(user=secretary, first_flight=True)
    assert is_grounded(new)


class TestAfterARebuild:
    def test_whoever_logged_it_does_not_release_it(
        self, owner: Member, instructor: Member, secretary: Member, airframe: Airframe
    ) -> None:
        record_work(user=instructor, airframe=airframe, kind="rebuild", note="new tail")
        grounding = open_groundings(airframe).get()
        with pytest.raises(NotAllowed, match="logged the rebuild"):
            release(user=instructor, grounding=grounding, reason="fine")
        release(user=secretary, grounding=grounding, reason="fine")

    def test_where_the_club_does_not_ask_for_a_second_person(self, instructor: Member, secretary: Member) -> None:
        set_club_rules(user=secretary, after_rebuild=False)
        own = AirframeFactory.create(owner=instructor)
        record_work(user=instructor, airframe=own, kind="rebuild", note="new tail")
        assert is_grounded(own)
        release(user=instructor, grounding=open_groundings(own).get(), reason="pulled and looked at")
        assert not is_grounded(own)
