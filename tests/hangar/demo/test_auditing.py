"""What the audit says of the demo: nothing of what flies, and the faults of the one that is left at fault."""

import pytest

from hangar.demo.club import read_club, read_history
from hangar.demo.events import Fit
from mixing.audit import audit
from tests.hangar.demo.documents import AT_FAULT, SLUGS, revisions, sound_setups

SOUND = sound_setups()


def receiver_channels(slug: str) -> int:
    """How many channels the receiver has that sits in it last."""
    fitted = [event.receiver for event in read_history(slug).events if isinstance(event, Fit)]
    return {one.label: one.channels for one in read_club().receivers}[fitted[-1]]


def codes(slug: str, number: int) -> set[str]:
    return {finding.code for finding in audit(revisions(slug)[number - 1], receiver_channels(slug))}


@pytest.mark.parametrize("slug", [slug for slug in SLUGS if slug != AT_FAULT])
def test_nothing_is_found_in_what_flies(slug: str) -> None:
    assert audit(SOUND[slug], receiver_channels(slug)) == []


@pytest.mark.parametrize("name", [name for name in SOUND if name not in SLUGS])
def test_nothing_is_found_in_a_layout(name: str) -> None:
    assert audit(SOUND[name]) == []


def test_the_one_at_fault_has_every_fault_that_its_remarks_name() -> None:
    found = audit(revisions(AT_FAULT)[-1], receiver_channels(AT_FAULT))
    warned = {(finding.code, finding.where) for finding in found if finding.severity == "warning"}
    assert {
        ("wrong-way", "surfaces/left_flap"),
        ("failsafe-motor", "devices/motor"),
        ("motor-with-brake", "devices/motor"),
        ("too-few-channels", "channels/7"),
    } <= warned


def test_its_faults_came_with_the_rebuild() -> None:
    assert {finding.severity for finding in audit(revisions(AT_FAULT)[1], 8)} <= {"note"}


def test_the_showpiece_was_recorded_first_without_a_failsafe_for_its_motor() -> None:
    assert "failsafe-motor" in codes("tidewrack", 1)
    assert "failsafe-motor" not in codes("tidewrack", 2)


def test_a_brake_that_moved_the_nose_was_found_before_it_was_held() -> None:
    assert codes("old-semaphore", 2) == {"uncompensated-brake"}
    assert codes("old-semaphore", 3) == set()
