"""Sheets rendered without a database: a heading in words, a setup, and what stands in the PDF."""

import io
from collections.abc import Callable, Iterator, Sequence
from functools import cache, partial
from pathlib import Path
from typing import Any

from django.conf import settings
from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject

from hangar.sheets import pdf
from hangar.sheets.heading import EnteredLine, Heading
from hangar.sheets.render import Sheet
from hangar.sheets.spacings import SPACINGS, Spacing
from mixing import Finding, Setup, audit
from tests.mixing.example import example

from . import layouts

STARTS = settings.BASE_DIR / "fixtures" / "layouts"


def _read(path: Path) -> Setup:
    return Setup.from_text(path.read_text(encoding="utf-8"))


LAYOUTS: dict[str, Callable[[], Setup]] = {
    **layouts.ONE_PAGE,
    "example": example,
    **{path.stem: partial(_read, path) for path in sorted(STARTS.glob("*.json")) if path.stem != "index"},
}


def heading(**changes: Any) -> Heading:
    words: dict[str, Any] = {
        "airframe": "Wren 26",
        "mark": "HG-017",
        "number": 12,
        "recorded": "4 Nov 2026, 18:30 UTC+01:00",
        "author": "Ada Lindner",
        "reason": "Less elevator with the brake: it ballooned on the approach.",
        "origin": "",
        "seal": "1a2b3c4d",
        "verdict": "keep",
        "newest": 12,
        "entered": (EnteredLine("Club transmitter", "WREN", 12, "4 Nov 2026, 18:40 UTC+01:00", is_this=True),),
        "copy": "",
    }
    return Heading(**{**words, **changes})


def html_of(setup: Setup, spacing: Spacing = SPACINGS[0], findings: Sequence[Finding] = (), **head: Any) -> str:
    return Sheet(heading(**head), setup, findings).html(spacing)


def render(setup: Setup, paper: str = "a4", findings: Sequence[Finding] = (), **head: Any) -> pdf.Rendered:
    return Sheet(heading(**head), setup, findings).render(paper)


@cache
def rendered(name: str, paper: str = "a4") -> pdf.Rendered:
    """The sheet of a layout, made once for all tests."""
    setup = LAYOUTS[name]()
    return render(setup, paper, audit(setup))


def reader(content: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(content))


def text_of(content: bytes) -> str:
    """The text of all pages in the order in which it was painted, every space single."""
    return "\n".join(
        " ".join(line.split()) for page in reader(content).pages for line in page.extract_text().splitlines()
    )


def words_of(content: bytes) -> str:
    """The text of all pages in one line, wherever lines were broken."""
    return text_of(content).replace("\n", " ")


def structure(content: bytes) -> Iterator[DictionaryObject]:
    """Every element of the PDF's tag tree."""
    root = reader(content).trailer["/Root"]
    assert isinstance(root, DictionaryObject)
    todo: list[Any] = [root["/StructTreeRoot"]]
    while todo:
        node = todo.pop()
        if isinstance(node, IndirectObject):
            node = node.get_object()
        if isinstance(node, ArrayObject):
            todo += list(node)
        elif isinstance(node, DictionaryObject):
            yield node
            todo.append(node.get("/K"))
