"""Tagged PDFs of the renderer bound into one, with bookmarks: each keeps its tags, and only its numbers change.

This reads what our own renderer writes and nothing else: streams one after the other, one of which holds all plain
objects (ISO 32000-1, 7.5.7). A general library reads every object into memory, 5 MiB a sheet with its tags, and takes
twenty times as long.
"""

import re
import zlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

_CATALOG, _PAGES, _TREE, _WHOLE, _PARENTS, _OUTLINES, _INFO, _METADATA, _FIRST = range(1, 10)
_HEAD = re.compile(rb"(\d+) 0 obj\n(<<.*?/Length (\d+)>>)\nstream\n", re.DOTALL)
_TAIL = b"\nendstream\nendobj\n"
# Texts come first, so that nothing in a name that somebody typed is taken for a reference.
_TOKEN = re.compile(
    rb"/ID \((?P<id>[^()\\]*)\)|/Headers \[(?P<heads>[^\]\\]*)\]|\((?:[^\\()]|\\.)*\)|<[0-9A-Fa-f]+>"
    rb"|/StructParent(?P<many>s?) (?P<parent>\d+)|(?<![\w.])(?P<ref>\d+) 0 R\b",
    re.DOTALL,
)
_XMP = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?><x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about=""
 xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/">
<pdfuaid:part>1</pdfuaid:part><dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
</rdf:Description></rdf:RDF></x:xmpmeta><?xpacket end="r"?>"""


class BindingError(ValueError):
    """This is no PDF of our renderer."""


@dataclass
class _Source:
    """One document: its streams and its plain objects by number, and its catalog."""

    streams: dict[int, tuple[bytes, bytes]] = field(default_factory=dict)
    objects: dict[int, bytes] = field(default_factory=dict)
    catalog: bytes = b""

    def number(self, key: bytes, text: bytes) -> int:
        return int(_found(rb"/" + key + rb" (\d+) 0 R", text))


def _found(pattern: bytes, text: bytes) -> bytes:
    found = re.search(pattern, text, re.DOTALL)
    if found is None:
        raise BindingError(f"This PDF is not one of ours: it has no {pattern!r}.")
    return found[1]


def _read(content: bytes) -> _Source:
    source, at = _Source(), content.find(b"\n", content.find(b"\n") + 1) + 1
    while not content.startswith(b"startxref\n", at):
        head = _HEAD.match(content, at)
        end = head.end() + int(head[3]) if head else 0
        if head is None or not content.startswith(_TAIL, end):
            raise BindingError(f"This PDF is not one of ours: there is no stream at byte {at}.")
        data = content[head.end() : end]
        if b"/Type /XRef" in head[2]:
            source.catalog = source.objects.pop(source.number(b"Root", head[2]))
            source.objects.pop(source.number(b"Info", head[2]), None)
        elif b"/Type /ObjStm" in head[2]:
            source.objects |= _plain(zlib.decompress(data), int(_found(rb"/First (\d+)", head[2])))
        else:
            source.streams[int(head[1])] = (head[2], data)
        at = end + len(_TAIL)
    return source


def _plain(data: bytes, first: int) -> dict[int, bytes]:
    numbers = [int(word) for word in data[:first].split()]
    starts = [first + offset for offset in numbers[1::2]]
    return {n: data[a:b].strip() for n, a, b in zip(numbers[::2], starts, [*starts[1:], len(data)], strict=True)}


class _Binder:
    def __init__(self) -> None:
        self.out = bytearray(b"%PDF-1.7\n%\xf0\x9f\x96\xa4\n")
        self.places: dict[int, tuple[int, int, int]] = {0: (0, 0, 0)}
        self.free = _FIRST
        self.parents = 0
        self.marks: list[tuple[str, int]] = []
        self.pages: list[int] = []
        self.kids: list[bytes] = []
        self.nums: list[bytes] = []
        self.language = b"(en)"

    def add(self, title: str, content: bytes) -> None:
        """Take in the pages and tags of one document."""
        source = _read(content)
        pages, tree = (source.number(key, source.catalog) for key in (b"Pages", b"StructTreeRoot"))
        self.language = _found(rb"/Lang (\([^()]*\))", source.catalog)
        kids = _found(rb"/Kids \[(.*?)\]", source.objects.pop(pages))
        root = source.objects.pop(tree)
        nums = _found(rb"/Nums \[(.*)\]", source.objects.pop(source.number(b"ParentTree", root)))
        # Bookmarks and metadata of its own.
        source.objects.pop(source.number(b"Outlines", source.catalog), None)
        source.streams.pop(source.number(b"Metadata", source.catalog), None)
        kept = {n: text for n, text in source.objects.items() if not re.match(rb"<</Title .*/Dest \[", text, re.DOTALL)}
        numbers = {old: self.free + i for i, old in enumerate([*kept, *source.streams])}
        change = self._change({**numbers, pages: _PAGES, tree: _WHOLE})
        self.free += len(numbers)
        own = [int(number) for number in re.findall(rb"(\d+) 0 R", change(kids))]
        self.marks.append((title, own[0]))
        self.pages += own
        (top,) = (int(number) for number in re.findall(rb"(\d+) 0 R", _found(rb"/K \[(.*?)\]", root)))
        # One document has one root: what was a whole one is a part of this one now.
        kept[top] = kept[top].replace(b"/S /Document", b"/S /Part", 1)
        self.kids.append(b"%d 0 R" % numbers[top])
        entries = re.findall(rb"(\d+) (\[[^\]]*\]|\d+ 0 R)", change(nums))
        self.nums += [b"%d %s" % (self.parents + int(key), value) for key, value in entries]
        self.parents += len(entries)
        for old, (head, data) in source.streams.items():
            self.stream(numbers[old], change(head), data)
        self.plain({numbers[old]: change(text) for old, text in kept.items()})

    def _change(self, numbers: dict[int, int]) -> Callable[[bytes], bytes]:
        """What gives a text of this document its new numbers, and names of table cells that no other one has."""
        own, parents = b"%d-" % len(self.marks), self.parents

        def new(token: "re.Match[bytes]") -> bytes:
            if token["ref"]:
                return b"%d 0 R" % numbers[int(token["ref"])]
            if token["parent"]:
                return b"/StructParent%s %d" % (token["many"], parents + int(token["parent"]))
            if token["id"] is not None:
                return b"/ID (%s%s)" % (own, token["id"])
            if token["heads"] is not None:
                return b"/Headers [%s]" % token["heads"].replace(b"(", b"(" + own)
            return token[0]

        return lambda text: _TOKEN.sub(new, text)

    def stream(self, number: int, head: bytes, data: bytes) -> None:
        self.places[number] = (1, len(self.out), 0)
        self.out += b"%d 0 obj\n%s\nstream\n%s%s" % (number, head, data, _TAIL)

    def packed(self, number: int, extra: bytes, data: bytes) -> None:
        data = zlib.compress(data)
        self.stream(number, b"<<%s/Filter /FlateDecode/Length %d>>" % (extra, len(data)), data)

    def plain(self, objects: dict[int, bytes]) -> None:
        """Keep objects together in one stream."""
        inside, self.free = self.free, self.free + 1
        starts, at = [], 0
        for place, (number, text) in enumerate(objects.items()):
            self.places[number] = (2, inside, place)
            starts.append(b"%d %d" % (number, at))
            at += len(text) + 1
        index = b" ".join(starts) + b"\n"
        extra = b"/Type /ObjStm/N %d/First %d" % (len(objects), len(index))
        self.packed(inside, extra, index + b"\n".join(objects.values()))

    def finished(self, title: str) -> bytes:
        """The whole document."""
        first, count = self.free, len(self.marks)
        self.free += count
        marks = {first + i: _mark(name, page, i, first, count) for i, (name, page) in enumerate(self.marks)}
        ends = b"/First %d 0 R/Last %d 0 R" % (first, first + count - 1)
        self.packed(_METADATA, b"/Type /Metadata/Subtype /XML", _XMP.format(title=escape(title)).encode())
        self.plain({
            _CATALOG: b"<</Type /Catalog/Pages %d 0 R/Outlines %d 0 R/Lang %s/StructTreeRoot %d 0 R/Metadata %d 0 R"
            b"/MarkInfo <</Marked true>>/ViewerPreferences <</DisplayDocTitle true>>/PageMode /UseOutlines>>"
            % (_PAGES, _OUTLINES, self.language, _TREE, _METADATA),
            _PAGES: b"<</Type /Pages/Count %d/Kids [%s]>>"
            % (len(self.pages), b" ".join(b"%d 0 R" % page for page in self.pages)),
            _TREE: b"<</Type /StructTreeRoot/ParentTree %d 0 R/ParentTreeNextKey %d/K [%d 0 R]>>"
            % (_PARENTS, self.parents, _WHOLE),
            _WHOLE: b"<</Type /StructElem/S /Document/P %d 0 R/K [%s]>>" % (_TREE, b" ".join(self.kids)),
            _PARENTS: b"<</Nums [%s]>>" % b" ".join(self.nums),
            _OUTLINES: b"<</Type /Outlines/Count %d%s>>" % (count, ends),
            _INFO: b"<</Title %s/Producer (Hingeline)>>" % _text(title),
            **marks,
        })  # fmt: skip
        start, size = len(self.out), self.free + 1
        self.places[self.free] = (1, start, 0)
        rows = b"".join(
            kind.to_bytes(1, "big") + a.to_bytes(4, "big") + b.to_bytes(3, "big")
            for kind, a, b in (self.places[number] for number in range(size))
        )
        extra = b"/Type /XRef/W [1 4 3]/Size %d/Root %d 0 R/Info %d 0 R" % (size, _CATALOG, _INFO)
        self.packed(self.free, extra, rows)
        self.out += b"startxref\n%d\n%%%%EOF\n" % start
        return bytes(self.out)


def _mark(name: str, page: int, place: int, first: int, count: int) -> bytes:
    before = b"/Prev %d 0 R" % (first + place - 1) if place else b""
    after = b"/Next %d 0 R" % (first + place + 1) if place < count - 1 else b""
    return b"<</Title %s/Parent %d 0 R%s%s/Dest [%d 0 R /Fit]>>" % (_text(name), _OUTLINES, before, after, page)


def _text(words: str) -> bytes:
    return b"<" + ("\ufeff" + words).encode("utf-16-be").hex().encode() + b">"


def bound(documents: Iterable[tuple[str, bytes]], *, title: str) -> bytes:
    """One PDF of (bookmark, PDF), one at least, in this order, each with its tags.

    Raises
    ------
    BindingError
        One is no PDF of our renderer, or there is none.
    """
    binder = _Binder()
    for name, content in documents:
        binder.add(name, content)
    if not binder.marks:
        raise BindingError("There is nothing to bind: give one document at least.")
    return binder.finished(title)
