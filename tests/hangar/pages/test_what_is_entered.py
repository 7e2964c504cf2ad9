"""The change card on the screen, and saying what was entered: a transmitter holds what somebody entered, not what was
recorded last."""

import pytest
from django.urls import reverse

from hangar.members.models import Member
from hangar.setups.entries import channel_of, on_this_model, to_enter
from hangar.setups.models import Entered, Revision
from hangar.setups.operations import enter, record, roll_back
from mixing import Setup
from tests.factories import TransmitterFactory, make_setup, setup_with_pitch
from tests.hangar.pages.conftest import SignIn, words


def card(number: int) -> str:
    return reverse("flights:change_card", args=["big-glider", number])


@pytest.fixture
def four(first: Revision, owner: Member) -> list[Revision]:
    """The first is in the transmitter; three more were made at a desk."""
    enter(user=owner, revision=first, transmitter=TransmitterFactory.create(label="Grey Case"), model_memory="07")
    revisions = [first]
    for percent in (70, 60, 50):
        setup = setup_with_pitch(percent)
        revisions.append(
            record(user=owner, airframe=first.airframe, setup=setup, base=revisions[-1], reason=f"{percent} %").revision
        )
    return revisions


def test_three_revisions_made_at_a_desk_do_not_mislead_it(four: list[Revision], owner: Member, sign_in: SignIn) -> None:
    page = words(sign_in(owner).get(card(4)))
    assert "From revision 1 to revision 4." in page
    assert "The transmitter holds revision 1: Grey Case , model memory 07 ," in page
    assert "80 % at −100, −80 % at +100 → 50 % at −100, −50 % at +100" in page
    assert "60 % at −100" not in page


def test_after_a_rollback_of_a_rollback(four: list[Revision], owner: Member, sign_in: SignIn) -> None:
    """The from-column is what the transmitter holds all the way: also where that is what the last rollback asks for."""
    airframe, browser = four[0].airframe, sign_in(owner)
    fifth = roll_back(user=owner, airframe=airframe, to=four[0], reason="back").revision
    page = words(browser.get(card(fifth.number)))
    assert "From revision 1 to revision 5." in page
    assert "Nothing has to be entered on the transmitter." in page
    sixth = roll_back(user=owner, airframe=airframe, to=four[3], reason="and forth").revision
    page = words(browser.get(card(sixth.number)))
    assert "From revision 1 to revision 6." in page
    assert "80 % at −100, −80 % at +100 → 50 % at −100, −50 % at +100" in page
    enter(user=owner, revision=fifth, transmitter=TransmitterFactory.create(label="Blue"), model_memory="7")
    page = words(browser.get(card(sixth.number)))
    assert "From revision 5 to revision 6." in page
    assert "The transmitter holds revision 5: Blue , model memory 7 ," in page
    assert "80 % at −100, −80 % at +100 → 50 % at −100, −50 % at +100" in page


def test_between_any_two(four: list[Revision], reader: Member, sign_in: SignIn) -> None:
    page = words(sign_in(reader).get(f"{card(2)}?from=4"))
    assert "From revision 4 to revision 2." in page
    assert "No record says that a transmitter holds revision 4" in page
    assert "50 % at −100, −50 % at +100 → 70 % at −100, −70 % at +100" in page
    assert "I have entered this" not in page


def test_after_it_was_entered(four: list[Revision], owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    response = browser.get(card(4))
    form = response.context["enter_form"]
    given = {"revision": "4", "transmitter": form["transmitter"].value(), "model_memory": form["model_memory"].value()}
    done = browser.post(reverse("setups:enter", args=["big-glider"]), given, follow=True)
    assert "Revision 4 is what Grey Case holds now." in words(done)
    assert Entered.objects.first().revision == four[3]  # type: ignore[union-attr]
    again = browser.get(card(4))
    assert "Nothing has to be entered on the transmitter." in words(again)


@pytest.mark.parametrize("query", ["?from=99", "?from=two", "?from=-1", "?from=%F0%9F%9B%A9"])
def test_from_what_is_not_there(four: list[Revision], owner: Member, sign_in: SignIn, query: str) -> None:
    assert sign_in(owner).get(card(4) + query).status_code == 404


def test_of_the_first_with_nothing_before(first: Revision, owner: Member, sign_in: SignIn) -> None:
    assert sign_in(owner).get(card(1)).status_code == 404


def test_work_at_the_model_is_told_apart(four: list[Revision], owner: Member, sign_in: SignIn) -> None:
    surfaces = [make_setup().surfaces[0].model_dump() | {"chord_mm": 50.0}]
    setup = four[3].setup.changed(surfaces=surfaces)
    record(user=owner, airframe=four[0].airframe, setup=setup, base=four[3], reason="wider elevator")
    response = sign_in(owner).get(card(5))
    assert [change.label for change in response.context["model_changes"]] == ["Elevator: chord"]
    assert all(change.on == "transmitter" for change in response.context["entries"])


def test_entries_by_channel(glider_setup: Setup) -> None:
    channels = [channel.model_dump() | {"centre_us": channel.centre_us + 4} for channel in glider_setup.channels]
    couplings = [
        coupling.model_dump() | {"stations": [(x, travel * 0.9) for x, travel in coupling.stations]}
        for coupling in glider_setup.couplings
    ]
    after = glider_setup.changed(channels=channels, couplings=couplings)
    numbers = [channel_of(change.path) or 0 for change in to_enter(glider_setup, after)]
    assert numbers == sorted(numbers)
    assert set(numbers) == {channel.number for channel in glider_setup.channels}


def test_what_a_transmitter_holds_on_a_model_that_was_rebuilt() -> None:
    held, rebuilt = setup_with_pitch(70), setup_with_pitch(50)
    surfaces = [rebuilt.surfaces[0].model_dump() | {"chord_mm": 50.0}]
    rebuilt = rebuilt.changed(surfaces=surfaces)
    both = on_this_model(held, rebuilt)
    assert (both.surfaces, both.couplings) == (rebuilt.surfaces, held.couplings)
    other = make_setup(surfaces=[], couplings=[], devices=[], channels=[make_setup().channels[0].model_dump()])
    assert on_this_model(other, rebuilt) == other
