"""The line-up's rows follow everything that happens: each deed makes a row stale, and what is worked out then is what
holding everything against the rules anew gives."""

import datetime
from collections.abc import Callable
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from hangar.fleet import operations as fleet
from hangar.fleet import rule_operations as rules
from hangar.fleet.checks import failsafe_digest
from hangar.fleet.models import Airframe
from hangar.flights import glances
from hangar.flights import operations as flights
from hangar.flights.models import Glance
from hangar.flights.reasons import in_words
from hangar.flights.standings import standings
from hangar.members.models import Member
from hangar.setups import operations as setups
from hangar.setups.models import Document, DocumentSummary, Revision
from hangar.setups.summaries import layout_told, summaries
from hangar.sheets.operations import record_print
from tests.factories import AirframeFactory, ReceiverFactory, TransmitterFactory, make_setup
from tests.seeding import many_airframes

NOON = datetime.datetime(2026, 5, 1, 12, tzinfo=datetime.UTC)


class Hangar:
    """An airframe with everything on it, and deeds that touch it."""

    def __init__(self, first: Revision, owner: Member, secretary: Member) -> None:
        self.first, self.owner, self.secretary, self.airframe = first, owner, secretary, first.airframe
        self.transmitter = TransmitterFactory.create(owner=owner)
        self.receiver = ReceiverFactory.create(label="R7")
        fleet.fit(user=owner, receiver=self.receiver, airframe=self.airframe, at=NOON)

    def check(self) -> Any:
        return fleet.record_check(
            user=self.owner, airframe=self.airframe, kind="range", transmitter=self.transmitter, passed=True,
            failsafe_digest=failsafe_digest(self.first.setup),
        )  # fmt: skip

    def flight(self, condition: str = "sound") -> Any:
        return flights.log_flight(
            user=self.owner, revision=self.first, flown_on=NOON.date(), pilot=self.owner, load="small", verdict="keep",
            condition_after=condition,
        ).flight  # fmt: skip

    def ground(self) -> Any:
        return flights.ground(user=self.owner, airframe=self.airframe, reason="crack")

    def work(self) -> Any:
        return flights.record_work(user=self.owner, airframe=self.airframe, kind="servo", note="new")

    def entered(self) -> Any:
        return setups.enter(
            user=self.owner, revision=self.first, transmitter=self.transmitter, model_memory="07", at=NOON
        )

    def read(self) -> Any:
        readings = [flights.Read("elevator", {"pitch": 100}, -9.6, -9.5)]
        return flights.record_throw_check(user=self.owner, revision=self.first, readings=readings)

    def balance(self) -> Any:
        return flights.record_balance_check(user=self.owner, revision=self.first, load="small", cg_mm=65, mass_g=900)


def _undone(log: Callable[[Hangar], Any], withdraw: Callable[..., Any], name: str) -> Callable[[Hangar], Any]:
    return lambda h: withdraw(user=h.secretary, reason="not so", **{name: log(h)})


DEEDS: dict[str, Callable[[Hangar], Any]] = {
    "facts": lambda h: fleet.change_airframe(user=h.owner, airframe=h.airframe, status="resting"),
    "left": lambda h: fleet.leave_club(user=h.owner, airframe=h.airframe),
    "moved": lambda h: fleet.fit(user=h.owner, receiver=h.receiver, airframe=AirframeFactory.create(owner=h.owner)),
    "taken out": lambda h: fleet.take_out(user=h.owner, airframe=h.airframe),
    "bound": lambda h: fleet.bind(user=h.owner, airframe=h.airframe, transmitter=h.transmitter),
    "fewer channels": lambda h: fleet.change_receiver(user=h.secretary, receiver=h.receiver, channels=1),
    "relabelled": lambda h: fleet.change_receiver(user=h.secretary, receiver=h.receiver, label="R70"),
    "checked": Hangar.check,
    "check withdrawn": _undone(Hangar.check, fleet.withdraw_check, "check"),
    "recorded": lambda h: setups.record(
        user=h.owner, airframe=h.airframe, setup=make_setup(remarks="x"), base=h.first, reason="x"),
    "rolled back": lambda h: setups.roll_back(
        user=h.owner, airframe=h.airframe, to=h.first, reason="back",
        base=setups.record(user=h.owner, airframe=h.airframe, setup=make_setup(remarks="x"), base=h.first,
                           reason="x").revision),
    "entered": Hangar.entered,
    "entered withdrawn": _undone(Hangar.entered, setups.withdraw_entered, "entered"),
    "flown": Hangar.flight,
    "damaged": lambda h: h.flight("damaged"),
    "flight withdrawn": _undone(Hangar.flight, flights.withdraw_flight, "flight"),
    "grounded": Hangar.ground,
    "released": lambda h: flights.release(user=h.secretary, grounding=h.ground(), reason="glued"),
    "grounding withdrawn": _undone(Hangar.ground, flights.withdraw_grounding, "grounding"),
    "work": Hangar.work,
    "work withdrawn": _undone(Hangar.work, flights.withdraw_work, "work"),
    "throws read": lambda h: (h.work(), h.read()),
    "throws withdrawn": lambda h: (h.work(), _undone(Hangar.read, flights.withdraw_throw_check, "check")(h)),
    "balanced": lambda h: (h.work(), h.balance()),
    "balance withdrawn": _undone(Hangar.balance, flights.withdraw_balance_check, "check"),
    "printed": lambda h: record_print(user=h.owner, revision=h.first),
    "a rule": lambda h: rules.set_club_rules(user=h.secretary, mark="look_first"),
    "first flights": lambda h: rules.set_club_rules(user=h.secretary, first_flight=True),
    "a band": lambda h: (h.balance(), rules.add_mass_band(user=h.secretary, label="b", from_g=1, weight="look_first")),
}  # fmt: skip


@pytest.mark.parametrize("deed", DEEDS)
def test_every_deed_reaches_the_line_up(first: Revision, owner: Member, secretary: Member, deed: str) -> None:
    hangar = Hangar(first, owner, secretary)
    glances.refresh_all()
    before = _row(first.airframe)
    DEEDS[deed](hangar)
    assert Glance.objects.get(airframe=first.airframe).stale, "what is stale never says that it is ready to fly"
    glances.refresh_all()
    assert not list(glances.differing(Airframe.objects.values_list("pk", flat=True)))
    if "withdrawn" not in deed and deed not in ("released", "rolled back", "bound"):
        assert _row(first.airframe) != before, "the deed shows in the row"


def _row(airframe: Airframe) -> dict[str, Any]:
    return {**Glance.objects.values().get(airframe=airframe), "touched": 0}


def test_what_happens_while_a_row_is_worked_out_is_not_lost(first: Revision, owner: Member, monkeypatch: Any) -> None:
    glances.touch([first.airframe_id])

    def grounded_meanwhile(airframes: Any) -> Any:
        found = standings(airframes)
        flights.ground(user=owner, airframe=first.airframe, reason="crack")
        return found

    monkeypatch.setattr(glances, "standings", grounded_meanwhile)
    glances.refresh([first.airframe_id])
    assert Glance.objects.get(airframe=first.airframe).stale
    monkeypatch.setattr(glances, "standings", standings)
    glances.refresh([first.airframe_id])
    assert Glance.objects.get(airframe=first.airframe).state == "grounded"


def test_a_grounded_one_stays_so_while_it_is_stale(first: Revision, owner: Member) -> None:
    flights.ground(user=owner, airframe=first.airframe, reason="crack")
    glances.refresh_all()
    glances.touch_all()
    assert Glance.objects.get(airframe=first.airframe).state == "grounded"


@pytest.mark.django_db(transaction=True)
def test_the_row_is_there_as_soon_as_the_deed_is_done(owner: Member) -> None:
    airframe = fleet.add_airframe(user=owner, name="Kittiwake")
    flights.ground(user=owner, airframe=airframe, reason="crack")
    row = Glance.objects.get(airframe=airframe)
    assert (row.stale, row.state, in_words(row.reasons)) == (False, "grounded", ["crack"])


def test_another_version_of_the_code_works_everything_out_anew(
    first: Revision, owner: Member, monkeypatch: pytest.MonkeyPatch
) -> None:
    glances.refresh_all()
    assert not glances._stale()
    monkeypatch.setattr(glances, "rules_version", lambda: "of another code")
    assert glances._stale() == [first.airframe_id]
    assert Glance.objects.get(airframe=first.airframe).reasons == glances.STALE
    glances.refresh_stale()
    assert Glance.objects.get(airframe=first.airframe).code == "of another code"


def test_time_runs_out(monkeypatch: pytest.MonkeyPatch, owner: Member) -> None:
    many_airframes(12)
    glances.touch_all()
    glances.refresh_stale(seconds=0)
    assert Glance.objects.filter(stale=True).count() == 7, "five at least, however little time there is"
    glances.refresh_stale(seconds=60)
    assert not Glance.objects.filter(stale=True).exists()


class TestTheCommand:
    def test_it_names_what_is_wrong(self, first: Revision, capsys: pytest.CaptureFixture[str]) -> None:
        call_command("line_up")
        call_command("line_up", "--check")
        assert "Every row says what is so: 1 airframes." in capsys.readouterr().out
        Glance.objects.update(state="ready to fly", warnings=7)
        with pytest.raises(CommandError, match="1 of 1 rows differ"):
            call_command("line_up", "--check")
        assert "big-glider: state, warnings" in capsys.readouterr().err

    def test_it_makes_a_row_that_is_missing(self, first: Revision) -> None:
        Glance.objects.all().delete()
        with pytest.raises(CommandError, match="1 of 1"):
            call_command("line_up", "--check")
        call_command("line_up")
        call_command("line_up", "--check")


class TestSummaries:
    def test_made_once_for_a_document_and_a_version_of_the_code(
        self, first: Revision, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        made = summaries([first.document_id])[first.document_id]
        assert (made.layout, made.highest_channel, made.warnings) == ("elevator +electric_motor", 3, 0)
        assert layout_told(made.layout) == "elevator, motor"
        assert layout_told("2 ailerons, elevator motor") == "elevator", "as an older version kept it"
        with CaptureQueriesContext(connection) as asked:
            assert summaries([first.document_id])[first.document_id].layout == made.layout
        assert len(asked) == 1
        monkeypatch.setattr("hangar.setups.summaries.code_version", lambda: "another")
        assert summaries([first.document_id])[first.document_id].code == "another"
        assert DocumentSummary.objects.count() == 2
        assert Document.objects.count() == 1

    def test_two_at_once_keep_one(self, first: Revision) -> None:
        summaries([first.document_id])
        again = DocumentSummary.objects.get()
        again.pk = None
        DocumentSummary.objects.bulk_create([again], ignore_conflicts=True)
        assert DocumentSummary.objects.count() == 1
