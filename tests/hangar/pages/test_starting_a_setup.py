"""An airframe without a setup: starting empty, from a layout, or from a file."""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.models import Draft, Revision
from mixing import Setup
from tests.hangar.pages.conftest import SignIn, error_at, values, words
from tests.mixing.example import example

START = reverse("setups:start", args=["big-glider"])
IMPORT = reverse("setups:import", args=["big-glider"])
DRAFT = reverse("setups:draft", args=["big-glider"])


def test_empty(airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    response = browser.post(START, {}, follow=True)
    page = words(response)
    assert "A first setup" in page
    for told in ("Channels holds 0; give at least 1", "Balance, foremost balance behind it is empty; give a number"):
        assert told in page
    data = json.loads(Draft.objects.get().text)
    assert [control["label"] for control in data["controls"]] == ["Aileron stick", "Elevator stick", "Rudder stick"]
    assert (data["channels"], data["balance"]["loads"]) == ([], [])
    assert "not complete yet" in words(browser.get(reverse("setups:throws", args=["big-glider"])))


def test_from_a_layout(airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    assert "Four wing servos with crow" in words(browser.get(START))
    browser.post(START, {"layout": "four_flap"})
    assert len(Draft.objects.get().setup.surfaces) == 6
    browser.post(DRAFT, {"do": "record", "reason": "first setup", "version": "1"})
    assert Revision.objects.get().origin == "start"


def test_a_draft_that_is_there_is_not_overwritten(airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    browser = sign_in(owner)
    browser.post(START, {"layout": "four_flap"})
    assert browser.get(START)["Location"] == DRAFT
    browser.post(START, {})
    assert len(Draft.objects.get().setup.surfaces) == 6


def test_a_setup_that_is_there_is_edited(first: Revision, owner: Member, sign_in: SignIn) -> None:
    assert sign_in(owner).get(START)["Location"] == DRAFT


def test_the_draft_page_sends_you_to_the_start(airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    assert sign_in(owner).get(DRAFT)["Location"] == START


def upload(text: str | bytes) -> SimpleUploadedFile:
    content = text if isinstance(text, bytes) else text.encode()
    return SimpleUploadedFile("setup.json", content, content_type="application/json")


def test_from_a_file(airframe: Airframe, glider_setup: Setup, owner: Member, sign_in: SignIn) -> None:
    response = sign_in(owner).post(
        IMPORT, {"document": upload(glider_setup.text()), "reason": "from the old laptop"}, follow=True
    )
    revision = Revision.objects.get()
    assert (revision.document.text, revision.origin, revision.reason) == (
        glider_setup.text(),
        "import",
        "from the old laptop",
    )
    assert "Revision 1 is recorded from the file." in words(response)


def test_the_same_once_more(glider: Revision, owner: Member, sign_in: SignIn) -> None:
    response = sign_in(owner).post(IMPORT, {"document": upload(glider.document.text), "reason": "again"}, follow=True)
    assert "Revision 1 says the same already." in words(response)
    assert Revision.objects.count() == 1


@pytest.mark.parametrize(
    ("content", "told"),
    [
        ("", "This file is empty"),
        ("not JSON", "What is wrong in the file The document is not JSON"),
        (b"\xff\xfe", "not UTF-8 text"),
        ('{"schema": 1, "wheels": 3}', "wheels is not a key of schema 1"),
        ('{"schema": 1, "schema": 1}', "is given twice"),
        ('{"schema": 2}', "schema is 2; give 1"),
        ("[" * 100 + "]" * 100, "nested too deep"),
        (b" " * (1024 * 1024 + 1), "This file has 1.0 MiB; a setup is at most 1 MiB."),
    ],
)
def test_files_that_are_refused(
    airframe: Airframe, owner: Member, sign_in: SignIn, content: str | bytes, told: str
) -> None:
    response = sign_in(owner).post(IMPORT, {"document": upload(content), "reason": "a long reason to type"})
    assert response.status_code == 200
    assert told in words(response)
    assert error_at(response, "document")
    assert values(response)["reason"] == "a long reason to type"
    assert Revision.objects.count() == 0


def test_every_problem_with_its_path(airframe: Airframe, glider_setup: Setup, owner: Member, sign_in: SignIn) -> None:
    data = glider_setup.data()
    data["surfaces"][2]["chord_mm"] = -4
    data["couplings"][0]["channel"] = "six"
    page = words(sign_in(owner).post(IMPORT, {"document": upload(json.dumps(data)), "reason": "try"}))
    assert "surfaces[2].chord_mm is −4; give above 0" in page
    assert "couplings[0].channel is" in page


def test_without_file_or_reason(airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    response = sign_in(owner).post(IMPORT, {})
    assert error_at(response, "document") == "Choose the file."
    assert error_at(response, "reason").startswith("Give a reason")


@pytest.mark.parametrize("mark", ["\u202e", "\x07"])
def test_a_reason_that_cannot_be_kept_is_told_at_it(
    airframe: Airframe, owner: Member, sign_in: SignIn, mark: str
) -> None:
    given = {"document": upload(example().text()), "reason": f"from the {mark}laptop"}
    assert "control character" in error_at(sign_in(owner).post(IMPORT, given), "reason")
    assert not Revision.objects.exists()


def test_importing_has_a_way_back(airframe: Airframe, owner: Member, sign_in: SignIn) -> None:
    assert '<a href="/airframes/big-glider/">Cancel</a>' in sign_in(owner).get(IMPORT).content.decode()
