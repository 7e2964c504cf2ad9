"""Sheets are read by the quick reader of XML, and look and read the same as by the one for web pages."""

from xml.etree import ElementTree

import pytest
from weasyprint import HTML

from hangar.sheets import pdf, typesetting
from hangar.sheets.spacings import SPACINGS
from tests.hangar.sheets import layouts
from tests.hangar.sheets.rendering import html_of, text_of

ASKS = "https://hangar.example/s/0123456789abcdefABCDEF"
ODD = 'Wren <26> & "co" \u2019 \u00a0'


@pytest.fixture
def forgiving(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What the forgiving reader was given."""
    given: list[str] = []
    plain = HTML.__init__

    def noted(self: object, *, string: str, **options: object) -> None:
        given.append(string)
        plain(self, string=string, **options)

    monkeypatch.setattr(HTML, "__init__", noted)
    return given


@pytest.mark.parametrize("instruction", [False, True])
def test_a_sheet_needs_no_forgiving_reader(instruction: bool, forgiving: list[str]) -> None:
    page = html_of(layouts.conventional(), SPACINGS[7], asks=ASKS, airframe=ODD, instruction=instruction)
    pdf.pages_of(page, sheet="sheet", paper="a4")
    assert not forgiving


def test_both_readers_give_the_same_pdf(monkeypatch: pytest.MonkeyPatch, forgiving: list[str]) -> None:
    page = html_of(layouts.conventional(), SPACINGS[5], asks=ASKS, airframe=ODD)
    quick = pdf.render([lambda: page], sheet="sheet", paper="a4").content
    assert not forgiving

    def refuse(text: str) -> None:
        raise ElementTree.ParseError

    monkeypatch.setattr(ElementTree, "fromstring", refuse)
    assert pdf.render([lambda: page], sheet="sheet", paper="a4").content == quick
    assert forgiving


def test_the_lean_list_of_elements_prints_what_the_renderers_own_does(monkeypatch: pytest.MonkeyPatch) -> None:
    page = html_of(layouts.eight_surfaces(), SPACINGS[7], asks=ASKS)
    lean = pdf.render([lambda: page], sheet="sheet", paper="a4").content
    monkeypatch.setattr(typesetting.Page, "_ua_stylesheets", HTML._ua_stylesheets)
    assert pdf.render([lambda: page], sheet="sheet", paper="a4").content == lean


def test_what_no_xml_may_hold_is_still_printed(forgiving: list[str]) -> None:
    page = html_of(layouts.two_servos(), author="Ada \x01 Lindner")
    assert "Wren 26" in text_of(pdf.render([lambda: page], sheet="sheet", paper="a4").content)
    assert forgiving
