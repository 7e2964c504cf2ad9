"""The pocket card: a quarter of a page with what one checks before a launch; flights to type in on its back."""

import re
from pathlib import Path

import pytest
import zxingcpp
from django.test import Client
from django.urls import reverse

from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.sheets import pdf
from hangar.sheets.models import Kind, Print
from hangar.sheets.operations import record_print
from hangar.sheets.pocket import QUARTERS, SETTINGS, card_html, pocket_card_pdf, render_cards
from mixing import Setup

from . import layouts
from .rendering import LAYOUTS, heading, reader, structure, text_of, words_of
from .test_still_good import pictured

ASKS = "https://hangar.example/s/Z3J1ZW5lcl9GYWxrZV8_MQ"


def fits(setup: Setup, paper: str) -> bool:
    """Whether a single card, in its closest setting, holds everything."""
    html = card_html(heading(asks=ASKS), setup, len(SETTINGS) - 1, paper=paper, cards=[0])
    return pdf.pages_of(html, sheet="pocket", paper=QUARTERS[paper]) == 1


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_layout_fits_a_card(paper: str) -> None:
    assert [name for name, setup in LAYOUTS.items() if not fits(setup(), paper)] == []


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_four_fronts_and_four_backs(paper: str) -> None:
    made = render_cards(heading(asks=ASKS), LAYOUTS["example"](), paper)
    front, back = (page.extract_text() for page in reader(made.content).pages)
    assert front.count("Before switching on") == front.count("the model decides.") == 4
    assert back.count("Flights to type in: Wren 26, revision 12") == 4
    assert back.count("keep") == back.count("damaged") == 12


def test_it_tells_what_to_check_and_no_more() -> None:
    shown = words_of(render_cards(heading(), LAYOUTS["example"](), "a4").content)
    for told in ("Left lever back", "Propeller off.", "Failsafe,", "Range", "90 to 102 mm", "memory WREN"):
        assert told.lower() in shown.lower(), told
    assert "µs" not in shown
    assert "%: " not in shown


def test_nothing_of_a_card_is_cut(tmp_path: Path) -> None:
    """Every word of a card that was made by itself, where nothing can be cut, stands on the page of four."""
    for name in ("eight surfaces, long names", "example"):
        setup = LAYOUTS[name]()
        made = render_cards(heading(asks=ASKS), setup, "letter")
        page = pictured(made.content, tmp_path, dpi=100)
        # The last line of the card ends above its lower edge, with white between.
        middle = page.height // 2
        strip = page.crop((page.width // 10, middle - 14, page.width * 4 // 10, middle - 4))
        assert strip.getextrema() == (255, 255), name


def test_more_than_a_card_holds_goes_on_small_pages() -> None:
    data = layouts.many_surfaces().data()
    for control in data["controls"]:
        control["label"] = f"{control['label']} " + "x" * 60
    setup = Setup.model_validate(data)
    assert not fits(setup, "a4") or render_cards(heading(), setup, "a4").pages == 2
    made = render_cards(heading(reason="", verdict="keep " * 400), setup, "a4")
    assert made.pages > 1
    assert float(reader(made.content).pages[0].mediabox.width) == pytest.approx(105 / 25.4 * 72, abs=0.01)
    assert "the model decides." in text_of(made.content)


def test_each_card_carries_the_code(owner: Member, first: Revision, tmp_path: Path) -> None:
    copy = record_print(user=owner, revision=first, kind=Kind.POCKET_CARD)
    content = pocket_card_pdf(first, copy=copy, base="https://hangar.example")
    codes = zxingcpp.read_barcodes(pictured(content, tmp_path, dpi=200))
    assert {code.text for code in codes} == {f"https://hangar.example/s/{copy.token}"}
    assert len(codes) == 4
    for code in codes:
        assert (code.position.top_right.x - code.position.top_left.x) / 200 * 25.4 >= 18


def test_it_is_tagged_and_nothing_is_below_seven_points() -> None:
    made = render_cards(heading(asks=ASKS), layouts.eight_surfaces(), "letter")
    document = reader(made.content)
    assert document.trailer["/Root"]["/Lang"] == "en"  # type: ignore[index]
    assert {"/H1", "/H2", "/L", "/LI", "/Figure"} <= {
        str(node["/S"]) for node in structure(made.content) if "/S" in node
    }
    sizes: set[float] = set()

    def visit(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
        if text.strip():
            sizes.add(round(abs(size * tm[3] * cm[3]), 2))

    for page in document.pages:
        page.extract_text(visitor_text=visit)
    assert min(sizes) >= 6.99


def test_a_print_is_recorded_and_shown(client: Client, reader_of: Member, first: Revision) -> None:
    client.force_login(reader_of)
    response = client.post(reverse("sheets:print_pocket_card", args=["big-glider", 1]), {"paper": "letter"})
    made = Print.objects.get()
    assert (made.kind, made.paper, made.copy, made.by) == (Kind.POCKET_CARD, "letter", 1, reader_of)
    shown = client.get(response["Location"])
    assert shown["Content-Type"] == "application/pdf"
    assert re.search(r"card 1 · still good\?", words_of(shown.content))
    assert client.get(reverse("sheets:print_pocket_card", args=["big-glider", 1])).status_code == 405


@pytest.fixture
def reader_of(reader: Member) -> Member:
    return reader


def test_an_unknown_paper_is_refused(first: Revision) -> None:
    with pytest.raises(ValueError, match="'a3'; give a4 or letter"):
        pocket_card_pdf(first, paper="a3")
