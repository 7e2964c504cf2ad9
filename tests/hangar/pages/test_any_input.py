"""Whatever is typed into any form of the site, and whatever is imported: a page answers, and what is stored is sound.

The forms are found by walking the site. HANGAR_INPUTS=10000 makes it a long run by hand.
"""

import copy
import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.drafts import open_draft
from hangar.setups.history import broken_links
from hangar.setups.models import Revision
from mixing import Setup
from tests.factories import ReceiverFactory, TransmitterFactory
from tests.hangar.pages.conftest import GLIDER, SignIn
from tests.hangar.pages.walking import Form, walk

INPUTS = int(os.environ.get("HANGAR_INPUTS", "100"))

# One of each kind; each form gets all of these, in turn. The others are drawn by chance.
KINDS = [
    "", "abc", "NaN", "1e999", "−", "²", "-", "\x00", "9" * 60, "💥", "<b>", "1,2,3", "[]", "\u202e", "a" * 9000,
]  # fmt: skip
MORE = [
    " ", "0", "-0", "−12,5", "-1", "1e3", "1e308", "9" * 400, "nan", "Infinity", "-inf", "٣", "½", "a\x00b", "\ud7ff",
    "\ufffe", "\u2028", "﷽" * 50, "e\u0301" * 40, "{{ x }}", "{}", "[1, 2", "null", "true", "a" * 300, "../../etc",
    "%00", "\r\n", "12 up", "12 askew", "2026-02-30", "0001-01-01", "9999-12-31", "2026-05-01T10:00",
    "99999999999999999999", "-9" * 20, "1_000",
]  # fmt: skip
TYPED = st.one_of(
    st.sampled_from(KINDS + MORE),
    st.text(max_size=60),
    st.integers(-(10**20), 10**20).map(str),
    st.floats(allow_nan=True, allow_infinity=True).map(str),
    st.floats(-200, 200).map(lambda number: f"{number:.2f}"),
)
FILES = st.one_of(
    st.binary(max_size=200), st.sampled_from([b"", b"{}", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"GIF89a"])
)
# What ends the walk itself, or costs a second each: the printed page is made the same way whatever is sent.
SLOW = ("print", "sheet.pdf", "card.pdf")


@contextmanager
def undone(browser: Client) -> Iterator[None]:
    # A form may sign out, and then any page takes the browser's cookie away.
    cookies = copy.deepcopy(browser.cookies)
    with transaction.atomic():
        yield
        transaction.set_rollback(True)
    browser.cookies = cookies


@pytest.fixture
def site(glider: Revision, owner: Member, secretary: Member) -> Airframe:
    """A model with a draft of the secretary's, a receiver and a transmitter: so that their pages are there."""
    ReceiverFactory.create()
    TransmitterFactory.create(owner=owner)
    open_draft(user=secretary, airframe=glider.airframe)
    return glider.airframe


def forms_of(browser: Client) -> list[Form]:
    found: dict[Any, Form] = {}
    for page, status, forms in walk(browser):
        assert status < 400, page
        for form in forms:
            found.setdefault(form.key, form)
    return [form for form in found.values() if not any(slow in form.action for slow in SLOW)]


def send(browser: Client, form: Form, values: dict[str, Any]) -> int:
    cookies = copy.deepcopy(browser.cookies)
    if form.method == "post":
        answer = browser.post(form.action, values)
    else:
        answer = browser.get(form.action.partition("?")[0], values)
    browser.cookies = cookies
    return answer.status_code


def sound(browser: Client, airframe: Airframe, before: int) -> None:
    """Every page that shows what is stored still does, and every seal holds."""
    if Revision.objects.count() != before:
        assert list(broken_links(airframe)) == []
    current = Airframe.objects.get(pk=airframe.pk)
    for name in ("flights:airframe", "setups:draft"):
        assert browser.get(reverse(name, args=[current.slug])).status_code in (200, 302, 403, 404)
    assert browser.get("/").status_code in (200, 302)


def test_every_form_with_anything_in_it(site: Airframe, secretary: Member, sign_in: SignIn) -> None:
    browser = sign_in(secretary)
    forms = forms_of(browser)
    assert len(forms) > 40, [form.action for form in forms]
    seen = set()

    @settings(max_examples=INPUTS)
    @given(st.data())
    def attempt(data: Any) -> None:
        form = data.draw(st.sampled_from(forms))
        values: dict[str, Any] = {name: list(value) for name, value in form.values.items() if value}
        for name in data.draw(st.lists(st.sampled_from(form.names), max_size=4)) if form.names else ():
            if name in form.files:
                values[name] = SimpleUploadedFile("x.json", data.draw(FILES))
            elif data.draw(st.integers(0, 9)) == 0:
                values.pop(name, None)
            else:
                values[name] = data.draw(st.lists(TYPED, min_size=1, max_size=2))
        if form.buttons:
            name, value = data.draw(st.sampled_from(form.buttons))
            values.update({name: value} if name else {})
        with undone(browser):
            before = Revision.objects.count()
            status = send(browser, form, values)
            assert status < 500, (form.action, values)
            seen.add(form.action)
            if status == 302:
                sound(browser, site, before)

    attempt()
    assert browser.get("/").status_code == 200
    assert len(seen) > min(INPUTS, len(forms)) // 4


def every_turn(form: Form) -> Iterator[dict[str, Any]]:
    """All boxes filled with junk, then one at a time with the others as they are: each box, each kind of junk."""
    boxes = [name for name in form.values if name != "csrfmiddlewaretoken"]
    for start in (0, 7):
        yield {name: KINDS[(start + place) % len(KINDS)] for place, name in enumerate(boxes)}
    for turn in range(max(len(boxes), len(KINDS)) if boxes else 0):
        yield {boxes[turn % len(boxes)]: KINDS[(turn + turn // len(boxes)) % len(KINDS)]}


@pytest.mark.parametrize("part", range(3))
def test_junk_of_every_kind_in_every_form(site: Airframe, secretary: Member, sign_in: SignIn, part: int) -> None:
    browser = sign_in(secretary)
    before = Revision.objects.count()
    for form in forms_of(browser)[part::3]:
        for turn, junk in enumerate(every_turn(form)):
            values = {name: list(value) for name, value in form.values.items() if value}
            name, pressed = form.buttons[turn % len(form.buttons)] if form.buttons else ("", "")
            values |= {name: [pressed]} if name else {}
            values |= {box: [typed] for box, typed in junk.items()}
            with undone(browser):
                status = send(browser, form, values)
                assert status < 500, (form.action, values)
                if status == 302:
                    sound(browser, site, before)
                    assert browser.get(form.page).status_code < 500, (form.page, values)
    # Signed in to the end: else all of it met the sign-in page.
    assert browser.get("/").status_code == 200


def leaves(node: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    yield path
    for key, value in node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ():
        yield from leaves(value, (*path, key))


ODD = st.one_of(
    st.none(), st.booleans(), st.integers(-(2**70), 2**70), st.floats(), st.text(max_size=40),
    st.sampled_from([[], {}, "", -40, 0, 1e-9, 1e12, "last_position", "\x00", [[-100, 0], [100, 0]], [[0, 0]] * 3]),
    st.just([[-100 + number / 50, number % 7] for number in range(10_000)]),
)  # fmt: skip


def test_importing_anything(site: Airframe, secretary: Member, sign_in: SignIn) -> None:
    browser, page = sign_in(secretary), reverse("setups:import", args=[site.slug])
    whole = json.loads(GLIDER.read_text())
    places = [place for place in leaves(whole) if place]

    @settings(max_examples=INPUTS)
    @given(st.lists(st.tuples(st.sampled_from(places), ODD), min_size=1, max_size=3), st.binary(max_size=3))
    def attempt(changes: list[tuple[tuple[Any, ...], Any]], noise: bytes) -> None:
        document = copy.deepcopy(whole)
        for place, value in changes:
            node = document
            try:
                for key in place[:-1]:
                    node = node[key]
                node[place[-1]] = value
            except (IndexError, KeyError, TypeError):
                continue
        content = json.dumps(document).encode() + noise
        with undone(browser):
            before = Revision.objects.count()
            answer = browser.post(page, {"document": SimpleUploadedFile("x.json", content), "reason": "anything"})
            assert answer.status_code in (200, 302, 409)
            if answer.status_code == 302:
                sound(browser, site, before)
            for text in site.revisions.values_list("document__text", flat=True):
                assert Setup.from_text(text).text() == text

    attempt()
