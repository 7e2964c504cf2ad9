"""A history of schema 1, frozen as it was stored: every later version must read it and find every seal whole.

Nothing in tests/hangar/data/ is ever made anew. Where a change to the code breaks these tests, the change is wrong: a
later schema upgrades on reading and leaves what is stored as it is. The seals were made without our code, by Python's
json (for these values, sorted keys and no spaces are RFC 8785) and hashlib.
"""

import hashlib
import json
from datetime import datetime
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from hangar.members.models import Member
from hangar.setups.models import Document, Revision
from mixing import Rig, Setup
from tests.factories import AirframeFactory, MemberFactory

DATA = Path(__file__).parent / "data"
HISTORY: dict[str, Any] = json.loads((DATA / "schema_1_history.json").read_text())
LARGE = "42019d53e1e3ce0da6b6f92d426935f87294468a608b9f078fa4cd9802291263"
LAST_SEAL = "8ac1b6d67a378c89328ad7fbf36da67091891f95e50c554db218da67bf8b4941"


def text_of(digest: str) -> str:
    name: str = HISTORY["documents"][digest]
    return (DATA / name).read_bytes().decode()


@pytest.fixture
def stored(owner: Member) -> None:
    """The history put into the database row by row, past the operations."""
    AirframeFactory.create(pk=7, slug="frozen", owner=owner)
    for digest in HISTORY["documents"]:
        Document(digest=digest, text=text_of(digest)).save()
    for key in {row["author"] for row in HISTORY["revisions"]}:
        MemberFactory.create(author_key=key)
    parent = None
    for row in HISTORY["revisions"]:
        revision = Revision(
            airframe_id=row["airframe"],
            number=row["number"],
            document_id=row["document"],
            parent=parent,
            author_id=row["author"],
            recorded_at=datetime.fromisoformat(row["time"]),
            reason=row["reason"],
            origin=row["origin"],
            seal=row["seal"],
        )
        revision.save()
        parent = revision


def test_nobody_touched_the_sample() -> None:
    for digest in HISTORY["documents"]:
        assert hashlib.sha256(text_of(digest).encode()).hexdigest() == digest
    assert HISTORY["revisions"][0]["document"] == LARGE
    assert HISTORY["revisions"][-1]["seal"] == LAST_SEAL


def test_every_seal_holds(stored: None) -> None:
    out = StringIO()
    call_command("verify_history", "--expect", f"frozen={LAST_SEAL}", stdout=out)
    assert out.getvalue() == "Every seal holds: 1 chains, 3 revisions.\n"


@pytest.mark.parametrize("digest", HISTORY["documents"])
def test_every_document_is_read(digest: str) -> None:
    setup = Setup.from_text(text_of(digest))
    assert json.loads(text_of(digest))["schema"] == 1
    assert setup.channels
    assert setup.surfaces


def test_it_still_means_the_same() -> None:
    """Throws as they were when the sample was frozen. Whether they are right is tested with the computation."""
    frame = Rig(Setup.from_text(text_of(LARGE))).at({"roll": 50, "lever": -70, "pitch": -30}, phase="landing")
    assert {key: round(float(throw), 3) for key, throw in frame.throw_mm.items()} == pytest.approx(THROWS, abs=0.05)


THROWS = {
    "right_aileron": 6.161,
    "left_aileron": 4.321,
    "tail_left": 2.037,
    "tail_right": 1.822,
    "right_flap": 18.909,
    "left_flap": 18.909,
}
