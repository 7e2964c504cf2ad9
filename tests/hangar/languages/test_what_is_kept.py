"""Answers that are kept while the site runs are kept for the language and the unit of whom they were made for."""

import re
from collections.abc import Callable

from hangar.fleet.models import Airframe
from hangar.languages.speaking import speaking
from hangar.members.models import Member
from hangar.setups.dial_in import dial_in_list
from hangar.setups.findings import findings
from hangar.setups.models import Revision
from hangar.setups.operations import record
from hangar.setups.what_changed import what_changed
from mixing import Conventions
from tests.mixing.example import example

WAYS = [("en", "mm"), ("de", "mm"), ("en", "inch"), ("de", "inch")]


def in_each_way(answer: Callable[[], str]) -> list[str]:
    """The answer in every language and unit, asked twice: what was kept must be what was asked for."""
    told = []
    for code, unit in WAYS * 2:
        with speaking(code, unit):
            told.append(answer())
    assert told[:4] == told[4:]
    return told[:4]


def test_findings() -> None:
    english, german, inches, both = in_each_way(lambda: findings(example())[0].text)
    assert "23.4 mm up" in english
    assert "23,4 mm hoch" in german
    assert "0.92 in up" in inches
    assert "0,92 in hoch" in both


def test_the_dial_in_list() -> None:
    english, german, inches, both = in_each_way(lambda: str(dial_in_list(example(), Conventions())))
    assert "mm down at" in english
    assert "mm tief bei" in german
    assert "in down at" in inches
    assert "in tief bei" in both


def test_what_a_revision_changed(airframe: Airframe, owner: Member, first: Revision) -> None:
    setup = first.setup
    freed = setup.changed(surfaces=[{**one.model_dump(), "stop_up_deg": one.stop_up_deg + 5} for one in setup.surfaces])
    after = record(user=owner, airframe=airframe, setup=freed, base=first, reason="stops filed away").revision
    english, german, inches, both = in_each_way(lambda: " ".join(what_changed([after])[after.pk]))
    assert " mm " in english
    assert re.search(r"\d mm (hoch|tief|links|rechts)", german)
    assert re.search(r"\d in (up|down|left|right)", inches)
    assert re.search(r"\d in (hoch|tief|links|rechts)", both)
    assert " mm" not in inches + both
