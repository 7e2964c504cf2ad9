"""HTML to PDF: tagged (PDF/UA-1), fonts embedded, the same bytes for the same sheet."""

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

from weasyprint import CSS, HTML, Document
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError

from hangar.sheets.fetcher import SCHEME, SheetFetcher

# ISO 216:2007 gives A4 as 210 × 297 mm and A5 as 148 × 210 mm; ANSI/ASME Y14.1 gives size A (Letter) as 8.5 × 11 in.
PAPERS = {"a4": "210mm 297mm", "letter": "8.5in 11in", "a5": "148mm 210mm", "half_letter": "5.5in 8.5in"}

# Pango's font map is shared by all renders of a process, which halves their memory; two threads may not use it at once.
_lock = threading.Lock()


@dataclass(frozen=True)
class Rendered:
    """A finished PDF, how many pages it has, and which of the settings it was made from."""

    content: bytes
    pages: int
    setting: int


@cache
def _fonts() -> FontConfiguration:
    return FontConfiguration()


@cache
def _styles(sheet: str, paper: str) -> list[CSS]:
    return [
        CSS(url=f"{SCHEME}:sheets/{sheet}.css", url_fetcher=SheetFetcher(), font_config=_fonts()),
        CSS(string=f"@page {{ size: {PAPERS[paper]} }}", url_fetcher=SheetFetcher(), font_config=_fonts()),
    ]


class SheetError(RuntimeError):
    """A sheet asked for something that it may not read: a fault of the program, not of what a member typed."""


def render(pages: Sequence[Callable[[], str]], *, sheet: str, paper: str, first: int = 0) -> Rendered:
    """The first of `pages` that fits one page; the last one, on as many as it needs, where none does.

    Parameters
    ----------
    pages : sequence of functions without arguments
        Each gives the same sheet as HTML, set closer from one to the next, so that a full one still fits. The last
        one is for more than a page.
    sheet : str
        Name of the style sheet in `static/sheets/`.
    paper : str
        One of PAPERS.
    first : int
        Where in `pages` to begin.

    Raises
    ------
    SheetError
        The sheet asks for an address that is not ours.
    """
    with _lock:
        try:
            for setting in range(first, len(pages)):
                document = _layout(pages[setting](), sheet, paper)
                if len(document.pages) == 1:
                    break
            content = document.write_pdf(pdf_variant="pdf/ua-1", pdf_tags=True)
        # Not an Exception, lest the renderer swallow it: it must not end the whole process either.
        except FatalURLFetchingError as error:
            raise SheetError(f"The sheet could not be made: {error}") from error
        return Rendered(content=content, pages=len(document.pages), setting=setting)


def _layout(html: str, sheet: str, paper: str) -> Document:
    source = HTML(string=html, url_fetcher=SheetFetcher())
    return source.render(font_config=_fonts(), stylesheets=_styles(sheet, paper), pdf_variant="pdf/ua-1", pdf_tags=True)
