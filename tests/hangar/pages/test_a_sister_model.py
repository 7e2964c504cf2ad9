"""A setup that begins with the throws of another airframe; what belongs to that one model stays there."""

from pathlib import Path

import numpy as np
import pytest
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.models import Draft, Revision
from hangar.setups.sister import sister_of
from mixing import Rig, Setup
from tests.factories import AirframeFactory
from tests.hangar.pages.conftest import SignIn, error_at, words

DEMO = sorted((Path(__file__).parents[3] / "fixtures" / "demo").glob("*.json"))
START = reverse("setups:start", args=["sister"])


@pytest.fixture
def sister(owner: Member) -> Airframe:
    return AirframeFactory.create(slug="sister", name="Sister", owner=owner)


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_the_throws_come_over(path: Path) -> None:
    """At the ends of each control alone, counted from the model's own neutral; what differs is told."""
    setup = Setup.from_text(path.read_bytes())
    after, misses = sister_of(setup)
    told = {miss.surface for miss in misses}
    for control in setup.controls:
        ends = {control.key: np.array(control.positions or (-100.0, 100.0))}
        rests = [Rig(one).at({}).throw_mm for one in (setup, after)]
        ways = [Rig(one).at(ends).throw_mm for one in (setup, after)]
        for surface in setup.surfaces:
            if surface.key not in told:
                was, now = (way[surface.key] - rest[surface.key] for way, rest in zip(ways, rests, strict=True))
                assert np.allclose(was, now, atol=1.01), (control.key, surface.key)


@pytest.mark.parametrize("path", DEMO[::3], ids=lambda path: path.stem)
def test_what_belongs_to_one_model_stays_there(path: Path) -> None:
    before = Setup.from_text(path.read_bytes())
    after = sister_of(before).setup
    assert {surface.linkage.kind for surface in after.surfaces} == {"unmeasured"}
    reach = after.signal.limit_pct * after.signal.per_100_us / 100
    for channel in after.channels:
        assert (channel.reversed, channel.failsafe, channel.centre_us) == (False, None, after.signal.centre_us)
        assert (channel.low_us, channel.high_us) == (after.signal.centre_us - reach, after.signal.centre_us + reach)
    assert after.remarks == ""
    assert [surface.chord_mm for surface in after.surfaces] == [surface.chord_mm for surface in before.surfaces]
    assert after.controls == before.controls


def test_started_from_the_page(glider: Revision, sister: Airframe, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    assert "Big Glider" in words(browser.get(START))
    page = words(browser.post(START, {"do": "sister", "sister": "big-glider"}, follow=True))
    assert "Your draft has the throws of revision 1 of Big Glider." in page
    assert "set its failsafe" in page
    draft = Draft.objects.get()
    assert (draft.airframe, draft.base) == (sister, None)
    assert len(draft.setup.couplings) == len(glider.setup.couplings)
    assert all(channel.failsafe is None for channel in draft.setup.channels)


@pytest.mark.parametrize("given", ["", "no-such-model", "sister", "\x00", "💥"])
def test_an_airframe_that_is_not_offered(
    glider: Revision, sister: Airframe, owner: Member, sign_in: SignIn, given: str
) -> None:
    response = sign_in(owner).post(START, {"do": "sister", "sister": given})
    assert response.status_code == 200
    assert error_at(response, "sister")
    assert not Draft.objects.exists()


def test_only_airframes_with_a_setup_are_offered(
    glider: Revision, sister: Airframe, owner: Member, sign_in: SignIn
) -> None:
    AirframeFactory.create(slug="bare", name="Bare Bones", owner=owner)
    assert "Bare Bones" not in words(sign_in(owner).get(START))


def test_a_reader_starts_nothing(glider: Revision, sister: Airframe, reader: Member, sign_in: SignIn) -> None:
    assert sign_in(reader).post(START, {"do": "sister", "sister": "big-glider"}).status_code == 403
    assert not Draft.objects.exists()
