"""A linkage of the draft: looked at to scale, taken from readings of a ruler, found by its holes."""

import json
import re
from collections.abc import Mapping

import pytest
from django.test import Client
from django.urls import reverse

from hangar.members.models import Member
from hangar.setups.linkage_forms import read_holes
from hangar.setups.models import Draft, Revision
from hangar.setups.reaches import reach_of
from mixing import Rig, Setup, solve
from mixing.document import FourBar
from tests.hangar.pages.conftest import Answer, SignIn, error_at, values, words

ALL = reverse("setups:linkages", args=["big-glider"])


def page(index: int) -> str:
    return reverse("setups:linkage", args=["big-glider", index])


def place(setup: Setup, kind: str) -> int:
    return next(n for n, one in enumerate(setup.surfaces) if one.linkage.kind == kind)


def send(browser: Client, index: int, given: Mapping[str, object], *, follow: bool = True) -> Answer:
    desk = browser.get(page(index)).context["desk"]
    base = {} if desk.draft else {"base": desk.base.number}
    answer: Answer = browser.post(page(index), {"version": desk.version, **base, **given}, follow=follow)
    return answer


def drafted(member: Member) -> Setup:
    return Setup.from_text(Draft.objects.get(member=member).text)


def test_everyone_looks_at_all(glider: Revision, glider_setup: Setup, reader: Member, sign_in: SignIn) -> None:
    response = sign_in(reader).get(ALL)
    told = words(response)
    for surface in glider_setup.surfaces:
        assert surface.label in told
        for stand in reach_of(glider_setup, surface):
            assert f"{abs(stand.throw_mm):.1f} mm" in told or abs(stand.throw_mm) < 0.05
    bars = sum(one.linkage.kind == "four_bar" for one in glider_setup.surfaces)
    assert response.content.decode().count("to scale: arm") == 2 * bars


def test_the_ends_are_those_of_the_rig(glider_setup: Setup) -> None:
    for surface in glider_setup.surfaces:
        low, high = reach_of(glider_setup, surface)
        frame = Rig(glider_setup).at({"lever": -100, "roll": [-100, 0, 100], "pitch": 0})
        assert low.deflection_deg <= frame.deflection_deg[surface.key].min() + 1e-9
        assert high.deflection_deg >= frame.deflection_deg[surface.key].max() - 1e-9


def test_readings_are_fitted_and_shown(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    given = {"readings": "1000 12 up\n1500 0,4 down\n2000 12 down\n1500 0,4 up\n1000 11,6 up", "do": "fit"}
    response = send(browser, 0, given)
    told = words(response)
    assert "Play, from readings that come from both sides: about 0.8 mm" in told
    assert not Draft.objects.exists()
    assert values(response)["readings"] == given["readings"]
    rows = response.context["fitted"]["rows"]
    assert [round(row["apart"], 2) for row in rows] == [0.2, 0.4, 0, 0.4, 0.2]
    send(browser, 0, {**given, "do": "take"})
    points = drafted(owner).surfaces[0].linkage.model_dump()["points"]
    assert dict(points) == pytest.approx({1000: -11.8, 1500: 0, 2000: 12})


def test_readings_by_travel(glider: Revision, glider_setup: Setup, owner: Member, sign_in: SignIn) -> None:
    """Who has no pulse meter reads at travels: the channel says which pulses these are."""
    send(sign_in(owner), 0, {"readings": "−100 % 12 up\n0 % 0\n+100 % 11 down", "do": "take"})
    surface = glider_setup.surfaces[0]
    channel = glider_setup.channel(surface.channel)
    pulses = [float(p) for p in Rig(glider_setup).pulse(channel, [-100, 0, 100])[0]]
    told = dict(drafted(owner).surfaces[0].linkage.model_dump()["points"])
    assert told == pytest.approx(dict(zip(pulses, (-12, 0, 11), strict=True)))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "Give at least two readings"),
        ("1000 14 up", "There are readings at 1 pulse; give readings at two pulses at least."),
        ("1000 14", "Line 1: “14” does not say which way; give 14 up or 14 down."),
        ("1000 14 up\nabc 3 down", "Line 2: “abc” is not a number"),
        ("1000 14 up\n90 3 down", "Line 2: a pulse of 90 µs was given; give 300 to 3000 µs, or a travel in %."),
        ("1000 14 up\n900 % 3 down", "Line 2: a travel of 900 % was given"),
        ("1000", "Line 1: “1000” is no reading"),
        ("1000 10 up\n1500 10 down\n2000 3 up", "turns back against its neighbours"),
        ("1000 3 up\n1500 3 up", "The throws do not change with the pulse"),
    ],
)  # fmt: skip
def test_readings_that_cannot_be(glider: Revision, owner: Member, sign_in: SignIn, text: str, told: str) -> None:
    response = send(sign_in(owner), 0, {"readings": text, "do": "take"})
    assert told in error_at(response, "readings")
    assert values(response)["readings"] == text
    assert not Draft.objects.exists()


def asked(setup: Setup, index: int, **changes: str) -> dict[str, str]:
    return {
        "up_mm": "12", "down_mm": "8", "pivot_d_mm": "70", "pivot_e_mm": "4", "arm_holes": "6 to 20",
        "horn_holes": "8 to 25", "most_pct": "100", **changes,
    }  # fmt: skip


def test_holes_are_found_and_taken(glider: Revision, glider_setup: Setup, owner: Member, sign_in: SignIn) -> None:
    browser, index = sign_in(owner), place(glider_setup, "four_bar")
    surface = glider_setup.surfaces[index]
    response = browser.get(page(index), asked(glider_setup, index))
    pairs = response.context["pairs"]
    assert isinstance(surface.linkage, FourBar)
    base = FourBar.model_validate({**surface.linkage.model_dump(), "pivot_mm": (70, 4)})
    wanted = solve.arm_and_horn(up_mm=12, down_mm=8, chord_mm=surface.chord_mm, base=base)
    assert pairs == wanted[: len(pairs)]
    assert f"arm {pairs[0].linkage.arm_mm:g} mm, horn {pairs[0].linkage.horn_mm:g} mm" in words(response)
    hidden = re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', response.content.decode())
    start = hidden.index(("up_mm", "12.0 mm"))
    chosen = dict(hidden[start : start + 7])
    answer = send(browser, index, {**chosen, "do": "holes"})
    assert "Arm and horn are in the draft." in words(answer)
    assert drafted(owner).surfaces[index].linkage == pairs[0].linkage


def test_holes_for_what_was_never_measured(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    """The new linkage moves the surface the way in which it moved before."""
    data = glider.setup.data()
    data["surfaces"][0]["linkage"] = {"kind": "unmeasured", "deg_per_1000_us": 60, "longer_pulse": "raises"}
    draft = Draft.objects.create(airframe=glider.airframe, member=owner, base=glider, text=json.dumps(data))
    browser = sign_in(owner)
    assert "Not measured yet: everything said of it is an estimate." in words(browser.get(page(0)))
    pairs = browser.get(page(0), asked(draft.setup, 0)).context["pairs"]
    low, high = (float(pairs[0].linkage.follow(pulse).deflection_deg) for pulse in (1400, 1600))
    assert low > high


@pytest.mark.parametrize(
    ("changes", "field", "told"),
    [
        ({"up_mm": "500"}, "up_mm", "500 mm"),
        ({"up_mm": "0", "down_mm": "0"}, "up_mm", "give both as 0 or more, one above 0"),
        ({"up_mm": "far"}, "up_mm", "is not a number"),
        ({"arm_holes": "none"}, "arm_holes", "is not a number"),
        ({"horn_holes": "25 to 8"}, "horn_holes", "names no holes"),
        ({"horn_holes": "1 to 900"}, "horn_holes", "names no holes"),
        ({"pivot_d_mm": "0"}, "pivot_d_mm", "is too small"),
    ],
)
def test_holes_that_cannot_be(
    glider: Revision,
    glider_setup: Setup,
    owner: Member,
    sign_in: SignIn,
    changes: dict[str, str],
    field: str,
    told: str,
) -> None:
    index = place(glider_setup, "four_bar")
    response = sign_in(owner).get(page(index), asked(glider_setup, index, **changes))
    assert told in error_at(response, field)
    assert response.context["pairs"] == ()


def test_how_holes_are_written() -> None:
    assert read_holes("6 to 9") == (6, 7, 8, 9)
    assert read_holes("6–8") == (6, 7, 8)
    assert read_holes("8, 10.5; 13") == (8, 10.5, 13)
    assert read_holes("8,10,12") == (8, 10, 12)


def test_what_is_not_there(glider: Revision, owner: Member, reader: Member, sign_in: SignIn) -> None:
    assert sign_in(owner).get(page(99)).status_code == 404
    assert sign_in(owner).get(ALL.replace("big-glider", "no-such")).status_code == 404
    assert sign_in(reader).post(page(0), {"do": "take"}).status_code == 403
    Draft.objects.create(airframe=glider.airframe, member=owner, base=glider, text='{"schema": 1, "surfaces": [{}]}')
    assert "not complete yet" in words(sign_in(owner).get(page(0)))
    assert sign_in(owner).post(page(0), {"do": "take"}).status_code == 200


def test_saved_from_another_page_meanwhile(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    given = {"readings": "1000 12 up\n2000 12 down", "do": "take"}
    send(browser, 0, given)
    response = browser.post(page(0), {**given, "readings": "1000 9 up\n2000 9 down", "version": "7"})
    assert "Saved from another page meanwhile." in words(response)
    assert values(response)["readings"] == "1000 9 up\n2000 9 down"
    assert drafted(owner).surfaces[0].linkage.model_dump()["points"][0] == (1000, -12)
