"""Whatever is sent in an address, a file or a choice, the answer is a page. test_any_input.py types it into forms."""

import json
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from hangar.members.models import Member
from hangar.setups.models import Draft, Revision
from tests.factories import ReceiverFactory, TransmitterFactory
from tests.hangar.pages.conftest import SignIn

JUNK = ["", "abc", "NaN", "1e999", "−", "²", "-", "\x00", "9" * 60, "💥", "<b>", "1,2,3", "[]", "\u202e", "a" * 9000]
QUERIES = (
    "page", "sort", "search", "owner", "status", "state", "phase", "from", "to", "how", "revision", "control",
    "channel", "rows",
)  # fmt: skip


@pytest.mark.parametrize("junk", JUNK)
def test_junk_in_addresses(glider: Revision, owner: Member, sign_in: SignIn, junk: str) -> None:
    browser, top = sign_in(owner), reverse("flights:airframe", args=["big-glider"])
    pages = ("", "history/", "compare/", "roll-back/", "flights/new/", "draft/throws/", "draft/throws/coupling/")
    for path in ("/", "/receivers/", f"{top}revisions/1/", *(top + page for page in pages)):
        assert browser.get(path, dict.fromkeys(QUERIES, junk)).status_code in (200, 404)
    ReceiverFactory.create()
    TransmitterFactory.create()
    for path in ("/receivers/{}/", "/transmitters/{}/", f"{top}revisions/{{}}/", f"{top}draft/surfaces/{{}}/"):
        assert browser.get(path.format(10**30)).status_code == 404


@pytest.mark.parametrize("junk", JUNK)
def test_junk_when_going_back(glider: Revision, owner: Member, sign_in: SignIn, junk: str) -> None:
    browser, page = sign_in(owner), reverse("flights:roll_back", args=["big-glider"])
    for sent in ({"to": junk, "head": "1", "reason": "x"}, {"to": "1", "head": junk, "reason": "x"},
                 {"to": "1", "head": "1", "reason": junk, "how": junk, "put_back": junk}):  # fmt: skip
        assert browser.post(page, sent).status_code in (200, 302, 404)


def test_junk_files(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser, page = sign_in(owner), reverse("setups:import", args=["big-glider"])
    deep: Any = 1
    for _ in range(900):
        deep = [deep]
    for content in (
        b"\x00",
        b"null",
        b"[]",
        b"1",
        b'"x"',
        b"{}",
        json.dumps(deep).encode(),
        b"1" * 5000,
        b"\xef\xbb\xbf{}",
    ):
        sent = {"document": SimpleUploadedFile("x.json", content), "reason": "x"}
        response = browser.post(page, sent)
        assert response.status_code == 200
        assert b"document" in response.content
    assert Revision.objects.count() == 1


def test_junk_choices_after_a_conflict(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    assert browser.post(reverse("setups:settle", args=["big-glider"]), {"choose:x": "both"}).status_code == 302
    Draft.objects.create(airframe=glider.airframe, member=owner, base=glider, text=glider.document.text)
    for sent in ({"choose:no/such/path": "ours"}, {"choose:": "theirs"}, {"choose:x": "\x00"}):
        assert browser.post(reverse("setups:settle", args=["big-glider"]), sent).status_code in (302, 409)
