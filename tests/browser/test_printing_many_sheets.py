"""Many sheets from a phone: choose them, watch them being made, fetch them; one that cannot be made is told."""

import io
import re
import zipfile
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from hangar.members.models import Member
from hangar.setups.models import Revision
from hangar.sheets.models import Print
from tests.browser.conftest import fits, next_page
from tests.factories import AirframeFactory, record_first
from tests.hangar.sheets.breaking import out_of_ink

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def fleet(glider: Revision, nora: Member, settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Big Glider, Bee and Cee, and Dee that stays at home; the sheet of Bee cannot be made."""
    settings.HANGAR_DATA = tmp_path
    for slug, name in (("bee", "Bee"), ("cee", "Cee"), ("dee", "Dee")):
        record_first(AirframeFactory.create(slug=slug, name=name, owner=nora))
    out_of_ink(monkeypatch, "bee")


def test_from_the_choice_to_the_file(fleet: None, nora: Member, signed_in: Page) -> None:
    page = signed_in
    page.goto(re.sub(r"(//[^/]+/).*", r"\1sheets/", page.url))
    expect(page.get_by_text("4 of 4 sheets in the boxes are out of date")).to_be_visible()
    assert fits(page)
    page.get_by_text("Those ticked below").click()
    page.get_by_text("Letter", exact=True).click()
    for name in ("Big Glider", "Bee", "Cee"):
        box = page.get_by_role("checkbox", name=re.compile(f"^{name}"))
        box.press("Space")
        expect(box).to_be_checked()
    page.get_by_role("button", name="Make them").click()

    # Nobody presses a button from here on: the page goes on by itself until all is made.
    expect(page.get_by_role("progressbar")).to_have_attribute("max", "3")
    expect(page.get_by_text("2 of 3 made, 1 could not be made")).to_be_visible()
    expect(page.get_by_role("progressbar")).to_have_attribute("value", "3")
    expect(page.get_by_role("listitem").filter(has_text="Bee")).to_contain_text("out of ink")
    assert fits(page)

    link = page.get_by_role("link", name="One PDF, with bookmarks").get_attribute("href")
    assert link is not None
    content = page.request.get(re.sub(r"(//[^/]+)/.*", rf"\1{link}", page.url)).body()
    document = PdfReader(io.BytesIO(content))
    assert [str(mark.title) for mark in document.outline] == [  # type: ignore[union-attr]
        "Big Glider, revision 1", "Cee, revision 1",
    ]  # fmt: skip
    with page.expect_download() as download:
        page.get_by_role("link", name="Single ones, as a zip").click()
    names = zipfile.ZipFile(download.value.path()).namelist()
    assert names == ["big-glider-revision-1-setup-sheet.pdf", "cee-revision-1-setup-sheet.pdf"]
    assert set(Print.objects.values_list("revision__airframe__slug", "paper", "by__login")) == {
        (slug, "letter", "nora") for slug in ("big-glider", "bee", "cee")
    }  # fmt: skip

    with next_page(page):
        page.get_by_role("button", name="Try those again").click()
    expect(page.get_by_text("2 of 3 made, 1 could not be made")).to_be_visible()
    assert Print.objects.count() == 3, "trying again records no second copy"
