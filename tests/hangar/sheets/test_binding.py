"""Sheets bound into one PDF, read back with a library that had no part in writing it."""

import io
from functools import cache
from typing import Any

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject

from hangar.sheets.binding import BindingError, bound
from mixing import Setup
from tests.mixing.example import example_data

from . import layouts
from .rendering import reader, render, structure

# Made to be taken for a reference, a name of a cell and the end of a text.
NAME = "Lark 5 0 R (323-0-0) /ID (1) /StructParents 0 \\ endobj ü"


@cache
def sheets() -> list[tuple[str, bytes]]:
    odd = Setup.model_validate({**example_data(), "remarks": NAME})
    return [
        ("Wren", render(layouts.two_servos(), number=1, newest=1).content),
        (NAME, render(odd, airframe=NAME).content),
        ("Large", render(layouts.many_surfaces()).content),
    ]


@cache
def together() -> bytes:
    return bound(sheets(), title="All & <sundry>")


def root(document: PdfReader) -> Any:
    return document.trailer["/Root"]


def told(content: bytes) -> list[tuple[str, str]]:
    """Kind and words for a picture of every tag, sorted: the tree may be walked in any order."""
    return sorted((str(node["/S"]), str(node.get("/Alt", ""))) for node in structure(content) if "/S" in node)


def test_every_page_is_there_as_it_was() -> None:
    document = reader(together())
    single = [page for _, content in sheets() for page in reader(content).pages]
    assert len(single) > 3
    assert [page.extract_text() for page in document.pages] == [page.extract_text() for page in single]
    assert [page.mediabox for page in document.pages] == [page.mediabox for page in single]


def test_the_whole_says_what_it_is() -> None:
    document = reader(together())
    assert document.metadata is not None
    assert document.metadata.title == "All & <sundry>"
    assert root(document)["/Lang"] == "en"
    assert root(document)["/MarkInfo"]["/Marked"]
    assert root(document)["/ViewerPreferences"]["/DisplayDocTitle"]
    written = root(document)["/Metadata"].get_data()
    assert b"<pdfuaid:part>1<" in written
    assert b"All &amp; &lt;sundry&gt;" in written


def test_a_bookmark_leads_to_the_first_page_of_each() -> None:
    document = reader(together())
    marks: Any = document.outline
    assert [mark.title for mark in marks] == ["Wren", NAME, "Large"]
    assert [document.get_destination_page_number(mark) for mark in marks] == [0, 1, 2]


def test_every_tag_is_there_as_it_was() -> None:
    (whole,) = root(reader(together()))["/StructTreeRoot"]["/K"]
    assert whole.get_object()["/S"] == "/Document"
    parts = [part.get_object()["/S"] for part in whole.get_object()["/K"]]
    assert parts == ["/Part"] * len(sheets())
    before = sorted(tag for _, content in sheets() for tag in told(content) if tag[0] != "/Document")
    after = [tag for tag in told(together()) if tag[0] not in ("/Document", "/Part")]
    assert after == before


def test_marks_on_every_page_lead_to_their_tags() -> None:
    """ISO 32000-1, 14.7.4.4: the parent tree gives, for a page's key, the element of each of its marked pieces."""
    document = reader(together())
    nums = root(document)["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    tree = dict(zip(nums[::2], nums[1::2], strict=True))
    keys: list[Any] = [page["/StructParents"] for page in document.pages]
    assert keys == list(range(len(keys))) == sorted(tree)
    for page in document.pages:
        elements = tree[page["/StructParents"]].get_object()
        assert elements
        for mark, element in enumerate(elements):
            assert element.get_object()["/Pg"].get_object() == page.get_object()
            assert mark in element.get_object()["/K"]


def test_cells_of_tables_find_their_own_heads() -> None:
    heads = [str(node["/ID"]) for node in structure(together()) if "/ID" in node]
    assert len(heads) == len(set(heads))
    asked = {str(one) for node in structure(together()) for one in _attributes(node).get("/Headers", ())}
    assert asked
    assert asked <= set(heads)


def _attributes(node: DictionaryObject) -> DictionaryObject:
    found = node.get("/A", DictionaryObject()).get_object()
    return found if isinstance(found, DictionaryObject) else DictionaryObject()


def test_nothing_leads_nowhere() -> None:
    document = reader(together())
    todo: list[Any] = [document.trailer.raw_get(key) for key in ("/Root", "/Info")]
    seen: set[int] = set()
    while todo:
        one = todo.pop()
        if isinstance(one, IndirectObject):
            if one.idnum in seen:
                continue
            seen.add(one.idnum)
            one = one.get_object()
            assert one is not None
        if isinstance(one, DictionaryObject):
            todo += [one.raw_get(key) for key in one]
        elif isinstance(one, ArrayObject):
            todo += list(one)
    # Objects 0 and the table of places are reached by nobody, nor are the streams that hold the plain objects.
    size: Any = document.trailer["/Size"]
    assert size - len(seen) == 2 + len(sheets()) + 1


def test_the_same_sheets_are_the_same_file() -> None:
    assert bound(sheets(), title="All & <sundry>") == together()


def test_what_the_renderer_did_not_write_is_refused() -> None:
    writer = PdfWriter()
    writer.add_blank_page(100, 100)
    out = io.BytesIO()
    writer.write(out)
    for other in (out.getvalue(), b"%PDF-1.7\n%x\nstartxref\n0\n", sheets()[0][1][:-3000] + b"startxref\n"):
        with pytest.raises(BindingError, match="not one of ours"):
            bound([("x", other)], title="x")
    with pytest.raises(BindingError, match="at least"):
        bound([], title="x")
