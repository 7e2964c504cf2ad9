"""The dial-in list as a page: every entry of the computation, in the conventions of the transmitter that is flown."""

from datetime import date

import pytest
from django.urls import reverse
from django.utils import timezone

from hangar.fleet.models import Airframe, Binding, Fitting, Transmitter
from hangar.members.models import Member
from hangar.setups.dial_in import conventions_of, dial_in_list
from hangar.setups.models import Revision
from hangar.setups.operations import enter
from mixing import Conventions, Setup, solve
from tests.factories import ReceiverFactory, TransmitterFactory
from tests.hangar.pages.conftest import SignIn, words

PAGE = reverse("setups:dial_in", args=["big-glider", 1])
PROVEN = {"lever_forward": "minus", "expo_positive": "sharpens", "centre_unit": "pct", "reversal": "after"}
UNPROVEN = "Signs unproven: check each at the model."


@pytest.fixture
def proven(owner: Member) -> Transmitter:
    return TransmitterFactory.create(label="Desk", owner=owner, proven_on=date(2026, 5, 2), proven_by=owner, **PROVEN)


def test_every_entry_with_its_figures(glider: Revision, glider_setup: Setup, reader: Member, sign_in: SignIn) -> None:
    page = words(sign_in(reader).get(PAGE))
    entries = solve.dial_in(glider_setup)
    assert len(entries) > 30
    for entry in entries:
        assert entry.enter in page
        assert entry.gives in page
        assert entry.explanation[1:] in page
    assert "First: all trims to centre." in page
    assert page.index("First: all trims to centre.") < page.index("Channel 1:")
    assert "Before you touch the model" in page
    assert "No record says with which transmitter it is flown" in page


def test_unproven_signs_are_marked(glider: Revision, glider_setup: Setup, owner: Member, sign_in: SignIn) -> None:
    page = words(sign_in(owner).get(PAGE))
    marked = [entry for entry in solve.dial_in(glider_setup) if entry.mark]
    assert marked
    assert page.count("Sign unproven: check at the model") == len(marked)
    assert UNPROVEN in page


def test_a_proven_transmitter_reads_its_own_way(
    glider: Revision, glider_setup: Setup, owner: Member, proven: Transmitter, sign_in: SignIn
) -> None:
    enter(user=owner, revision=glider, transmitter=proven, model_memory="GLIDER")
    page = words(sign_in(owner).get(PAGE))
    assert "For Desk , rounded to its step of 1 %. Its signs were proven 2 May 2026." in page
    assert "unproven" not in page.lower()
    lever = next(e for e in solve.dial_in(glider_setup, Conventions(**PROVEN)) if "left lever" in e.label)  # type: ignore[arg-type]
    assert lever.enter in page
    assert lever.enter != next(e for e in solve.dial_in(glider_setup) if "left lever" in e.label).enter


def test_the_transmitter_that_the_receiver_is_bound_to(
    glider: Revision, airframe: Airframe, owner: Member, proven: Transmitter, sign_in: SignIn
) -> None:
    receiver, now = ReceiverFactory.create(), timezone.now()
    Fitting.objects.create(receiver=receiver, airframe=airframe, since=now, by=owner)
    Binding.objects.create(receiver=receiver, transmitter=proven, at=now, by=owner)
    assert "For Desk" in words(sign_in(owner).get(PAGE))


def test_signs_that_were_written_down_but_not_tested(owner: Member) -> None:
    claimed = TransmitterFactory.create(**PROVEN)
    assert conventions_of(claimed) == Conventions()
    assert not conventions_of(None).proven


def test_another_signal_than_the_transmitters(
    glider: Revision, owner: Member, proven: Transmitter, sign_in: SignIn
) -> None:
    enter(user=owner, revision=glider, transmitter=proven, model_memory="GLIDER")
    told = "other figures of its signal than Desk has"
    Transmitter.objects.update(**glider.setup.signal.model_dump())
    assert told not in words(sign_in(owner).get(PAGE))
    Transmitter.objects.update(per_100_us=400)
    assert told in words(sign_in(owner).get(PAGE))


def test_by_channel_and_what_is_off(glider_setup: Setup) -> None:
    coarse = glider_setup.changed(signal={**glider_setup.signal.model_dump(), "step_pct": 7})
    found = dial_in_list(coarse, Conventions())
    assert [one.number for one in found] == [channel.number for channel in coarse.channels]
    for channel in found:
        for line in channel.lines:
            assert line.entry.channel == channel.number
            assert bool(line.off) == (line.entry.error_mm > 0.05)
    assert any(line.off for channel in found for line in channel.lines)
    assert all(line.of in line.entry.label for channel in found for line in channel.lines)


def test_linked_from_airframe_and_revision(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    for name, args in (("flights:airframe", ["big-glider"]), ("flights:revision", ["big-glider", 1])):
        assert f'href="{PAGE}"' in sign_in(owner).get(reverse(name, args=args)).content.decode()


def test_a_revision_that_is_not_there(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    assert sign_in(owner).get(reverse("setups:dial_in", args=["big-glider", 99])).status_code == 404
