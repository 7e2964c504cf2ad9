"""Paper in the language and unit of length of whom it is printed for, whoever looks at it or makes it later."""

import re
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from hangar.languages.speaking import speaking
from hangar.members.models import Member
from hangar.members.operations import set_preferences
from hangar.setups.models import Revision
from hangar.sheets.batches import documents, make_item, start_batch
from hangar.sheets.models import Print
from hangar.sheets.spacings import SPACINGS
from mixing import Rig, audit
from mixing.language import MM_PER_INCH
from tests.mixing.example import example

from .rendering import html_of, reader, render, words_of

FUNCTION_WORDS = r"\b(the|and|with|of|is|at|to|not|by|from|what|other)\b"


@pytest.fixture(autouse=True)
def _own_folder(settings: Any, tmp_path: Path) -> None:
    settings.HANGAR_DATA = tmp_path / "data"


def test_a_sheet_in_german_and_inches() -> None:
    setup = example()
    with speaking("de", "inch"):
        made = render(setup, findings=audit(setup))
    told = words_of(made.content)
    assert str(reader(made.content).root_object["/Lang"]) == "de"
    for words in ("Vor dem Einschalten", "Richtungen, in dieser Reihenfolge", "Zoll und Grad", "Offene Befunde"):
        assert words in told
    roll = Rig(setup).at({"roll": [-100.0, 100.0]})
    for surface in ("left_aileron", "right_aileron"):
        for throw in roll.throw_mm[surface]:
            inches = f"{abs(throw) / MM_PER_INCH:.2f}".replace(".", ",")
            assert f"{inches} {'↓' if throw > 0 else '↑'}" in told


def test_no_english_is_left_but_what_was_typed() -> None:
    setup = example()
    with speaking("de"):
        page = html_of(setup, SPACINGS[0], audit(setup), reason="", author="", airframe="", recorded="", entered=())
    for typed in (setup.remarks, setup.balance.cg_datum, *(s.measure_at for s in setup.surfaces),
                  *(s.neutral_ref for s in setup.surfaces), *(c.label for c in setup.controls)):  # fmt: skip
        page = page.replace(typed, "")
    text = re.sub(r"<style.*?</style>|<[^>]+>", " ", page, flags=re.DOTALL)
    assert re.findall(FUNCTION_WORDS, text) == []


@pytest.mark.django_db
def test_a_copy_stays_in_the_language_in_which_it_was_printed(client: Client, owner: Member, first: Revision) -> None:
    set_preferences(user=owner, language="de", length_unit="inch")
    client.force_login(owner)
    address = client.post(reverse("sheets:print_sheet", args=[first.airframe.slug, first.number]))["Location"]
    assert Print.objects.values_list("language", "length_unit").get() == ("de", "inch")
    printed = client.get(address)
    assert "Vor dem Einschalten" in words_of(printed.content)
    set_preferences(user=owner, language="en", length_unit="mm")
    again = client.get(address)
    assert (again["ETag"], again.content) == (printed["ETag"], printed.content)
    looked_at = client.get(address.partition("?")[0])
    assert "Before switching on" in words_of(looked_at.content)
    assert looked_at["ETag"] != printed["ETag"]


@pytest.mark.django_db
def test_a_worker_makes_a_batch_in_the_language_of_who_asked_for_it(owner: Member, first: Revision) -> None:
    with speaking("de", "inch"):
        batch = start_batch(user=owner, airframes=[first.airframe], paper="a4", base="http://h.example/", what="alle")
    make_item(batch.items.get().pk)
    assert Print.objects.values_list("language", "length_unit").get() == ("de", "inch")
    ((_title, _name, content),) = documents(batch)
    assert "Zoll und Grad" in words_of(content)
