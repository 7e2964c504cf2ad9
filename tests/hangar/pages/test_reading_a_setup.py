"""The airframe's page, a revision's page, the history and comparing: the numbers on them are those of mixing."""

import json

import pytest
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.pictures.words import plain
from hangar.setups.models import Revision
from hangar.setups.operations import record
from mixing import Rig, Setup
from tests.hangar.pages.conftest import SignIn, words


def test_throws_at_the_ends(glider: Revision, glider_setup: Setup, reader: Member, sign_in: SignIn) -> None:
    page = words(sign_in(reader).get(reverse("flights:airframe", args=["big-glider"])))
    back = Rig(glider_setup).at({"lever": -100})
    flap, aileron = (plain(abs(float(back.throw_mm[key]))) for key in ("right_flap", "right_aileron"))
    assert f"Left lever back ↑ {aileron} mm up" in page
    assert f"↓ {flap} mm down" in page
    assert "Rudder stick right" in page
    assert "→ 38.0 mm right" in page


def test_throws_in_a_phase(glider: Revision, glider_setup: Setup, reader: Member, sign_in: SignIn) -> None:
    address = reverse("flights:airframe", args=["big-glider"])
    thermal = plain(abs(float(Rig(glider_setup).at({"roll": 100}, phase="thermal").throw_mm["left_flap"])))
    assert thermal == "9.6"
    assert "9.6 mm down" in words(sign_in(reader).get(f"{address}?phase=thermal"))
    assert "9.6 mm down" not in words(sign_in(reader).get(address))
    assert sign_in(reader).get(f"{address}?phase=night").status_code == 200


def test_channels_led_by_what_they_move(glider: Revision, reader: Member, sign_in: SignIn) -> None:
    page = words(sign_in(reader).get(reverse("flights:airframe", args=["big-glider"])))
    assert "Right aileron 1 Right aileron plus moves it down no 1500 µs 900 to 2100 µs keeps its last position" in page
    assert "Left flap 7 Left flap plus moves it down reversed 1500 µs" in page
    assert "Motor 3 Motor off at −100 %, full at 100 % no 1500 µs 900 to 2100 µs goes to −100 %: off" in page
    assert "Before switching on: Left lever forward; Right slider back; Phase switch middle." in page


def test_what_belongs_to_it(glider: Revision, helper: Member, reader: Member, sign_in: SignIn) -> None:
    response = sign_in(reader).get(reverse("flights:airframe", args=["big-glider"]))
    page, body = words(response), response.content.decode()
    assert "Revision 1, the current setup first setup" in page
    assert "Olive Owner" in page
    assert "Henry Helper" in page
    assert "Take the propeller off or disconnect the motor" in page
    assert reverse("sheets:setup_sheet", args=["big-glider", 1]) in body
    assert reverse("setups:throws", args=["big-glider"]) not in body
    assert (
        reverse("setups:throws", args=["big-glider"])
        in sign_in(helper).get(response.request["PATH_INFO"]).content.decode()
    )


def test_an_airframe_without_a_setup(airframe: Airframe, owner: Member, reader: Member, sign_in: SignIn) -> None:
    address = reverse("flights:airframe", args=["big-glider"])
    assert "Start a setup" in words(sign_in(owner).get(address))
    assert "Start a setup" not in words(sign_in(reader).get(address))
    assert "No setup is recorded yet." in words(sign_in(reader).get(reverse("flights:history", args=["big-glider"])))


@pytest.fixture
def second(glider: Revision, owner: Member) -> Revision:
    """Full down flap reduced from 95 to 60 %."""
    couplings = [
        coupling.model_copy(update={"stations": ((-100.0, 60.0), (100.0, 0.0))})
        if (coupling.control, coupling.channel) in (("lever", 6), ("lever", 7)) else coupling
        for coupling in glider.setup.couplings
    ]  # fmt: skip
    setup = glider.setup.changed(couplings=[one.model_dump() for one in couplings])
    return record(user=owner, airframe=glider.airframe, setup=setup, base=glider, reason="less brake").revision


def test_the_history(second: Revision, glider_setup: Setup, reader: Member, sign_in: SignIn) -> None:
    page = words(sign_in(reader).get(reverse("flights:history", args=["big-glider"])))
    assert page.index("Revision 2") < page.index("Revision 1")
    assert "less brake" in page
    assert "not flown" in page
    was, now = (plain(float(Rig(s).at({"lever": -100}).throw_mm["right_flap"])) for s in (glider_setup, second.setup))
    assert f"Right flap {was} mm down → {now} mm down" in page


def test_a_revision(second: Revision, reader: Member, sign_in: SignIn) -> None:
    response = sign_in(reader).get(reverse("flights:revision", args=["big-glider", 1]))
    assert "An earlier setup: not what the model should have now." in words(response)
    assert "roll-back" not in response.content.decode()
    newest = words(sign_in(reader).get(reverse("flights:revision", args=["big-glider", 2])))
    assert "The current setup." in newest
    assert second.seal in newest


def test_downloading_it(second: Revision, reader: Member, sign_in: SignIn) -> None:
    response = sign_in(reader).get(reverse("setups:revision_json", args=["big-glider", 2]))
    assert response["Content-Disposition"] == 'attachment; filename="big-glider-revision-2.json"'
    assert response.content.decode() == second.document.text
    assert json.loads(response.content)["schema"] == 1


def test_comparing(second: Revision, glider_setup: Setup, reader: Member, sign_in: SignIn) -> None:
    address = reverse("flights:compare", args=["big-glider"])
    was, now = (plain(float(Rig(s).at({"lever": -100}).throw_mm["right_flap"])) for s in (glider_setup, second.setup))
    forth, back = words(sign_in(reader).get(address)), words(sign_in(reader).get(f"{address}?from=2&to=1"))
    assert f"Left lever back Right flap ↓ {was} mm down → ↓ {now} mm down" in forth
    assert f"Left lever back Right flap ↓ {now} mm down → ↓ {was} mm down" in back
    assert "95 % at −100, 0 % at +100 60 % at −100, 0 % at +100" in forth
    assert "No throw at the end of a control differs." in words(sign_in(reader).get(f"{address}?from=2&to=2"))
    for query in ("from=3", "to=two", "from=-1"):
        assert sign_in(reader).get(f"{address}?{query}").status_code == 404


def test_comparing_needs_two(glider: Revision, reader: Member, sign_in: SignIn) -> None:
    assert sign_in(reader).get(reverse("flights:compare", args=["big-glider"])).status_code == 404
