"""A name that was erased is in nothing that is kept of printing."""

from typing import Any

import pytest

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.members.operations import erase_name
from hangar.setups.models import Revision
from hangar.sheets.batches import start_batch
from hangar.sheets.models import Batch
from hangar.sheets.render import setup_sheet_pdf
from hangar.sheets.stored import made


@pytest.mark.parametrize("name", ["Al", "Olive Owner", "Olive Owner of the Long Name " * 4])
def test_titles_and_sheets(
    name: str, first: Revision, airframe: Airframe, owner: Member, secretary: Member, settings: Any, tmp_path: Any,
    django_capture_on_commit_callbacks: Any,
) -> None:  # fmt: skip
    settings.HANGAR_DATA = tmp_path
    owner.personal.full_name = name.strip()
    owner.personal.save()
    for title, language in ((f"{owner}'s"[:80], "en"), ("All sheets", "en"), (f"die von {owner}"[:80], "de")):
        batch = start_batch(user=secretary, airframes=[airframe], paper="a4", base="", what=title)
        Batch.objects.filter(pk=batch.pk).update(language=language)
    setup_sheet_pdf(first)
    assert list(made().rglob("*.pdf"))
    with django_capture_on_commit_callbacks(execute=True):
        erase_name(user=secretary, member=owner)
    titles = list(Batch.objects.order_by("pk").values_list("what", flat=True))
    assert not any("Olive" in title or "Al'" in title for title in titles), titles
    assert titles[1] == "All sheets"
    assert titles[0].startswith("former member")
    assert titles[2].startswith("die von ehemaliges Mitglied")
    assert not list(made().rglob("*.pdf"))
    assert setup_sheet_pdf(first).startswith(b"%PDF")
