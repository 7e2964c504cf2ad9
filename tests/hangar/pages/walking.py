"""Walking the site by its links, and reading the forms of every page, so that a page of tomorrow is walked too."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import urljoin, urlsplit

from django.test import Client
from django.urls import Resolver404, resolve

_PAGES_A_ROUTE = 2
_MOST_PAGES = 250
# A second each, and no links in them.
_NOT_WALKED = (".pdf",)
_NO_BOXES = ("submit", "button", "image", "reset")


@dataclass
class Form:
    """A form of a page: where it goes, what stands in it, and what could be pressed."""

    page: str
    action: str
    method: str
    values: dict[str, list[str]] = field(default_factory=dict)
    files: list[str] = field(default_factory=list)
    buttons: list[tuple[str, str]] = field(default_factory=list)

    @property
    def names(self) -> list[str]:
        return [*self.values, *self.files]

    @property
    def key(self) -> tuple[str | None, str, tuple[str, ...]]:
        """Forms of one route that ask for the same are one."""
        return (route(self.action), self.method, tuple(sorted(self.names)))


class _Reader(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.page, self.links, self.forms = page, list[str](), list[Form]()
        self._select, self._area = "", ""
        self.by_id: dict[str, Form] = {}

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "a" and given.get("href"):
            self.links.append(urljoin(self.page, given["href"]))
        elif tag == "form":
            method = given.get("method", "get").lower()
            form = Form(self.page, urljoin(self.page, given.get("action", "") or self.page), method)
            self.forms.append(form)
            self.by_id[given.get("id", "")] = form
        elif self.forms:
            self._box(tag, given, self.by_id.get(given.get("form", "-"), self.forms[-1]))

    def _box(self, tag: str, given: dict[str, str], form: Form) -> None:
        name, kind = given.get("name", ""), given.get("type", "text")
        if tag == "button" or (tag == "input" and kind in _NO_BOXES):
            form.buttons.append((name, given.get("value", "")))
        elif tag == "option" and self._select:
            if "selected" in given or self._select not in form.values:
                form.values[self._select] = [given.get("value", "")]
        elif tag == "select":
            self._select = name
        elif tag == "textarea" and name:
            self._area = name
            form.values[name] = [""]
        elif tag == "input" and name and kind == "file":
            form.files.append(name)
        elif tag == "input" and name and (kind not in ("radio", "checkbox") or "checked" in given):
            form.values.setdefault(name, []).append(given.get("value", "on" if kind in ("radio", "checkbox") else ""))
        elif tag == "input" and name:
            form.values.setdefault(name, [])

    def handle_data(self, data: str) -> None:
        if self._area:
            self.forms[-1].values[self._area][0] += data

    def handle_endtag(self, tag: str) -> None:
        self._select = "" if tag == "select" else self._select
        self._area = "" if tag == "textarea" else self._area


def route(address: str) -> str | None:
    """The route of an address of the site, one for each kind of part; None where the site has no such address."""
    try:
        match = resolve(urlsplit(address).path)
    except Resolver404:
        return None
    return match.route.replace("<slug:key>", str(match.kwargs.get("key")))


def walk(browser: Client, *starts: str) -> Iterator[tuple[str, int, list[Form]]]:
    """Every page that can be reached by links, some of each route: its address, its status and its forms."""
    waiting, seen, counts = list(starts or ("/",)), set[str](), dict[str, int]()
    while waiting and len(seen) < _MOST_PAGES:
        page = waiting.pop(0)
        where, there = urlsplit(page), route(page)
        plain = where._replace(fragment="").geturl()
        if (
            where.netloc
            or where.scheme
            or plain in seen
            or there is None
            or there.endswith(_NOT_WALKED)
            or counts.get(there, 0) >= _PAGES_A_ROUTE
        ):
            continue
        seen.add(plain)
        counts[there] = counts.get(there, 0) + 1
        answer = browser.get(plain)
        if answer.status_code in (301, 302):
            waiting.append(urljoin(plain, answer["Location"]))
        reader = _Reader(plain)
        if answer.headers.get("Content-Type", "").startswith("text/html"):
            reader.feed(re.sub(r"<script.*?</script>", "", answer.content.decode(), flags=re.DOTALL))
        waiting.extend(reader.links)
        yield plain, answer.status_code, reader.forms
