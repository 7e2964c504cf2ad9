"""Every page of the site as a German reads it: the same page, and nothing on it that is English."""

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

import pytest
from django.db import transaction
from django.urls import reverse

from tests.hangar.access.conftest import GLIDER, Club, _over_https, club  # noqa: F401
from tests.hangar.access.table import ROWS, Row
from tests.hangar.languages.reading_pages import english_of_german, figures_with_comma, is_english, texts_of, typed_in

OF_PACKAGE = {
    "members": "people", "fleet": "people", "keeping": "people", "help": "common", "setups": "setups",
    "flights": "flights", "sheets": "sheets",
}  # fmt: skip
"""Which area translates the pages of a package."""

TYPED = {
    "a crack at the root", "flew well", "another remark", "Another.", "Big Glider", "one sheet", "Grey", "small",
    "first setup", "Up to 2 kg", "instructor", "secretary", "owner", "helper", "reader", "down",
}  # fmt: skip
"""What the members of this club typed beside the labels of the setup; and "down", the other end of a switch of which
they typed that one end is "up"."""

ROLES = ("secretary", "owner", "reader", "visitor")


@dataclass
class Walk:
    """What was seen: answers that differ, and English texts by the area whose page it is."""

    otherwise: list[str] = field(default_factory=list)
    english: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    commas: list[str] = field(default_factory=list)
    pages: int = 0


def asked(browser: Any, address: str, language: str) -> Any:
    """The answer in a language; what looking did is undone."""
    with transaction.atomic():
        answer = browser.get(address, secure=True, headers={"Accept-Language": language})
        transaction.set_rollback(True)
    return answer


def look(walk: Walk, club: Club, row: Row, english: set[str], typed: set[str]) -> None:  # noqa: F811
    """One page in both languages."""
    browser = club.browsers[next(role for role in ROLES if row.roles[role] == "yes")]
    address = reverse(row.name, kwargs=row.kwargs(club.cast)) + (f"?{row.query}" if row.query else "")
    before, after = (asked(browser, address, language) for language in ("en", "de"))
    if before.status_code != after.status_code:
        walk.otherwise.append(f"{row}: {before.status_code}, in German {after.status_code}")
    if before.status_code != 200 or not before["Content-Type"].startswith("text/html"):
        return
    walk.pages += 1
    _, first = texts_of(before.content.decode())
    language, then = texts_of(after.content.decode())
    if language != "de":
        walk.otherwise.append(f"{row}: the page says that it is in {language!r}")
    walk.commas += [f"{row}: {found}" for found in figures_with_comma(after.content.decode())]
    for text in dict.fromkeys(then):
        if text in typed:
            continue
        if text in english or (text in first and is_english(text, typed)):
            walk.english[OF_PACKAGE[row.name.split(":")[0]]].append(f"{row}: {text}")


@pytest.fixture(scope="module")
def walk(club: Club, django_db_blocker: Any) -> Walk:  # noqa: F811
    seen, english, typed = Walk(), english_of_german(), typed_in(GLIDER) | TYPED
    with django_db_blocker.unblock():
        for row in ROWS:
            if "get" in row.takes and any(row.roles[role] == "yes" for role in ROLES):
                look(seen, club, row, english, typed)
    return seen


@pytest.mark.django_db
def test_every_page_is_there_and_says_that_it_is_german(walk: Walk) -> None:
    assert walk.otherwise == []
    assert walk.pages > 60


@pytest.mark.django_db
@pytest.mark.parametrize("area", sorted(set(OF_PACKAGE.values())))
def test_nothing_english_is_left(walk: Walk, area: str) -> None:
    assert walk.english[area] == []


@pytest.mark.django_db
def test_figures_that_a_program_reads_are_not_german(walk: Walk) -> None:
    """Places in drawings, data for scripts: with a comma they would be none."""
    assert walk.commas == []


def test_what_is_left_would_be_seen() -> None:
    assert figures_with_comma('<rect x="1,5" data-at="-2,25" value="0,5"/><path points="1,5">') == [
        "x=1,5",
        "data-at=-2,25",
    ]
    language, texts = texts_of('<html lang="de"><p title="Not this">Line-up</p><b lang="en">English</b></html>')
    assert (language, texts) == ("de", ["Not this", "Line-up"])
    assert "Line-up" in english_of_german()
    assert is_english("What is this?", set())
    assert not is_english("Das Modell ist da.", set())
    assert not is_english("Wash: what is on the left flap", {"what is on the left flap"})
