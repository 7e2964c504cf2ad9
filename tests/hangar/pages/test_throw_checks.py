"""Throws read with a ruler: in a phase, with play, beside the prediction, and as a linkage of the draft."""

import datetime
from urllib.parse import parse_qs, urlparse

import pytest
from django.urls import reverse
from django.utils import timezone

from hangar.fleet.models import Airframe
from hangar.flights.models import ThrowCheck
from hangar.flights.operations import Read, record_throw_check
from hangar.members.models import Member
from hangar.setups.models import Draft, Revision
from mixing import Rig, Setup
from tests.hangar.pages.conftest import Answer, SignIn, error_at, values, words

MEASURED = reverse("flights:measured", args=["big-glider"])


def shown(check: ThrowCheck) -> str:
    return reverse("flights:throw_check", args=["big-glider", check.pk])


def as_linkage(check: ThrowCheck, key: str) -> str:
    return reverse("flights:as_linkage", args=["big-glider", check.pk, key])


def box(response: Answer, label: str, place: str) -> str:
    """The name of the box for a surface where the controls stand so."""
    form = response.context["form"]
    fields = dict(form.groups)[place]
    return str(next(field.html_name for field in fields if field.label == label))


@pytest.fixture
def check(glider: Revision, glider_setup: Setup, owner: Member) -> ThrowCheck:
    """The elevator at neutral and both ends, 1.6 mm short at one of them; the rudder once."""
    rig = Rig(glider_setup)
    elevator = [(at, float(rig.at({"pitch": at}).throw_mm["elevator"])) for at in (100.0, -100.0)]
    off = (1.6, 0.3)
    readings = [
        Read("elevator", {}, 0.0, 0.0, play_mm=0.5),
        *(Read("elevator", {"pitch": at}, mm, mm + d) for (at, mm), d in zip(elevator, off, strict=True)),
        Read("rudder", {"yaw": 100.0}, -20.0, -21.0),
    ]
    return record_throw_check(user=owner, revision=glider, readings=readings, note="cold")


def test_neutral_first_then_the_ends(glider: Revision, glider_setup: Setup, owner: Member, sign_in: SignIn) -> None:
    response = sign_in(owner).get(MEASURED)
    groups = [name for name, _ in response.context["form"].groups]
    assert groups[0] == "All controls at rest"
    assert "Elevator stick back" in groups
    assert len(dict(response.context["form"].groups)["All controls at rest"]) == len(glider_setup.surfaces)
    assert values(response)["on"] == timezone.localdate().isoformat()


def test_in_a_phase_with_play(glider: Revision, glider_setup: Setup, owner: Member, sign_in: SignIn) -> None:
    browser, address = sign_in(owner), f"{MEASURED}?phase=thermal"
    assert 'href="?phase=thermal" aria-current="true"' in browser.get(address).content.decode()
    page = browser.get(address)
    flap = box(page, "Left flap", "All controls at rest")
    predicted = float(Rig(glider_setup).at({}, phase="thermal").throw_mm["left_flap"])
    assert f"should be {predicted:.1f} mm down" in words(page)
    given = {flap: f"{predicted + 1.4:.1f} down", "play_left_flap": "0,7", "on": "2026-05-01", "note": "windy"}
    response = browser.post(address, given, follow=True)
    made = ThrowCheck.objects.get()
    reading = made.readings.get()
    assert (reading.phase, reading.positions, reading.play_mm, made.by) == ("thermal", {}, 0.7, owner)
    assert reading.predicted_mm == pytest.approx(predicted)
    assert timezone.localdate(made.at) == datetime.date(2026, 5, 1)
    told = words(response)
    assert "More than 1 mm from the prediction: Left flap" in told
    assert "1 May 2026, by Olive Owner, against revision 1 of Big Glider" in told
    assert "All controls at rest, Thermal" in told
    assert "1.4 mm too far" in told
    assert "Play: 0.7 mm" in told


def test_a_reading_that_no_surface_can_make(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    """A forgotten point: 105 mm for 10.5 mm."""
    response = sign_in(owner).post(MEASURED, {"read_0": "105 up"})
    chord = glider.setup.surfaces[0].chord_mm
    told = f"105.0 mm up is more than a chord of {chord:.1f} mm allows; give at most {2 * chord:.1f} mm."
    assert error_at(response, "read_0") == told
    assert values(response)["read_0"] == "105 up"
    assert not ThrowCheck.objects.exists()


@pytest.mark.parametrize(
    ("given", "field", "told"),
    [
        ({"play_rudder": "0.5"}, "play_rudder", "Give a throw of this surface too"),
        ({"play_rudder": "loose"}, "play_rudder", "is not a number"),
        ({"play_rudder": "-1"}, "play_rudder", "is too small"),
        ({"on": "2999-01-01"}, "on", "is still to come; give the day when it was read"),
        ({"on": "0001-01-01"}, "on", "Give a day of our time"),
    ],
)
def test_what_cannot_be(
    glider: Revision, owner: Member, sign_in: SignIn, given: dict[str, str], field: str, told: str
) -> None:
    response = sign_in(owner).post(MEASURED, {"read_0": "3 up", **given})
    assert told in error_at(response, field)
    assert values(response)["read_0"] == "3 up"
    assert not ThrowCheck.objects.exists()


def test_everyone_sees_what_was_read(check: ThrowCheck, reader: Member, sign_in: SignIn) -> None:
    response = sign_in(reader).get(shown(check))
    told = words(response)
    assert "by Olive Owner, against revision 1" in told
    assert "1.6 mm short" in told
    assert response.content.decode().count("state look-first") == 1
    assert "0.3 mm too far" in told
    assert "Make these readings its linkage" not in told


@pytest.mark.parametrize(
    ("predicted", "measured", "said"),
    [
        (-12.0, -10.5, "1.5 mm short"), (-12.0, -13.2, "1.2 mm too far"), (8.0, -7.5, "15.5 mm, and the other way"),
        (0.0, 1.2, "1.2 mm too far down"), (0.0, -0.4, "0.4 mm too far up"), (8.0, 8.04, "as predicted"),
    ],
)  # fmt: skip
def test_how_far_apart(
    glider: Revision, owner: Member, reader: Member, sign_in: SignIn, predicted: float, measured: float, said: str
) -> None:
    made = record_throw_check(user=owner, revision=glider, readings=[Read("left_flap", {}, predicted, measured)])
    rows = sign_in(reader).get(shown(made)).context["surfaces"][0].rows
    assert [(row.apart, row.far) for row in rows] == [(said, abs(measured - predicted) > 1)]


def test_over_a_millimetre_only(check: ThrowCheck, owner: Member, sign_in: SignIn) -> None:
    """The rudder is off by a millimetre exactly: no more than a ruler may be."""
    rows = {one.key: one.rows for one in sign_in(owner).get(shown(check)).context["surfaces"]}
    assert [row.far for row in rows["elevator"]] == [False, True, False]
    assert [row.far for row in rows["rudder"]] == [False]
    assert rows["elevator"][0].apart == "as predicted"


def test_readings_become_a_linkage(check: ThrowCheck, glider_setup: Setup, owner: Member, sign_in: SignIn) -> None:
    """At the pulses that the servo got there; the draft then predicts what was read."""
    browser = sign_in(owner)
    page = browser.get(shown(check))
    # One reading makes no linkage: the rudder is not offered.
    assert page.content.decode().count("/linkage/") == 1
    response = browser.get(as_linkage(check, "elevator"))
    readings = parse_qs(urlparse(response["Location"]).query)["readings"][0]
    page = browser.get(response["Location"].partition("#")[0])
    assert values(page)["readings"] == readings
    given = {"readings": readings, "do": "take", "version": "0", "base": "1"}
    browser.post(response["Location"].partition("?")[0], given)
    draft = Draft.objects.get(member=owner).setup
    for reading in check.readings.filter(surface="elevator"):
        throw = float(Rig(draft).at(reading.positions).throw_mm["elevator"])
        assert throw == pytest.approx(reading.measured_mm, abs=0.02)
    assert draft.surface("elevator").linkage.kind == "measured"


def test_the_earlier_ones_are_listed(check: ThrowCheck, owner: Member, sign_in: SignIn) -> None:
    response = sign_in(owner).get(MEASURED)
    assert "4 throws against revision 1, by Olive Owner" in words(response)
    later = record_throw_check(user=owner, revision=check.revision, readings=[Read("rudder", {}, 0.0, 0.0)])
    assert [one.pk for one in sign_in(owner).get(MEASURED).context["earlier"]] == [later.pk, check.pk]
    assert f'href="{shown(check)}"' in response.content.decode()


def test_what_is_not_there(
    check: ThrowCheck, airframe: Airframe, owner: Member, reader: Member, sign_in: SignIn
) -> None:
    browser = sign_in(owner)
    assert browser.get(reverse("flights:throw_check", args=["big-glider", 9999])).status_code == 404
    assert browser.get(reverse("flights:throw_check", args=["no-such", check.pk])).status_code == 404
    assert browser.get(as_linkage(check, "wheel")).status_code == 404
    assert browser.get(as_linkage(check, "left_flap")).status_code == 404
    assert browser.post(shown(check)).status_code == 405
    assert sign_in(reader).get(as_linkage(check, "elevator")).status_code == 403
