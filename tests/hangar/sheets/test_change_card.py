"""The change card: each entry from → to in the order of the channels, with the throw that it gives."""

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.languages.speaking import speaking
from hangar.members.models import Member
from hangar.setups.entries import steps, to_enter
from hangar.setups.models import Revision
from hangar.setups.operations import enter, record
from hangar.sheets.card import card_of, change_card_html, change_card_pdf
from hangar.sheets.models import Kind, Print
from hangar.sheets.pdf import printable
from mixing import Rig, Setup
from tests.factories import TransmitterFactory, record_first
from tests.mixing.example import example, example_data

from .rendering import reader, structure, words_of

# ISO 216:2007: A5 is 148 × 210 mm. Half of Letter (ANSI/ASME Y14.1, 8.5 × 11 in) is 5.5 × 8.5 in.
A5_PT = (148 / 25.4 * 72, 210 / 25.4 * 72)
HALF_LETTER_PT = (5.5 * 72, 8.5 * 72)


def edited() -> Setup:
    data = example_data()
    for coupling in data["couplings"]:
        if (coupling["control"], coupling["channel"]) == ("lever", 6):
            coupling["stations"][0][1] = 85
        if (coupling["control"], coupling["channel"]) == ("lever", 4):
            coupling["stations"][0][1] = 6
    data["channels"][0]["reversed"] = True
    data["phases"][1]["stance"]["7"] = 10
    data["signal"]["step_pct"] = 0.5
    data["surfaces"][3]["chord_mm"] = 72
    data["controls"][0]["label"] = "Roll stick"
    return Setup.model_validate(data)


@pytest.fixture
def example_first(airframe: Airframe) -> Revision:
    return record_first(airframe, example())


@pytest.fixture
def later(airframe: Airframe, example_first: Revision) -> Revision:
    return record(
        user=airframe.owner, airframe=airframe, setup=edited(), base=example_first, reason="less brake"
    ).revision


def test_entries_come_in_the_order_of_the_channels() -> None:
    card = card_of(example(), edited())
    assert [entry.channel for entry in card.transmitter] == [None, 1, 4, 6, 7]
    assert [entry.label for entry in card.model] == ["Rudder: chord"]
    assert [entry.label for entry in card.record] == ["Roll stick: label"]


def test_each_entry_tells_the_throw_of_the_rig() -> None:
    card = card_of(example(), edited())
    flap = next(entry for entry in card.transmitter if entry.channel == 6)
    assert (flap.before, flap.after) == ("95 % at −100, 0 % at +100", "85 % at −100, 0 % at +100")
    for setup in (example(), edited()):
        throw = float(Rig(setup).at({"lever": -100.0}).throw_mm["right_flap"])
        assert f"{throw:.1f} mm down" in flap.effect


def test_the_card_is_headed_by_transmitter_memory_and_trims(
    owner: Member, example_first: Revision, later: Revision
) -> None:
    transmitter = TransmitterFactory.create(label="Blue transmitter", owner=owner)
    entered = enter(user=owner, revision=example_first, transmitter=transmitter, model_memory="BIG")
    shown = words_of(change_card_pdf(example_first, later, entered=entered))
    assert "Blue transmitter, model memory BIG (revision 1 entered" in shown
    assert "Trims to centre" in shown
    assert "Propeller off or motor disconnected" in shown
    assert "Signs unproven: check each at the model." in shown
    for part in ("from revision 1 → to revision 2", "On the transmitter", "At the model", "Range and failsafe check"):
        assert part in shown
    places = [shown.index(f"Ch {n} ") if f"Ch {n} " in shown else shown.index(f"☐ {n} ") for n in (1, 4, 6, 7)]
    assert places == sorted(places)


def test_without_a_record_the_card_says_so(example_first: Revision, later: Revision) -> None:
    shown = words_of(change_card_pdf(example_first, later))
    assert "no record says that revision 1 is in it" in shown


@pytest.mark.parametrize(("paper", "size"), [("a4", A5_PT), ("letter", HALF_LETTER_PT)])
def test_the_card_is_half_a_sheet(
    example_first: Revision, later: Revision, paper: str, size: tuple[float, float]
) -> None:
    box = reader(change_card_pdf(example_first, later, paper=paper)).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(size, abs=0.01)


def test_the_card_is_tagged_and_titled(example_first: Revision, later: Revision) -> None:
    content = change_card_pdf(example_first, later)
    document = reader(content)
    assert document.metadata is not None
    assert document.metadata.title == "Change card: Big Glider, revision 1 to revision 2"
    assert {"/Table", "/TH", "/H1", "/H2"} <= {str(node["/S"]) for node in structure(content) if "/S" in node}


def test_two_equal_revisions_leave_nothing_to_enter(example_first: Revision) -> None:
    """Then the trims that were flown stay as well."""
    shown = words_of(change_card_pdf(example_first, example_first))
    assert "Nothing to enter" in shown
    assert "Trims to centre" not in shown


def test_no_line_ends_between_a_figure_and_its_unit(example_first: Revision, later: Revision) -> None:
    page = printable(change_card_html(example_first, later))
    assert "85\u00a0% at −100" in page
    assert not re.findall(r"\d (?:%|mm|µs)", page)
    with speaking("en", "inch"):
        assert not re.findall(r"\d in ", change_card_html(example_first, later))


def test_an_unknown_paper_is_refused(example_first: Revision, later: Revision) -> None:
    with pytest.raises(ValueError, match="'a5'; give a4 or letter"):
        change_card_pdf(example_first, later, paper="a5")


def card_url(revision: Revision, name: str = "change_card") -> str:
    return reverse(f"sheets:{name}", args=[revision.airframe.slug, revision.number])


def test_the_card_starts_from_what_is_entered(
    client: Client, owner: Member, reader_of: Member, example_first: Revision, later: Revision
) -> None:
    transmitter = TransmitterFactory.create(label="Blue transmitter", owner=owner)
    enter(user=owner, revision=later, transmitter=transmitter, model_memory="BIG")
    client.force_login(reader_of)
    response = client.get(card_url(example_first))
    assert response["Content-Disposition"] == 'inline; filename="big-glider-change-card-2-to-1.pdf"'
    assert "Blue transmitter, model memory BIG" in words_of(response.content)


@pytest.fixture
def reader_of(reader: Any) -> Member:
    """The other pilot; `reader` is also what reads a PDF here."""
    assert isinstance(reader, Member)
    return reader


def test_without_a_record_the_card_starts_from_the_revision_before(
    client: Client, reader_of: Member, later: Revision
) -> None:
    client.force_login(reader_of)
    response = client.get(card_url(later))
    assert response["Content-Disposition"] == 'inline; filename="big-glider-change-card-1-to-2.pdf"'


def test_any_revision_can_be_the_start(
    client: Client, reader_of: Member, example_first: Revision, later: Revision
) -> None:
    client.force_login(reader_of)
    response = client.get(f"{card_url(example_first)}?from={later.number}")
    assert "from revision 2 → to revision 1" in words_of(response.content)


def test_a_printed_card_is_recorded_with_its_start(
    client: Client, reader_of: Member, example_first: Revision, later: Revision
) -> None:
    client.force_login(reader_of)
    response = client.post(card_url(example_first, "print_card"), {"from": later.number})
    made = Print.objects.get()
    assert (made.kind, made.revision, made.before, made.copy) == (Kind.CHANGE_CARD, example_first, later, 1)
    shown = client.get(response["Location"])
    assert "Copy 1 of this revision, printed" in words_of(shown.content)
    assert "from revision 2 → to revision 1" in words_of(shown.content)


class TestTrimsToCentre:
    """A trim that was moved into the setup must not stand in the transmitter too."""

    def told(self, before: Setup, after: Setup) -> bool:
        return card_of(before, after).trims_again

    def test_once_more_where_a_trim_may_have_found_a_home(self) -> None:
        data = example_data()
        data["channels"][0]["centre_us"] = 1510
        assert self.told(example(), Setup.model_validate(data)), "a centre"
        data = example_data()
        data["phases"][1]["stance"]["7"] = 10
        assert self.told(example(), Setup.model_validate(data)), "a stance"
        data = example_data()
        data["surfaces"][2]["linkage"]["points"][0][1] += 1
        assert self.told(example(), Setup.model_validate(data)), "a clevis"

    def test_not_for_anything_else(self) -> None:
        data = example_data()
        data["channels"][0]["reversed"] = True
        data["couplings"][0]["expo_pct"] = 20
        data["surfaces"][3]["chord_mm"] = 72
        assert not self.told(example(), Setup.model_validate(data))

    def test_on_paper_and_on_screen(self, example_first: Revision, airframe: Airframe, owner: Member) -> None:
        data = example_data()
        data["channels"][0]["centre_us"] = 1510
        setup = Setup.model_validate(data)
        after = record(user=owner, airframe=airframe, setup=setup, base=example_first, reason="trim").revision
        pdf = words_of(change_card_pdf(example_first, after))
        client = Client()
        client.force_login(owner)
        page = client.get(reverse("flights:change_card", args=[airframe.slug, 2])).content.decode()
        for text in (" ".join(pdf.split()), page):
            assert text.index("Trims to centre") < text.index("1510") < text.index("Trims to centre once more")

    def test_where_only_the_clevis_was_turned(self, example_first: Revision, airframe: Airframe, owner: Member) -> None:
        """Nothing is entered, and the trim that the clevis took over would stand twice."""
        data = example_data()
        data["surfaces"][2]["linkage"]["points"][0][1] += 1
        setup = Setup.model_validate(data)
        after = record(user=owner, airframe=airframe, setup=setup, base=example_first, reason="clevis").revision
        client = Client()
        client.force_login(owner)
        page = client.get(reverse("flights:change_card", args=[airframe.slug, 2])).content.decode()
        assert "Nothing has to be entered on the transmitter." in page
        assert page.count("Trims to centre") == page.count("it must not stand in the transmitter too") == 1
        assert "Trims to centre" in words_of(change_card_pdf(example_first, after))
        nothing = client.get(reverse("flights:change_card", args=[airframe.slug, 2]) + "?from=2").content.decode()
        assert "Nothing has to be entered on the transmitter." in nothing
        assert "Trims to centre" not in nothing


def test_where_the_model_was_rebuilt_the_throws_are_those_of_todays_model() -> None:
    """The same entries as on the screen: a longer arm makes each of them give more."""
    data = example_data()
    for point in data["surfaces"][2]["linkage"]["points"]:
        point[1] *= 1.2
    for coupling in data["couplings"]:
        if (coupling["control"], coupling["channel"]) == ("lever", data["surfaces"][2]["channel"]):
            coupling["stations"][0][1] = 6
    before, after = example(), Setup.model_validate(data)
    told = steps(before, after)
    assert [entry.effect for entry in card_of(before, after).transmitter] == [one.effect for one in told.transmitter]
    on_old_parts = [one.effect for one in to_enter(before, after)]
    assert [one.effect for one in told.transmitter] != on_old_parts
