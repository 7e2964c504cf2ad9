"""The setup sheet on paper: one page, the right size, readable by eyes and by machines."""

import logging
import re
from collections.abc import Callable
from html.parser import HTMLParser

import pytest
from django.conf import settings

from hangar.languages.speaking import speaking
from hangar.sheets import pdf
from hangar.sheets.content import cut
from hangar.sheets.pdf import PAPERS
from hangar.sheets.render import Sheet
from hangar.sheets.spacings import SPACINGS
from mixing import Finding, Setup, audit
from tests.mixing.example import example, example_data

from . import layouts
from .rendering import LAYOUTS, heading, html_of, reader, render, rendered, structure, text_of, words_of

# Points of 1/72 inch. ISO 216:2007: A4 is 210 × 297 mm. ANSI/ASME Y14.1: size A, called Letter, is 8.5 × 11 inches.
A4_PT = (210 / 25.4 * 72, 297 / 25.4 * 72)
LETTER_PT = (8.5 * 72, 11 * 72)

ONE_PAGE = sorted(LAYOUTS)


@pytest.mark.parametrize("name", ONE_PAGE)
def test_every_layout_fits_one_page(name: str) -> None:
    made = rendered(name)
    assert made.pages == len(reader(made.content).pages) == 1
    assert "one page" in text_of(made.content)


@pytest.mark.parametrize("name", ONE_PAGE)
def test_every_layout_fits_one_page_of_letter(name: str) -> None:
    assert rendered(name, "letter").pages == 1


# As large as a model of one page may be, and the demo club's with the most findings for its size.
FULL: dict[str, Callable[[], Setup]] = {
    "long names": LAYOUTS["eight surfaces, long names"],
    "Six Bells": lambda: Setup.from_text((settings.BASE_DIR / "fixtures/demo/six-bells.json").read_text("utf-8")),
}
COPY = {
    "copy": "copy 12 of this revision, printed 26 Nov 2026, 18:30 UTC+01:00 by Ada Lindner",
    "copy_number": 12, "asks": "https://hangar.example.org/s/abcdefghijklmnopqrstuv", "newest": 13,
}  # fmt: skip
LONG_FINDING = Finding(
    "warning", "past-stop", "surfaces/right_flap",
    "Left aileron goes 34.5° up, 22.5° past its stop of 12°, with left lever full back and aileron stick full left.",
    {},
)  # fmt: skip


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", FULL)
def test_a_numbered_copy_with_findings_fits_one_page_as_well(name: str, paper: str) -> None:
    setup = FULL[name]()
    findings = [LONG_FINDING] * 6
    made = render(setup, paper, findings, **COPY)
    assert made.pages == 1
    shown = words_of(made.content)
    assert "Out of date." in shown
    assert "one page" in shown
    page = Sheet(heading(**COPY), setup, findings).page(made.setting, paper)
    assert _missing(page, text_of(made.content)) == []


@pytest.mark.parametrize(("paper", "size"), [("a4", A4_PT), ("letter", LETTER_PT)])
def test_the_page_has_the_size_of_the_paper(paper: str, size: tuple[float, float]) -> None:
    box = reader(rendered("example", paper).content).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(size, abs=0.01)


def test_more_than_a_page_goes_on_a_second_one_and_nothing_is_lost() -> None:
    setup = layouts.many_surfaces()
    made = render(setup)
    assert made.pages > 1
    shown = text_of(made.content)
    assert f"page 1 of {made.pages}" in shown
    assert _missing(html_of(setup, SPACINGS[-1]), shown) == []


@pytest.mark.parametrize("name", ONE_PAGE)
def test_nothing_of_the_sheet_is_cut(name: str) -> None:
    made, setup = rendered(name), LAYOUTS[name]()
    page = Sheet(heading(), setup, audit(setup)).page(made.setting, "a4")
    assert _missing(page, text_of(made.content)) == []


@pytest.mark.parametrize(("findings", "remarks"), [(0, 820), (2, 400), (6, 280), (12, 280)])
def test_notes_are_whole_where_the_page_has_room_for_them(findings: int, remarks: int) -> None:
    """Longer ones than the setting always has room for, which stays what it would be without them."""
    setup, found = FULL["Six Bells"](), [LONG_FINDING] * findings
    made = render(setup.changed(remarks=("It flies. " * 200)[: remarks - 1]), "a4", found)
    assert remarks > SPACINGS[made.setting].remarks
    assert words_of(made.content).count("It flies.") == remarks // 10
    assert made.setting == render(setup.changed(remarks=""), "a4", found).setting


def test_what_is_hardly_too_long_is_not_cut() -> None:
    assert cut("a word more", 8) == "a word more"
    assert cut("a word " * 14, 50, 140) == ("a word " * 14).strip()
    assert cut("a word " * 40, 20) == "a word a word a … (the rest stands with the revision on the site)"


@pytest.mark.parametrize(
    ("code", "text", "whole"),
    [
        ("en", "32.1 mm down; 8 ↓ 0 14 ↑, 100 %, 12 mm deep", "32.1_mm_down; 8_↓ 0 14_↑, 100_%, 12_mm deep"),
        ("de", "32,1 mm tief, 4 mal; 2 in rechts", "32,1_mm_tief, 4 mal; 2 in rechts"),
    ],
)
def test_a_figure_is_printed_in_one_piece_with_its_unit_and_its_way(code: str, text: str, whole: str) -> None:
    with speaking(code):
        assert pdf.printable(text) == whole.replace("_", "\u00a0")


class _Words(HTMLParser):
    """The words of a page that are to be seen."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.hidden = 0

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.hidden += tag in ("head", "title")

    def handle_endtag(self, tag: str) -> None:
        self.hidden -= tag in ("head", "title")

    def handle_data(self, data: str) -> None:
        if not self.hidden:
            self.words += data.split()


def _missing(page: str, shown: str) -> list[str]:
    parser = _Words()
    parser.feed(page)
    seen = re.sub(r"\s", "", shown)
    return [word for word in parser.words if word not in seen]


def test_fonts_are_embedded_and_ours() -> None:
    names = set()
    for page in reader(rendered("example").content).pages:
        resources = page["/Resources"]
        for font in resources["/Font"].values():  # type: ignore[index]
            (descendant,) = font.get_object()["/DescendantFonts"]
            descriptor = descendant.get_object()["/FontDescriptor"].get_object()
            assert "/FontFile2" in descriptor or "/FontFile3" in descriptor
            names.add(str(descriptor["/FontName"]))
    assert names
    assert all("Source-Sans-Pro" in name for name in names), names


def test_every_sign_of_a_sheet_is_in_the_font() -> None:
    signs = "−←→↑↓°µ☐≈†‡·…×"
    setup = Setup.model_validate({**example_data(), "remarks": signs})
    shown = text_of(render(setup).content)
    assert signs in shown


def test_the_document_says_what_it_is() -> None:
    document = reader(rendered("example").content)
    root = document.trailer["/Root"]
    assert document.metadata is not None
    assert document.metadata.title == "Setup sheet: Wren 26, revision 12"
    assert document.metadata.author == "Ada Lindner"
    assert root["/Lang"] == "en"  # type: ignore[index]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]  # type: ignore[index]
    assert root["/MarkInfo"]["/Marked"]  # type: ignore[index]
    # ISO 14289-1 (PDF/UA-1), 5: the part is told in the metadata stream.
    assert b"pdfuaid:part" in root["/Metadata"].get_object().get_data()  # type: ignore[index]


def test_pictures_have_words_for_who_does_not_see_them() -> None:
    made = rendered("example")
    alternatives = [" ".join(str(node["/Alt"]).split()) for node in structure(made.content) if "/Alt" in node]
    assert len(alternatives) == html_of(example()).count("<svg")
    assert any("Left lever back" in told and "Right flap 45.8 mm down" in told for told in alternatives)
    assert any("Throws over Left lever" in told for told in alternatives)


def test_headings_tables_and_lists_are_tagged() -> None:
    kinds = {str(node["/S"]) for node in structure(rendered("example").content) if "/S" in node}
    assert {"/H1", "/H2", "/Table", "/TR", "/TH", "/TD", "/L", "/LI", "/P", "/Figure"} <= kinds


def test_the_text_comes_in_reading_order() -> None:
    shown = text_of(rendered("example").content)
    order = [
        "Wren 26",
        "Recorded 4 Nov 2026, 18:30 UTC+01:00 by Ada Lindner",
        "Revision 12",
        "Propeller off or motor disconnected",
        "Open findings",
        "Before switching on",
        "Directions, in this order",
        "Throws mm and degrees",
        "Aileron stick in Cruise",
        "Right slider in Cruise",
        "Channels",
        "Phases",
        "Balance 90 to 102 mm",
        "Left lever in Cruise\nNotes",
    ]
    places = [shown.index(part) for part in order]
    assert places == sorted(places)


def test_nothing_is_logged_while_rendering(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.WARNING):
        for name in ("eight surfaces, three phases", "flying wing"):
            render(LAYOUTS[name]())
    assert [record.getMessage() for record in caplog.records] == []


def test_the_same_sheet_is_the_same_file() -> None:
    setup = layouts.two_servos()
    assert render(setup).content == render(setup).content


def test_nothing_is_set_below_seven_points() -> None:
    """Read from the page itself: the size of every piece of text, scaled as it is painted."""
    sizes: set[float] = set()

    def visit(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
        if text.strip():
            sizes.add(round(abs(size * tm[3] * cm[3]), 2))

    used = set()
    full = render(FULL["long names"](), "letter", [LONG_FINDING] * 6, **COPY)
    for made in (*map(rendered, ("elevons", "canard", "example", "conventional", "eight surfaces, long names")), full):
        used.add(made.setting)
        for page in reader(made.content).pages:
            page.extract_text(visitor_text=visit)
    # From the widest setting to the closest.
    assert {0, len(SPACINGS) - 2} <= used
    assert sizes
    assert min(sizes) >= 6.99


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_papers_are_known_by_their_size(paper: str) -> None:
    assert re.fullmatch(r"[\d.]+(mm|in) [\d.]+(mm|in)", PAPERS[paper])


def test_a_guess_that_was_too_close_is_set_wider() -> None:
    setup = layouts.two_servos()
    pages = [lambda spacing=spacing: html_of(setup, spacing) for spacing in SPACINGS]
    assert pdf.render(pages, sheet="sheet", paper="a4", first=4).setting == 0


def test_a_guess_that_was_too_wide_is_set_closer() -> None:
    setup = layouts.eight_surfaces()
    pages = [lambda spacing=spacing: html_of(setup, spacing) for spacing in SPACINGS]
    made = pdf.render(pages, sheet="sheet", paper="a4", first=3)
    assert made.pages == 1
    assert made.setting > 3


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_most_sheets_are_laid_out_once(paper: str) -> None:
    names = sorted(layouts.ONE_PAGE)
    guesses = [Sheet(heading(), LAYOUTS[name](), audit(LAYOUTS[name]())).guess(paper) for name in names]
    made = [rendered(name, paper).setting for name in names]
    assert sum(one == other for one, other in zip(guesses, made, strict=True)) >= 8, (guesses, made)
