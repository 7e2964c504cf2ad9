"""Work makes the checks that it touches stale and the airframe "look first", until they are done again."""

import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from hangar.fleet.models import Airframe
from hangar.flights.models import BalanceCheck, Grounding, ThrowCheck, Work
from hangar.flights.operations import Read, record_balance_check, record_throw_check, record_work
from hangar.flights.reasons import in_words
from hangar.flights.standings import standing_of
from hangar.flights.work import Worked
from hangar.members.models import Member
from hangar.setups.models import Revision
from tests.hangar.pages.conftest import SignIn, error_at, values, words

WORK = reverse("flights:log_work", args=["big-glider"])
MEASURED = reverse("flights:measured", args=["big-glider"])
BALANCED = reverse("flights:balanced", args=["big-glider"])
NOON = datetime.datetime(2026, 5, 1, 12, tzinfo=datetime.UTC)
LATER = NOON + datetime.timedelta(hours=1)
THROWS = "its throws were not measured since work on {}"
BALANCE = "its balance was not measured since work on the model"


@pytest.mark.parametrize(
    ("kind", "surface", "reasons"),
    [
        ("servo", "elevator", [THROWS.format("Elevator"), BALANCE]),
        ("horn", "", [THROWS.format("the model")]),
        ("hinge", "elevator", [THROWS.format("Elevator")]),
        ("receiver", "", [BALANCE]),
        ("repair", "", [THROWS.format("the model"), BALANCE]),
        ("rebuild", "", [THROWS.format("the model"), BALANCE]),
        ("other", "", [BALANCE]),
    ],
)
def test_what_it_touches(kind: str, surface: str, reasons: list[str]) -> None:
    worked = Worked(work={(kind, surface): NOON})
    assert in_words(worked.reasons({"elevator": "Elevator"})) == reasons
    worked.throws_read["elevator"] = worked.balanced = LATER
    assert worked.reasons({"elevator": "Elevator"}) == []
    worked.work[kind, surface] = LATER + datetime.timedelta(hours=1)
    assert in_words(worked.reasons({"elevator": "Elevator"})) == reasons


def test_one_surface_read_is_not_the_other() -> None:
    worked = Worked(work={("horn", "rudder"): NOON}, throws_read={"elevator": LATER})
    assert in_words(worked.reasons({"rudder": "Rudder"})) == [THROWS.format("Rudder")]


def test_until_it_is_measured_again(first: Revision, owner: Member) -> None:
    airframe = first.airframe
    before = standing_of(airframe).reasons
    record_work(user=owner, airframe=airframe, kind="servo", surface="elevator", note="new servo", at=NOON)
    assert standing_of(airframe).reasons == [*before, THROWS.format("Elevator"), BALANCE]
    reading = Read("elevator", {"pitch": 100.0}, -9.6, -9.4)
    record_throw_check(user=owner, revision=first, readings=[reading], at=LATER)
    assert standing_of(airframe).reasons == [*before, BALANCE]
    record_balance_check(user=owner, revision=first, load="small", cg_mm=66, at=LATER)
    assert standing_of(airframe).reasons == before


def test_logging_work(first: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    given = {"kind": "horn", "surface": "elevator", "note": "longer horn", "on": "2026-05-01"}
    response = browser.post(WORK, given, follow=True)
    work = Work.objects.get()
    assert (work.kind, work.surface, work.note, work.by) == ("horn", "elevator", "longer horn", owner)
    assert timezone.localdate(work.at) == datetime.date(2026, 5, 1)
    assert "Its throws were not measured since work on Elevator" in words(response)


@pytest.mark.parametrize(
    ("changes", "field", "told"),
    [
        ({"note": ""}, "note", "Say what was done, in a few words."),
        ({"on": "2999-01-01"}, "on", "is still to come"),
        ({"on": "0001-01-01"}, "on", "Give a day of our time"),
        ({"surface": "wheel"}, "surface", "Select a valid choice"),
        ({"kind": "paint"}, "kind", "Select a valid choice"),
        ({"kind": ""}, "kind", "Say what the work was on."),
    ],
)
def test_work_that_cannot_be(
    first: Revision, owner: Member, sign_in: SignIn, changes: dict[str, str], field: str, told: str
) -> None:
    given = {"kind": "horn", "surface": "", "note": "longer horn", "on": "2026-05-01", **changes}
    response = sign_in(owner).post(WORK, given)
    assert told in error_at(response, field)
    assert not Work.objects.exists()


def test_a_rebuild_grounds_it(first: Revision, owner: Member, sign_in: SignIn) -> None:
    given = {"kind": "rebuild", "surface": "", "note": "new wing", "on": timezone.localdate().isoformat()}
    response = sign_in(owner).post(WORK, given, follow=True)
    assert "A second person has to release it." in words(response)
    assert Grounding.objects.get().second_person


def test_measuring_throws(first: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    page = words(browser.get(MEASURED))
    assert "Elevator stick back Elevator should be 9.6 mm up" in page
    response = browser.post(MEASURED, {"read_0": "9.5 down", "read_1": "7 up"}, follow=True)
    check = ThrowCheck.objects.get()
    read = [(one.positions, round(one.predicted_mm, 3), one.measured_mm) for one in check.readings.all()]
    assert read == [({"pitch": -100.0}, 9.6, 9.5), ({"pitch": 100.0}, -9.6, -7.0)]
    assert "More than 1 mm from the prediction: Elevator" in words(response)


def test_throws_that_cannot_be(first: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    response = browser.post(MEASURED, {"read_0": "9.5", "read_1": "7 up", "note": "cold day"})
    assert "does not say which way" in error_at(response, "read_0")
    assert (values(response)["read_1"], values(response)["note"]) == ("7 up", "cold day")
    assert "Give at least one throw" in words(browser.post(MEASURED, {}))
    assert not ThrowCheck.objects.exists()


@pytest.mark.parametrize(
    ("cg", "told"), [("66", "it lies in the allowed range"), ("75", "It lies outside 60 to 70 mm")]
)
def test_balancing(first: Revision, owner: Member, sign_in: SignIn, cg: str, told: str) -> None:
    response = sign_in(owner).post(BALANCED, {"load": "small", "cg_mm": cg, "mass_g": "905"}, follow=True)
    check = BalanceCheck.objects.get()
    assert (check.load, check.cg_mm, check.mass_g) == ("small", float(cg), 905)
    assert told in words(response)


@pytest.mark.parametrize("address", [WORK, MEASURED, BALANCED])
def test_who_may(first: Revision, reader: Member, sign_in: SignIn, address: str) -> None:
    assert sign_in(reader).get(address).status_code == 403
    assert sign_in(reader).get(address.replace("big-glider", "other")).status_code == 404


def test_without_a_setup(airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    assert sign_in(owner).get(WORK).status_code == 200
    for address in (MEASURED, BALANCED):
        assert sign_in(owner).get(address).status_code == 404
