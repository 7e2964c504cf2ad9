"""Loading the demo club: once, whole, and into an empty hangar only."""

import io
from collections.abc import Iterator

import pytest
from django.contrib.auth import authenticate
from django.contrib.auth.password_validation import validate_password
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection, transaction
from django.test import RequestFactory
from django.test.utils import CaptureQueriesContext
from pytest_django.plugin import DjangoDbBlocker

from hangar.demo import DemoClub, DemoError, load
from hangar.demo.loading import _load
from hangar.fleet.models import Airframe, Binding, Check, Fitting, Receiver, Transmitter
from hangar.flights.models import Flight, Grounding, Reading, ThrowCheck, Verdict, Work
from hangar.flights.reports import is_grounded, last_that_flew_well
from hangar.flights.standings import standing_of
from hangar.flights.standings import standings as standings_of
from hangar.members.models import FORMER, Member
from hangar.setups.history import current_head
from hangar.setups.models import Document, Entered, Revision
from tests.factories import MemberFactory
from tests.hangar.demo.documents import AT_FAULT, SLUGS, revisions

TABLES = (
    Airframe, Binding, Check, Document, Entered, Fitting, Flight, Grounding, Member, Reading, Receiver, Revision,
    ThrowCheck, Transmitter, Work,
)  # fmt: skip


def counts() -> dict[str, int]:
    return {table.__name__: table._default_manager.count() for table in TABLES}


@pytest.fixture(scope="module")
def said() -> list[str]:
    return []


@pytest.fixture(scope="module")
def club(django_db_setup: None, django_db_blocker: DjangoDbBlocker, said: list[str]) -> Iterator[DemoClub]:
    """The club, loaded once for all tests here; they leave it as it is."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield load(say=said.append)
        transaction.set_rollback(True)


@pytest.fixture
def unchanged(club: DemoClub) -> Iterator[DemoClub]:
    """The club, and whatever the test does to it undone."""
    with transaction.atomic():
        yield club
        transaction.set_rollback(True)


def test_everything_of_the_files_is_there(club: DemoClub) -> None:
    assert sorted(Airframe.objects.values_list("slug", flat=True)) == sorted(SLUGS)
    for slug in SLUGS:
        stored = Revision.objects.filter(airframe__slug=slug).order_by("number")
        assert [revision.setup for revision in stored] == list(revisions(slug))
    assert Flight.objects.count() > 40


def test_a_second_load_changes_nothing_and_is_quick(unchanged: DemoClub) -> None:
    before = counts()
    assert all(before.values())
    with CaptureQueriesContext(connection) as asked:
        again = load(say=lambda line: None)
    assert len(asked) < 10, "the first one asks thousands of times"
    assert again == unchanged
    assert counts() == before


def test_it_is_known_again_after_the_demo_was_tried_out(unchanged: DemoClub) -> None:
    Airframe.objects.update(name="Renamed", mark="")
    Member.objects.filter(login="ove").update(is_active=False)
    before = counts()
    again = load(say=lambda line: None)
    assert counts() == before
    assert [login.login for login in again.logins] == [one.login for one in unchanged.logins if one.login != "ove"]


def test_what_was_done_is_said(club: DemoClub, said: list[str]) -> None:
    assert len(said) == 2
    assert f"{len(SLUGS)} airframes" in said[1]
    assert "invented" in said[1]


def test_each_login_signs_in_with_its_password(club: DemoClub) -> None:
    assert len(club.logins) == 8
    assert {login.role for login in club.logins} == {"pilot", "instructor", "secretary"}
    request = RequestFactory().post("/")
    for login in club.logins:
        member = authenticate(request, username=login.login, password=login.password)
        assert isinstance(member, Member)
        assert (member.display_name, member.role) == (login.name, login.role)
        validate_password(login.password, member)


def test_a_member_who_left_is_named_nowhere(club: DemoClub) -> None:
    author = Revision.objects.get(airframe__slug="ebb", number=1).author
    assert author.display_name == FORMER
    assert not author.is_active


def test_every_seal_holds(club: DemoClub) -> None:
    out = io.StringIO()
    call_command("verify_history", stdout=out)
    assert str(Revision.objects.count()) in out.getvalue()


def test_the_showpiece_was_rolled_back_after_a_bad_flight_and_flies_well_now(club: DemoClub) -> None:
    airframe = Airframe.objects.get(slug=club.showpiece)
    bad = Flight.objects.get(revision__airframe=airframe, verdict=Verdict.REJECT)
    after = Revision.objects.get(airframe=airframe, number=bad.revision.number + 1)
    assert after.origin == "rollback of 3"
    assert after.document_id == Revision.objects.get(airframe=airframe, number=3).document_id
    assert last_that_flew_well(airframe) == current_head(airframe)
    assert not is_grounded(airframe)


def test_only_the_one_at_fault_is_grounded(club: DemoClub) -> None:
    assert [airframe.slug for airframe in Airframe.objects.all() if is_grounded(airframe)] == [AT_FAULT]
    assert Grounding.objects.filter(airframe__slug=AT_FAULT, released_at=None, second_person=True).exists()


def test_the_line_up_is_a_living_mix(club: DemoClub) -> None:
    states = {one.airframe.slug: one.state for one in standings_of(Airframe.objects.all())}
    assert sorted(slug for slug, state in states.items() if state == "look first") == ["ebb", "saltlick", "whelk"]
    assert [slug for slug, state in states.items() if state == "grounded"] == [AT_FAULT]
    assert sum(state == "ready to fly" for state in states.values()) == len(SLUGS) - 4


def test_the_club_has_rules_of_its_own(club: DemoClub) -> None:
    told = {one.airframe.slug: one.told for one in standings_of(Airframe.objects.all())}
    assert "in the band “heavy”: from the north strip only" in told["pier-tug"][0]
    assert told["long-groyne"] == []
    assert told["ebb"] == ["club rule: its flying mass was not weighed"]


def test_a_receiver_sits_in_every_airframe_and_one_is_spare(club: DemoClub) -> None:
    assert Fitting.objects.filter(until=None).count() == len(SLUGS)
    assert list(Receiver.objects.filter(status="spare").values_list("label", flat=True)) == ["R12"]
    assert list(Receiver.objects.filter(status="retired").values_list("label", flat=True)) == ["R4"]


def test_the_receiver_that_moved_made_the_checks_stale_and_the_others_stand(club: DemoClub) -> None:
    moved = Fitting.objects.get(airframe__slug="whelk", until=None).receiver
    assert Fitting.objects.get(receiver=moved, airframe__slug=AT_FAULT).until is not None
    for airframe in Airframe.objects.all():
        found = standing_of(airframe).checks
        assert set(found) == {"failsafe", "range"}
        current = {kind for kind, standing in found.items() if standing.current}
        stale = airframe.slug in ("whelk", AT_FAULT)
        assert current == (set() if stale else {"failsafe", "range"}), airframe.slug


def test_throws_read_at_the_model_are_close_to_the_prediction(club: DemoClub) -> None:
    readings = Reading.objects.all()
    assert readings.count() > 20
    assert all(abs(reading.off_by_mm) < 1.0 for reading in readings)


def test_nothing_happened_after_october_2026(club: DemoClub) -> None:
    for table, field in ((Revision, "recorded_at"), (Flight, "recorded_at"), (Work, "at"), (Entered, "at")):
        assert all(moment.isoformat() < "2026-11" for moment in table._default_manager.values_list(field, flat=True))


@pytest.mark.django_db
def test_a_hangar_with_members_of_its_own_is_left_alone() -> None:
    MemberFactory.create()
    with pytest.raises(DemoError, match="HANGAR_DATA") as refusal:
        load(say=lambda line: None)
    assert isinstance(refusal.value, CommandError), "a command shows it as one line"
    assert Member.objects.count() == 1


@pytest.mark.django_db
def test_a_load_that_is_interrupted_leaves_nothing_behind(monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*args: object) -> None:
        MemberFactory.create()
        raise KeyboardInterrupt

    monkeypatch.setattr(f"{_load.__module__}.{_load.__name__}", interrupted)
    with pytest.raises(KeyboardInterrupt):
        load(say=lambda line: None)
    assert not Member.objects.exists()
