"""What a reader sees of a page: its texts and the attributes that are read out, without what members typed."""

import json
import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

from hangar.languages.areas import AREAS
from hangar.languages.collecting import said, translated

READ_OUT = ("title", "aria-label", "placeholder", "alt", "data-label", "data-copied", "data-selected", "content")
SILENT = ("script", "style", "code")
EMPTY = ("meta", "link", "input", "br", "img", "hr", "wbr", "source", "col")

# Frequent in English sentences, and none of them a German word.
OFTEN = frozenset(
    {"the", "and", "with", "of", "is", "to", "what", "this", "your", "it", "are", "for", "not", "that", "from", "has",
     "be", "or", "you", "its", "they", "their", "which"}
)  # fmt: skip


class _Texts(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.language = ""
        self._open: list[tuple[str, bool]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "html":
            self.language = given.get("lang") or ""
        if tag != "meta":
            self.found += [given[name] or "" for name in READ_OUT if name in given]
        if tag not in EMPTY:
            # What stands in a language of its own, such as the name of a language, is no text of the page's.
            apart = tag in SILENT or (tag != "html" and "lang" in given)
            self._open.append((tag, apart or (bool(self._open) and self._open[-1][1])))

    def handle_endtag(self, tag: str) -> None:
        while self._open and self._open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if self._open and not self._open[-1][1]:
            self.found.append(data)


def plain(text: str) -> str:
    return " ".join(text.split())


def texts_of(page: str) -> tuple[str, list[str]]:
    """The language that a page says it is in, and its texts."""
    reader = _Texts()
    reader.feed(page)
    return reader.language, [text for text in map(plain, reader.found) if text]


def english_of_german() -> set[str]:
    """Every text of the site that reads otherwise in German."""
    found: set[str] = set()
    for area in AREAS:
        for message in translated(area, "de"):
            if message.id and said(message):
                ids = message.id if isinstance(message.id, list | tuple) else [message.id]
                strings = message.string if isinstance(message.string, list | tuple) else [message.string]
                found.update(plain(one) for one in ids if one not in strings and "{" not in one)
    return found


def typed_in(document: Path) -> set[str]:
    """Every text in a setup document: labels, places to measure, remarks."""

    def walk(value: Any) -> set[str]:
        if isinstance(value, str):
            return {value}
        inside = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
        return set().union(*map(walk, inside))

    return walk(json.loads(document.read_bytes()))


def is_english(text: str, typed: set[str]) -> bool:
    """Whether it holds two words or more that only English sentences hold, where no member typed it."""
    for one in sorted(typed, key=len, reverse=True):
        text = text.replace(one, "")
    return len(OFTEN.intersection(re.findall(r"[a-z]+", text.lower()))) >= 2


def figures_with_comma(page: str) -> list[str]:
    """Attributes that hold a figure as Germans write it. What stands in a box to type into may be one."""
    found = re.findall(r'\b([a-z][a-z0-9-]*)="(-?[0-9]+,[0-9]+)"', page)
    return [f"{name}={figure}" for name, figure in found if name not in ("value", "points")]
