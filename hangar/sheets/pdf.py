"""HTML to PDF: tagged (PDF/UA-1), fonts embedded, the same bytes for the same sheet."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from hangar.pictures.words import unbroken

if TYPE_CHECKING:
    from .typesetting import Document

# ISO 216:2007 gives A4 as 210 × 297 mm, A5 as 148 × 210 mm, A6 as 105 × 148 mm; ANSI/ASME Y14.1 gives size A (Letter)
# as 8.5 × 11 in.
PAPERS = {
    "a4": "210mm 297mm", "letter": "8.5in 11in", "a5": "148mm 210mm", "half_letter": "5.5in 8.5in",
    "a6": "105mm 148mm", "quarter_letter": "4.25in 5.5in",
}  # fmt: skip
# A single pocket card has as page margins what it has as paddings among its fellows.
_MARGINS = {"a6": "7mm 6.5mm 6mm", "quarter_letter": "7mm 6.5mm 6mm"}

# Pango's font map is shared by all renders of a process, which halves their memory; two threads may not use it at once.
_lock = threading.Lock()

# Emoji and whatever else lies beyond the first 65,536 characters, with the signs that join and colour them.
_NO_GLYPH = re.compile("[\U00010000-\U0010ffff][\ufe0e\ufe0f\u200d]*")
# Overrides of the writing direction would turn the figures behind them round as well.
_TURNING = re.compile("[\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufe0e\ufe0f\ufeff]")

# A page is well filled up to here; below, the next wider setting is worth a try.
_WELL_FILLED = 0.85


@dataclass(frozen=True)
class Rendered:
    """A finished PDF, how many pages it has, and which of the settings it was made from."""

    content: bytes
    pages: int
    setting: int


class SheetError(RuntimeError):
    """A sheet asked for something that it may not read: a fault of the program, not of what a member typed."""


def render(
    pages: Sequence[Callable[[], str]], *, sheet: str, paper: str, first: int = 0, photo: bytes = b""
) -> Rendered:
    """The first of `pages` from `first` on that fits one page; the last one, on several, where none does.

    Where `first` fits and leaves much room, the wider ones before it are tried as well.

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
    photo : bytes
        A JPEG that the pages may show.

    Raises
    ------
    SheetError
        The sheet asks for an address that is not ours.
    """
    with _rendering():
        setting, document = _fitting(pages, partial(_layout, sheet=sheet, paper=paper, photo=photo), first)
        content = document.write_pdf(pdf_variant="pdf/ua-1", pdf_tags=True)
        return Rendered(content=content, pages=len(document.pages), setting=setting)


def pages_of(html: str, *, sheet: str, paper: str) -> int:
    """How many pages a page of HTML takes, without making the PDF.

    Raises
    ------
    SheetError
        The sheet asks for an address that is not ours.
    """
    with _rendering():
        return len(_layout(html, sheet, paper).pages)


@contextmanager
def _rendering() -> Iterator[None]:
    """One thread at a time; a refused address as SheetError."""
    with _lock:
        # Only now: no other page should wait for the renderer to be loaded.
        from . import typesetting

        try:
            yield
        # Not an Exception, lest the renderer swallow it: it must not end the whole process either.
        except typesetting.FatalURLFetchingError as error:
            raise SheetError(f"The sheet could not be made: {str(error)[:200]}") from error


def _fitting(pages: Sequence[Callable[[], str]], layout: Callable[[str], Document], first: int) -> tuple[int, Document]:
    for setting in range(first, len(pages)):
        document = layout(pages[setting]())
        if len(document.pages) == 1:
            break
    # The guess was too close where much of the page stays empty.
    while setting == first > 0 and _filled(document) < _WELL_FILLED:
        wider = layout(pages[first - 1]())
        if len(wider.pages) > 1:
            break
        first, setting, document = first - 1, first - 1, wider
    return setting, document


def _filled(document: Document) -> float:
    """How much of the height of its last page a sheet takes, from its anchor `end`; all of it where it has none."""
    page = document.pages[-1]
    place = page.anchors.get("end")
    return float(place[1]) / float(page.height) if place is not None else 1.0


def printable(html: str) -> str:
    """What our fonts cannot print as a box that is seen, such as a picture of a face; no sign that turns text round;
    no line that could end between a figure and its unit or its way."""
    return unbroken(_TURNING.sub("", _NO_GLYPH.sub("□", html)))


def _layout(html: str, sheet: str, paper: str, photo: bytes = b"") -> Document:
    from .typesetting import layout

    margin = f" margin: {_MARGINS[paper]};" if paper in _MARGINS else ""
    return layout(printable(html), sheet=sheet, page=f"size: {PAPERS[paper]};{margin}", photo=photo)
