"""The bench: controls are moved on the screen, and every surface and device answers with the numbers of the rig."""

import json
import re
from typing import Any

import pytest
from django.urls import reverse

import mixing
from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.bench import bench_at, full_throw_mm, near, where_words
from hangar.setups.models import Draft, Revision
from mixing import Rig, Setup
from tests.hangar.pages.conftest import SignIn, values, words

BENCH = reverse("setups:bench", args=["big-glider"])
HTMX = {"HX-Request": "true"}


def test_at_rest_without_a_query(glider: Revision, reader: Member, sign_in: SignIn) -> None:
    response = sign_in(reader).get(BENCH)
    page = words(response)
    assert "Big Glider on the bench" in page
    assert "Revision 1, the current setup." in page
    assert "Before you touch the model" in page
    sliders = {name: value for name, value in values(response).items() if name.startswith("at_")}
    assert sliders == {"at_roll": "0", "at_pitch": "0", "at_yaw": "0", "at_lever": "100", "at_power": "-100"}
    assert re.search(r"Elevator stick .*? forward back ", page)
    assert response.context["bench"].phase == "Cruise"


def test_the_answers_are_those_of_the_rig(
    glider: Revision, glider_setup: Setup, owner: Member, sign_in: SignIn
) -> None:
    response = sign_in(owner).get(BENCH, {"at_lever": "-100", "at_roll": "50", "at_power": "100"})
    frame = Rig(glider_setup).at({"lever": -100, "roll": 50, "power": 100})
    page = words(response)
    for surface in glider_setup.surfaces:
        throw, degrees = float(frame.throw_mm[surface.key]), float(frame.deflection_deg[surface.key])
        told = next(one for one in response.context["bench"].surfaces if one.label == surface.label)
        assert told.cell.figure == (f"{abs(throw):.1f} mm" if abs(throw) >= 0.05 else "0 mm")
        assert told.degrees == (f"{abs(degrees):.1f}°" if abs(degrees) >= 0.05 else "0°")
        assert f"{told.cell.figure}" in page
        assert f"channel {surface.channel} " in page
        if abs(throw) >= 0.05 and surface.role == "flap":
            assert told.cell.word == "down"
    assert response.context["bench"].devices[0].cell.figure == "100 %"


def test_the_switch_chooses_the_phase(glider: Revision, glider_setup: Setup, owner: Member, sign_in: SignIn) -> None:
    bench = sign_in(owner).get(BENCH, {"at_flightphase": "-100"}).context["bench"]
    assert bench.phase == "Thermal"
    throw = float(Rig(glider_setup).at({}, phase="thermal").throw_mm["left_flap"])
    assert throw > 0.5
    assert next(one for one in bench.surfaces if one.label == "Left flap").cell.figure == f"{throw:.1f} mm"


@pytest.mark.parametrize(
    ("control", "given", "told"),
    [
        ("roll", "abc", "“abc” is not a number; give one such as 12 or −7.5."),
        ("roll", "NaN", "“NaN” is not a number"),
        ("lever", "300", "300 is too large; give at most 100."),
        ("lever", "-100.5", "−100.5 is too small; give at least −100."),
        ("flightphase", "40", "“40” is not a position of this switch; give one of −100, 0, 100."),
        ("flightphase", "x" * 900, "“" + "x" * 40 + "” is not a position"),
    ],
)
def test_a_position_that_cannot_be(
    glider: Revision, owner: Member, sign_in: SignIn, control: str, given: str, told: str
) -> None:
    response = sign_in(owner).get(BENCH, {f"at_{control}": given, "at_pitch": "75"})
    assert response.status_code == 200
    assert told in error_in_span(response, f"at_{control}")
    rest = {"at_roll": "0", "at_lever": "100"}
    assert control == "flightphase" or values(response)[f"at_{control}"] == rest[f"at_{control}"]
    # What else was given still holds.
    assert values(response)["at_pitch"] == "75"
    assert response.context["form"].positions["pitch"] == 75


def error_in_span(response: object, name: str) -> str:
    body = response.content.decode()  # type: ignore[attr-defined]
    found = re.search(rf'<span class="error" id="id_{name}_error">(.*?)</span>', body, flags=re.DOTALL)
    assert found is not None
    return found[1]


def test_a_position_between_whole_steps_stays(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    body = sign_in(owner).get(BENCH, {"at_roll": "12,5"}).content.decode()
    box = re.search(r'<input[^>]*name="at_roll"[^>]*>', body)
    assert box is not None
    assert 'value="12.5"' in box[0]
    assert 'step="any"' in box[0]


def test_only_the_answer_for_htmx(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    whole = sign_in(owner).get(BENCH, {"at_roll": "50"})
    part = sign_in(owner).get(BENCH, {"at_roll": "50"}, headers=HTMX)
    assert "HX-Request" in whole["Vary"]
    assert "HX-Request" in part["Vary"]
    body = part.content.decode()
    assert "<html" not in body
    assert "<input" not in body
    assert 'id="bench-picture" hx-swap-oob="true"' in body
    assert 'id="told_roll" hx-swap-oob="true"' in body
    assert "half right" in words(part)
    assert words(part).split("Findings near here")[0].strip() in words(whole)


def test_nothing_that_a_strict_policy_forbids(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    body = sign_in(owner).get(BENCH, {"at_roll": "50"}).content.decode()
    assert not re.search(r'\sstyle="|hx-on|\son\w+="|hx-trigger="[^"]*\[', body)


def test_another_revision_and_the_own_draft(
    glider: Revision, glider_setup: Setup, owner: Member, reader: Member, sign_in: SignIn
) -> None:
    browser = sign_in(owner)
    response = browser.get(BENCH, {"revision": "1", "at_roll": "100"})
    assert "Revision 1." in words(response)
    assert values(response)["revision"] == "1"
    assert "further" not in words(response)
    assert f'href="{BENCH}?revision=1"' in response.content.decode()
    for wrong in ("99", "x", "²", "9" * 30):
        assert browser.get(BENCH, {"revision": wrong}).status_code == 404
    data = glider_setup.data()
    data["couplings"] = []
    Draft.objects.create(airframe=glider.airframe, member=owner, base=glider, text=json.dumps(data))
    assert f'href="{BENCH}?of=draft"' in browser.get(BENCH).content.decode()
    drafted = browser.get(BENCH, {"of": "draft", "at_roll": "100"})
    assert "Your draft, and beside it revision 1, dashed." in words(drafted)
    assert all(one.cell.figure == "0 mm" for one in drafted.context["bench"].surfaces if one.label != "Elevator")
    # Another member has no such draft: they see what is recorded.
    assert "Revision 1, the current setup." in words(sign_in(reader).get(BENCH, {"of": "draft"}))


def test_a_draft_that_is_not_complete(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    Draft.objects.create(airframe=glider.airframe, member=owner, base=glider, text='{"schema": 1, "channels": []}')
    for headers in ({}, HTMX):
        response = sign_in(owner).get(BENCH, {"of": "draft"}, headers=headers)
        assert response.status_code == 200
        assert "not complete yet" in words(response)


def test_without_a_setup(airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    assert sign_in(owner).get(BENCH).status_code == 404


def test_findings_near_where_the_controls_stand(glider_setup: Setup) -> None:
    found = tuple(mixing.audit(glider_setup))
    past = next(one for one in found if one.code == "past-stop")
    assert past in near(found, glider_setup, past.at)
    key = next(key for key, at in past.at.items() if abs(at) > 50 and not glider_setup.control(key).positions)
    assert past not in near(found, glider_setup, {**past.at, key: 0.0})
    beyond = bench_at(glider_setup, past.at).surfaces
    assert any("beyond its stop" in one.cell.notes for one in beyond)


def test_pictures_share_one_scale(glider_setup: Setup) -> None:
    """A tenth of the stick is drawn smaller than the whole: the largest throw of the setup fills the picture."""
    rolled = Rig(glider_setup).at({"roll": [-100, 100], "lever": -100}).throw_mm
    assert full_throw_mm(glider_setup) >= max(abs(throw).max() for throw in rolled.values())

    def depth(position: float) -> float:
        picture = bench_at(glider_setup, {"pitch": position}).wide
        points = re.findall(r'<polygon points="([^"]*)"', picture)
        assert len(points) == 1
        heights = [float(point.split(",")[1]) for point in points[0].split()]
        return max(heights) - min(heights)

    assert depth(50) < 0.8 * depth(100)


def test_where_a_switch_stands(glider_setup: Setup) -> None:
    switch = glider_setup.control("flightphase")
    assert [where_words(glider_setup, switch, x) for x in (-100, 0)] == ["down: Thermal", "middle: Cruise (rest)"]
    named = switch.model_copy(update={"plus": "cruise"})
    assert [where_words(glider_setup, named, x) for x in (-100, 0)] == ["Thermal", "Cruise (rest)"]


def test_a_draft_beside_the_current_revision(
    glider: Revision, glider_setup: Setup, owner: Member, sign_in: SignIn
) -> None:
    """Both at the same place of the controls, in figures, in words and as a dashed outline."""
    data = glider_setup.data()
    for one in data["couplings"]:
        if one["control"] == "roll":
            one["stations"] = [[x, y * 0.5] for x, y in one["stations"]]
    data["surfaces"] = [one for one in data["surfaces"] if one["key"] != "rudder"]
    data["couplings"] = [one for one in data["couplings"] if one["channel"] != glider_setup.surface("rudder").channel]
    data["surfaces"][0]["key"], data["surfaces"][0]["pair"] = "brand_new", None
    new = data["surfaces"][0]["label"]
    draft = Draft.objects.create(airframe=glider.airframe, member=owner, base=glider, text=json.dumps(data))
    at = {"roll": 100.0, "lever": 20.0}
    response = sign_in(owner).get(BENCH, {"of": "draft", **{f"at_{key}": str(value) for key, value in at.items()}})
    was, now = Rig(glider_setup).at(at), Rig(draft.setup).at(at)
    for one in response.context["bench"].surfaces:
        if one.label == new:
            assert (one.other, one.difference) == (None, "")
            continue
        surface = next(other for other in draft.setup.surfaces if other.label == one.label)
        before, after = (round(float(frame.throw_mm[surface.key]), 1) for frame in (was, now))
        assert one.other.figure == (f"{abs(before):.1f} mm" if before else "0 mm")
        further = f"{abs(after - before):.1f} mm further {'down' if after > before else 'up'}"
        assert one.difference == (further if before != after else "")
        assert "beside it" in one.picture
        assert 'stroke-dasharray="3 2.5"' in one.picture
    assert "further" in words(response)
    assert "not in revision 1" in words(response)
    assert 'stroke-dasharray="4 3"' in response.context["bench"].wide


def test_beside_stands_where_it_can(glider_setup: Setup) -> None:
    """A switch position that the other setup does not have leaves its switch at rest; so does a new control."""
    data = glider_setup.data()
    switch = next(one for one in data["controls"] if one["key"] == "flightphase")
    switch["positions"] = [-100, -50, 0, 100]
    data["controls"].append(
        {"key": "knob", "label": "Knob", "kind": "knob", "plus": "right", "rest": 0, "positions": None, "uses": []}
    )
    draft = Setup.from_text(json.dumps(data))
    bench = bench_at(draft, {"flightphase": -50, "knob": 70}, beside=glider_setup)
    rest = bench_at(glider_setup, {})
    assert [one.other.figure for one in bench.surfaces if one.other] == [one.cell.figure for one in rest.surfaces]


def test_the_response_follows(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    chosen = browser.get(BENCH, {"at_roll": "50", "response": "pitch"}).context["bench"].response
    assert (chosen.key, "Throws over Elevator stick" in chosen.wide) == ("pitch", True)
    # Without a choice it is the control that was moved, with a full dot on each of its lines where it stands.
    moved = browser.get(BENCH, {"at_roll": "50"}).context["bench"].response
    assert moved.key == "roll"
    assert re.findall(r'<circle [^>]*r="4"[^>]*fill="#15212b"', moved.wide)
    for wrong in ("wheel", "x" * 300):
        assert browser.get(BENCH, {"response": wrong}).status_code == 200


def test_what_the_brake_leaves(glider: Revision, glider_setup: Setup, owner: Member, sign_in: SignIn) -> None:
    for lever in (-100, 20, 100):
        response = sign_in(owner).get(BENCH, {"at_lever": str(lever)})
        share = mixing.authority_left(glider_setup, {"lever": lever})["roll"]
        assert f"roll {100 * share:.0f} %" in words(response)


def test_limits_and_stops_are_marked(glider_setup: Setup) -> None:
    found = tuple(mixing.audit(glider_setup))
    past = next(one for one in found if one.code == "past-stop")
    label = glider_setup.surface(past.where.partition("/")[2]).label
    beyond = next(one for one in bench_at(glider_setup, past.at).surfaces if one.label == label)
    assert "beyond its stop" in beyond.picture
    assert 'stroke="#a3211d"' in beyond.picture
    rest = next(one for one in bench_at(glider_setup, {}).surfaces if one.label == label)
    assert "#a3211d" not in rest.picture
    number = glider_setup.surface("elevator").channel
    narrow = glider_setup.changed(
        channels=[c.model_copy(update={"low_us": 1450.0, "high_us": 1550.0}) if c.number == number else c
                  for c in glider_setup.channels]
    )  # fmt: skip
    held = next(one for one in bench_at(narrow, {"pitch": 100}).surfaces if one.label == "Elevator")
    free = next(one for one in bench_at(glider_setup, {"pitch": 100}).surfaces if one.label == "Elevator")
    assert "cut by the channel's limit" in held.cell.notes
    assert held.picture.count("<line") == free.picture.count("<line") + 2


def test_a_moved_lever_asks_little_of_the_database(
    glider: Revision, owner: Member, sign_in: SignIn, django_assert_max_num_queries: Any
) -> None:
    browser = sign_in(owner)
    browser.get(BENCH)
    with django_assert_max_num_queries(6):
        browser.get(BENCH, {"at_roll": "50"}, headers=HTMX)
