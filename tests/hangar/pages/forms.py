"""Every form of the site, in a club where everything is there; and what must hold after each was sent."""

import copy
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from typing import Any

from django.apps import apps
from django.db import connection, transaction
from django.db.models import Model
from django.test import Client
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.flights.models import Glance
from hangar.setups.history import broken_links
from hangar.setups.models import Document, Draft, Revision
from mixing import Setup, SetupError
from tests.hangar.access.table import ROWS, Cast
from tests.hangar.pages.junk import MISSING
from tests.hangar.pages.walking import Form, walk

# What ends the walk itself, or costs a second each: the printed page is made the same way whatever is sent.
SLOW = ("print", "sheet.pdf", "card.pdf")
_NOTES = ("django_session", "members_visit", "axes_", "django_tasks")
_WRITES = re.compile(r'(?:INSERT INTO|UPDATE|DELETE FROM) "(\w+)"')


@dataclass(frozen=True)
class Sent:
    """A form, who sends it, and what in place of what stood in it."""

    form: Form
    browser: Client
    values: dict[str, Any]
    body: tuple[bytes, str] | None = None
    """What is sent instead of the values, and what it calls itself."""

    def __str__(self) -> str:
        shown = {name: str(value)[:60] for name, value in self.values.items()}
        return f"{self.form.method} {self.form.action} {shown}"


@dataclass
class Written:
    """Which tables of ours were written to."""

    tables: set[str] = field(default_factory=set)

    def __call__(self, execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        if (found := _WRITES.match(sql)) and not found[1].startswith(_NOTES):
            self.tables.add(found[1])
        return execute(sql, params, many, context)


@contextmanager
def undone(browser: Client) -> Iterator[None]:
    # A form may sign out, and then any page takes the browser's cookie away.
    cookies = copy.deepcopy(browser.cookies)
    with transaction.atomic():
        yield
        transaction.set_rollback(True)
    browser.cookies = cookies


def forms_of(browser: Client, cast: Cast) -> list[Form]:
    """Each form once: those of all pages that links or the table of addresses lead to, and addresses without any."""
    addresses = [(row, reverse(row.name, kwargs=row.kwargs(cast))) for row in ROWS]
    starts = [
        f"{address}?{row.query}".rstrip("?") for row, address in addresses if "get" in row.takes
        and row.roles["secretary"] == "yes" and row.name not in ("members:use_link", "members:sign_in")
    ]  # fmt: skip
    found: dict[Any, Form] = {}
    for page, status, forms in walk(browser, "/", *starts):
        assert status < 500, page
        for form in forms:
            found.setdefault(form.key, form)
    told = {form.key[0] for form in found.values()}
    for row, address in addresses:
        form = Form("/", address, "post")
        if "post" in row.takes and form.key[0] not in told:
            found.setdefault(form.key, form)
    return [form for form in found.values() if not any(slow in form.action for slow in SLOW)]


def filled(form: Form, junk: dict[str, Any], turn: int) -> dict[str, Any]:
    """What the form says, a button that is pressed, and the junk in its boxes."""
    values: dict[str, Any] = {name: list(value) for name, value in form.values.items() if value}
    name, pressed = form.buttons[turn % len(form.buttons)] if form.buttons else ("", "")
    values |= {name: [pressed]} if name else {}
    for box, typed in junk.items():
        if typed is MISSING:
            values.pop(box, None)
        elif isinstance(typed, tuple | list):
            values[box] = list(typed)
        else:
            values[box] = [typed]
    return values


def send(sent: Sent) -> Any:
    form, browser = sent.form, sent.browser
    cookies = copy.deepcopy(browser.cookies)
    if sent.body is not None:
        answer = browser.post(form.action, sent.body[0], content_type=sent.body[1])
    elif form.method == "post":
        answer = browser.post(form.action, sent.values)
    else:
        answer = browser.get(form.action.partition("?")[0], sent.values)
    browser.cookies = cookies
    return answer


def attempt(sent: Sent, airframe: Airframe) -> int:
    """Send it, see that a page answers and that all that it wrote is sound, and undo it; the status."""
    written = Written()
    with undone(sent.browser):
        with connection.execute_wrapper(written):
            answer = send(sent)
        assert_a_page(answer)
        if written.tables:
            assert_stored(written.tables, airframe)
            assert_shown(sent, answer, airframe, written.tables)
    return int(answer.status_code)


def assert_a_page(answer: Any) -> None:
    assert answer.status_code < 500, answer.status_code
    # A file that is streamed has no content of its own; none of them is made of what was typed.
    if not answer.streaming:
        assert b"Traceback (most recent" not in answer.content


def assert_stored(tables: set[str], airframe: Airframe) -> None:
    """Every row of what was written to is one that its model takes, and points to rows that are there."""
    connection.check_constraints()
    for model in apps.get_models():
        if model._meta.db_table in tables and model is not Glance:
            for row in model._base_manager.all():
                row.full_clean(exclude=not_asked(row))
    for text in Document.objects.values_list("text", flat=True):
        assert Setup.from_text(text).text() == text
    for text in Draft.objects.values_list("text", flat=True):
        # One that is not a setup yet says why, in words.
        with suppress(SetupError):
            Setup.from_text(text)
    if Revision._meta.db_table in tables:
        assert list(broken_links(airframe)) == []


def not_asked(row: Model) -> set[str]:
    """Fields that nobody had to fill: nothing (NULL) where the table allows it, and what is there from the start."""
    return {
        one.name for one in row._meta.concrete_fields
        if (one.null and getattr(row, one.attname) is None)
        or (one.has_default() and getattr(row, one.attname) == one.get_default())
    }  # fmt: skip


def assert_shown(sent: Sent, answer: Any, airframe: Airframe, tables: set[str]) -> None:
    """The pages that show what is stored still do: those of a draft, or where more was written, those of the model."""
    pages = [sent.form.page]
    if tables != {Draft._meta.db_table}:
        current = Airframe.objects.get(pk=airframe.pk)
        pages += ["/", *(reverse(name, args=[current.slug]) for name in ("flights:airframe", "setups:draft"))]
    if answer.status_code == 302:
        pages.append(answer["Location"])
    for page in dict.fromkeys(pages):
        status = sent.browser.get(page).status_code
        assert status in (200, 302, 403, 404, 405), (page, status)
