"""Our quicker parts of the PDF renderer write what its own write, and stand aside for any renderer but theirs."""

import logging
from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import Any

import pydyf
import pytest
from weasyprint import css
from weasyprint.layout import inline
from weasyprint.text import line_break

from hangar.languages.speaking import INCH, speaking
from hangar.setups.models import Revision
from hangar.setups.operations import record
from hangar.sheets import pdf, quicker, stored, typesetting
from hangar.sheets.card import change_card_pdf
from hangar.sheets.handover import handover_pdf
from hangar.sheets.pocket import render_cards
from hangar.sheets.quicker import percentages, texts, writing
from mixing import audit

from . import layouts
from .rendering import heading, html_of, render, rendered

ASKS = "https://hangar.example/s/0123456789abcdefABCDEF"
# A letter with its accent apart, a soft hyphen, spaces that do not break, other writings, and what we cannot print.
ODD = "Ca\u0301p\xadte <b>&\u00a0x\u202f\u200b שלום 12 مرحبا 日本 ﬁ → − 🛩\tend\u2028" + "verylongword" * 9


def the_same(make: Callable[[], bytes]) -> None:
    """What is made as it comes, once more when everything is known, and by the renderer alone, is one."""
    first, again = make(), make()
    with quicker.left_out():
        own = make()
    assert first == own
    assert again == own


@pytest.mark.parametrize("name", layouts.ONE_PAGE)
def test_every_layout_is_the_same_to_the_byte(name: str) -> None:
    setup = layouts.ONE_PAGE[name]()
    with quicker.left_out():
        own = render(setup, "a4", audit(setup)).content
    assert rendered(name).content == own


def test_a_sheet_that_comes_again_needs_no_new_style_and_sets_no_text(monkeypatch: pytest.MonkeyPatch) -> None:
    setup = layouts.two_servos()
    first = render(setup, copy="copy 3", copy_number=3, asks=ASKS).content
    styles = typesetting._fonts().styles
    kept, asked = styles.count, []
    monkeypatch.setattr(texts, "_own_split", lambda text, *rest: asked.append(text))
    assert render(setup, copy="copy 3", copy_number=3, asks=ASKS).content == first
    assert (styles.count, asked) == (kept, [])


@pytest.mark.parametrize("name", layouts.ONE_PAGE)
def test_so_it_is_where_all_figures_differ(name: str) -> None:
    setup = layouts.varied(layouts.ONE_PAGE[name](), 17)
    the_same(lambda: render(setup, copy="copy 17", copy_number=17, asks=ASKS, number=17).content)


@pytest.mark.parametrize("name", ["flying wing", "long names"])
def test_so_it_is_in_german_and_inches_on_the_other_paper(name: str) -> None:
    setup = layouts.ONE_PAGE[name]()
    with speaking("de", INCH):
        the_same(lambda: render(setup, "letter", audit(setup), asks=ASKS, copy="Ausdruck 3", copy_number=3).content)


def test_so_it_is_with_odd_texts_on_more_than_a_page() -> None:
    setup = layouts.many_surfaces(names=" \xad\u00a0<i>")
    the_same(lambda: render(setup, findings=audit(setup), airframe=ODD, author=ODD, reason=ODD * 3).content)


def test_so_are_cards_and_handover(first: Revision) -> None:
    setup = layouts.vee_tail()
    the_same(lambda: render_cards(heading(asks=ASKS), setup, "a4").content)
    later = record(
        user=first.airframe.owner, airframe=first.airframe, setup=setup, base=first, reason="another model"
    ).revision
    the_same(lambda: change_card_pdf(first, later, paper="letter"))
    the_same(lambda: handover_pdf(later))


def test_what_is_forgotten_on_the_way_is_found_out_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(texts, "_MOST", 20)
    monkeypatch.setattr(percentages, "_MOST", 1)
    kept = texts.texts_of(typesetting._fonts())
    kept.forget()
    setup = layouts.two_servos()
    the_same(lambda: render(setup).content)
    assert 0 < sum(len(wording.lines) + len(wording.parts) for wording in kept.wordings.values()) <= 20


def test_a_text_that_just_fits_is_not_broken() -> None:
    """Where a text is known to fit, the renderer itself does not break it either, down to its very width."""
    render(layouts.two_servos())
    tried = 0
    for key, wording in typesetting._fonts().texts.wordings.items():
        style = css.InitialStyle(typesetting._fonts())
        style.update(dict(zip(texts._OF_TEXT, key, strict=False)) if len(key) == len(texts._OF_TEXT) else {})
        for text in [text for text in wording.lines if " " in text][:5]:
            _, _, resume_at, width, *_ = texts._own_split(text, style, None, None, 0)
            assert resume_at is None
            _, _, resume_at, again, *_ = texts._own_split(text, style, None, width, 0)
            assert (resume_at, again) == (None, width)
            tried += 1
    assert tried >= 20


# A sheet has figures beside any sign of ours that a member may type, and beside each other.
SIGNS = "".join(map(chr, [*range(0x21, 0x30), *range(0x3A, 0x7F), *range(0xA1, 0x180), *range(0x2007, 0x2027)])) + (
    "\u202f‰€™←↑→↓−≈≤≥☐✓́"
)


def with_figures(figures: str) -> str:
    """A page on which each of them stands between any two other signs, and beside each other."""
    between = "".join(sign + figures[i % 10] + (sign if i % 7 else " ") for i, sign in enumerate(SIGNS))
    among = "".join(f"{figures[i]}{figures[j]}{figures[i]}. " for i in range(10) for j in range(10))
    text = f"<p>{escape(between)}</p><p>{among}</p><p><b>{escape(between)}</b></p><p>{figures[:3]} mm up</p>"
    picture = f'<svg viewBox="0 0 99 9" width="99" height="9"><text x="2" y="7" font-size="7">{figures}</text></svg>'
    return f'<!doctype html><html lang="en"><head><title>Figures</title></head><body>{text}{picture}</body></html>'


def test_figures_stand_for_each_other_beside_every_sign() -> None:
    """Ten pages that differ in nothing but figures, set from one another, are each as the renderer sets it alone."""
    for i in range(10):
        page = with_figures(texts.FIGURES[i:] + texts.FIGURES[:i])
        the_same(lambda page=page: pdf.render([lambda: page], sheet="sheet", paper="a4").content)  # type: ignore[misc]


def test_a_text_with_other_figures_is_not_set_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    def page(figures: str) -> str:
        return f"<!doctype html><html><head><title>T</title></head><body><p>{figures} mm up</p></body></html>"

    def content(figures: str) -> bytes:
        return pdf.render([lambda: page(figures)], sheet="sheet", paper="a4").content

    # All ten figures in each weight and size have been drawn after these.
    content("1234567890")
    content("12.3")
    with quicker.left_out():
        own = content("45.6")
    asked: list[str] = []
    split = texts._own_split

    def noted(text: str, *rest: Any) -> texts.Split:
        asked.append(text)
        return split(text, *rest)

    monkeypatch.setattr(texts, "_own_split", noted)
    assert content("45.6") == own
    assert [text for text in asked if "mm" in text] == []


def test_where_figures_are_not_equally_wide_each_text_is_set_by_itself() -> None:
    other = (
        "<style>@font-face { font-family: Uneven; src: url(hingeline:font/SourceSansPro-Regular.ttf); "
        "font-variant: proportional-nums } p { font-family: Uneven }</style></head>"
    )
    for figures in ("1111111111", "0123456789"):
        page = with_figures(figures).replace("</head>", other)
        the_same(lambda page=page: pdf.render([lambda: page], sheet="sheet", paper="a4").content)  # type: ignore[misc]


@pytest.mark.parametrize(
    "item", [0, -3, True, 0.0, -0.0, 1.0, -2.5, 1e-9, 0.1 + 0.2, 1e21, b"/Name", "/Name", pydyf.Array([1, 2.5, "x"])]
)
def test_numbers_and_names_are_written_as_the_renderer_writes_them(item: object) -> None:
    assert writing.to_bytes(item) == writing._own(item)


def test_a_letter_that_no_name_of_a_pdf_may_have_is_refused() -> None:
    with pytest.raises(UnicodeEncodeError):
        writing.to_bytes("Flügel")


def test_a_length_in_parts_of_the_page_is_that_of_each_page() -> None:
    page = html_of(layouts.two_servos()).replace("<h2", '<h2 style="margin-left: 10vw"')
    tried = []
    for paper in ("a4", "a5"):
        made = pdf.render([lambda: page], sheet="sheet", paper=paper).content
        with quicker.left_out():
            assert pdf.render([lambda: page], sheet="sheet", paper=paper).content == made
        tried.append(made)
    assert tried[0] != tried[1]


def test_the_renderer_of_the_lock_is_the_one_they_were_written_beside() -> None:
    assert inline.resolve_percentages is percentages.resolve_percentages
    assert line_break.split_first_line is texts.split_first_line
    assert {file: quicker.digest(file) for file in quicker.WRITTEN_BESIDE} == quicker.WRITTEN_BESIDE


@pytest.mark.parametrize("other", [{"weasyprint/layout/percent.py": "0" * 32}, {"pydyf/no_such_file.py": "0" * 32}])
def test_any_other_keeps_its_own_and_says_so(other: dict[str, str], caplog: pytest.LogCaptureFixture) -> None:
    with quicker.left_out(), caplog.at_level(logging.WARNING):
        assert not quicker.put_in_place({**quicker.WRITTEN_BESIDE, **other})
        assert inline.resolve_percentages is not percentages.resolve_percentages
    (said,) = caplog.messages
    assert "keeps its own" in said
    assert next(iter(other)) in said


def test_a_change_in_them_makes_stored_sheets_stale() -> None:
    covered = {path for pattern in stored._SOURCES for path in stored._TOP.glob(pattern)}
    assert set(Path(quicker.__file__).parent.glob("*.py")) <= covered
