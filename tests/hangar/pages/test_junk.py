"""Whatever is sent to a form, the answer is a page: never a fault of ours."""

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
FORMS = [
    "draft/channels/0/", "draft/surfaces/0/", "draft/surfaces/2/", "draft/controls/3/", "draft/controls/5/",
    "draft/devices/0/", "draft/phases/1/", "draft/one/balance/", "draft/one/signal/", "draft/one/remarks/",
    "draft/throws/coupling/?control=lever&channel=6&phase=",
    "draft/throws/coupling/?control=roll&channel=6&phase=thermal",
    "details/", "people/", "flights/new/", "ground/", "check/", "entered/", "receiver/",
]  # fmt: skip

QUERIES = (
    "page", "sort", "search", "owner", "status", "state", "phase", "from", "to", "how", "revision", "control",
    "channel", "rows",
)  # fmt: skip


@pytest.mark.parametrize("address", FORMS)
def test_junk_in_every_box(glider: Revision, owner: Member, sign_in: SignIn, address: str) -> None:
    browser = sign_in(owner)
    page = reverse("flights:airframe", args=["big-glider"]) + address
    form: Any = browser.get(page).context["form"]
    boxes = [*form.fields, "version", "base", "do", "rows", "want_of"]
    top = reverse("flights:airframe", args=["big-glider"])
    for turn in range(4):
        # Each time every box gets another of them.
        junk = {name: JUNK[(place * 4 + turn * 7) % len(JUNK)] for place, name in enumerate(boxes)}
        for known in ({}, {"version": "0", "base": "1", "do": "work"}):
            assert browser.post(page, {**junk, **known}).status_code in (200, 302, 404), (address, junk)
            # Where nothing was kept, the pages show what they showed before.
            for again in (page, f"{top}draft/", f"{top}draft/throws/") if Draft.objects.exists() else ():
                assert browser.get(again).status_code in (200, 404), (again, junk)
            Draft.objects.all().delete()
    assert Revision.objects.get().seal == glider.seal


@pytest.mark.parametrize("junk", JUNK[1:9])
def test_junk_in_one_box_at_a_time(glider: Revision, owner: Member, sign_in: SignIn, junk: str) -> None:
    browser = sign_in(owner)
    page = reverse("setups:coupling", args=["big-glider"]) + "?control=lever&channel=6&phase="
    good = {
        "x_0": "-100",
        "travel_0": "95",
        "x_1": "100",
        "travel_1": "0",
        "expo_pct": "0",
        "base": "1",
        "version": "0",
    }
    for name in (
        "x_0",
        "travel_0",
        "want_0",
        "expo_pct",
        "fade_0",
        "factors_0",
        "slope",
        "middle",
        "do",
        "rows",
        "reason",
    ):
        for do in ("work", "slope", "record", "more"):
            assert browser.post(page, {**good, "do": do, name: junk}).status_code in (200, 302)
            if Draft.objects.exists():
                assert browser.get(page).status_code == 200
                Draft.objects.all().delete()


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
