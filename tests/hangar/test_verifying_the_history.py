"""Every seal is checked, and whatever was tampered with is named."""

import hashlib
import json
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups import triggers
from hangar.setups.models import Revision
from hangar.setups.operations import record
from hangar.setups.sealing import seal_of
from tests.factories import AirframeFactory, make_setup, record_first
from tests.flushing import triggers_lifted


@pytest.fixture
def chain(owner: Member, airframe: Airframe, first: Revision) -> list[Revision]:
    """Three revisions of one airframe, beside one of another."""
    record_first(AirframeFactory.create(slug="a-quiet-one", owner=owner))
    revisions = [first]
    for number in (2, 3):
        setup = make_setup(remarks=f"change {number}")
        done = record(user=owner, airframe=airframe, setup=setup, base=revisions[-1], reason=f"reason {number}")
        revisions.append(done.revision)
    return revisions


def verify(*options: str) -> str:
    out = StringIO()
    call_command("verify_history", *options, stdout=out)
    return out.getvalue()


def tamper(statement: str, *values: Any) -> None:
    """As someone with the database in hand would: without the triggers, without foreign keys."""
    with triggers_lifted(), connection.cursor() as cursor:
        cursor.execute(statement, values)
        assert cursor.rowcount == 1


def test_a_whole_history(chain: list[Revision]) -> None:
    assert verify() == "Every seal holds: 2 chains, 4 revisions.\n"


def test_an_empty_history(db: None) -> None:
    assert verify() == "Every seal holds: 0 chains, 0 revisions.\n"


def test_a_seal_is_what_the_design_says(chain: list[Revision], owner: Member) -> None:
    """Built here by hand, with json alone: sorted keys and no spaces are RFC 8785 for these plain values."""
    second = Revision.objects.get(pk=chain[1].pk)
    content = {
        "airframe": second.airframe_id,
        "author": owner.author_key,
        "document": make_setup(remarks="change 2").digest(),
        "number": 2,
        "origin": "edit",
        "parent": chain[0].seal,
        "reason": "reason 2",
        "time": second.recorded_at.strftime("%Y-%m-%dT%H:%M:%S.%f") + "Z",
    }
    text = json.dumps(content, sort_keys=True, separators=(",", ":"))
    assert second.seal == hashlib.sha256(text.encode()).hexdigest()


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("reason", "a nicer reason"),
        ("origin", "import"),
        ("recorded_at", "2026-01-01 10:00:00+00:00"),
        ("seal", "0" * 64),
    ],
)
def test_a_changed_column_is_named(chain: list[Revision], column: str, value: str) -> None:
    tamper(f"UPDATE setups_revision SET {column} = %s WHERE id = %s", value, chain[1].pk)
    with pytest.raises(CommandError, match="Broken: big-glider revision 2: its seal does not fit"):
        verify()


def test_another_author_is_named(chain: list[Revision], reader: Member) -> None:
    tamper("UPDATE setups_revision SET author_key = %s WHERE id = %s", reader.author_key, chain[2].pk)
    with pytest.raises(CommandError, match="big-glider revision 3: its seal does not fit"):
        verify()


def test_a_change_with_a_seal_made_to_fit_breaks_the_next_one(chain: list[Revision]) -> None:
    forged = Revision.objects.get(pk=chain[1].pk)
    forged.reason = "a nicer reason"
    tamper(
        "UPDATE setups_revision SET reason = %s, seal = %s WHERE id = %s",
        forged.reason,
        seal_of(forged, chain[0].seal),
        forged.pk,
    )
    with pytest.raises(CommandError, match="big-glider revision 3: its seal does not fit"):
        verify()


def test_an_edited_document_is_named(chain: list[Revision]) -> None:
    text = chain[1].document.text.replace("change 2", "change 9")
    tamper("UPDATE setups_document SET text = %s WHERE digest = %s", text, chain[1].document_id)
    with pytest.raises(CommandError, match="big-glider revision 2: the text of its document does not have the digest"):
        verify()


def test_another_document_is_named(chain: list[Revision]) -> None:
    tamper("UPDATE setups_revision SET document_id = %s WHERE id = %s", chain[0].document_id, chain[2].pk)
    with pytest.raises(CommandError, match="big-glider revision 3: its seal does not fit"):
        verify()


def test_a_revision_cut_out_is_named(chain: list[Revision]) -> None:
    tamper("UPDATE setups_revision SET parent_id = %s WHERE id = %s", chain[0].pk, chain[2].pk)
    tamper("DELETE FROM setups_revision WHERE id = %s", chain[1].pk)
    with pytest.raises(CommandError, match="big-glider revision 3: revision 2 is missing before it"):
        verify()


def test_another_parent_is_named(chain: list[Revision]) -> None:
    tamper("UPDATE setups_revision SET parent_id = %s WHERE id = %s", chain[0].pk, chain[2].pk)
    with pytest.raises(CommandError, match="big-glider revision 3: its parent is not the revision before it"):
        verify()


def test_a_row_that_cannot_be_read_is_named(chain: list[Revision]) -> None:
    unreadable = {"sqlite": "yesterday", "postgresql": "infinity"}[connection.vendor]
    tamper("UPDATE setups_revision SET recorded_at = %s WHERE id = %s", unreadable, chain[1].pk)
    with pytest.raises(CommandError, match="big-glider: a row of this history cannot be read"):
        verify()


def test_a_cut_off_end_is_found_with_a_seal_kept_elsewhere(chain: list[Revision]) -> None:
    kept = [line for line in verify("--heads").splitlines() if line.startswith("big-glider=")]
    assert kept == [f"big-glider={chain[2].seal}"]
    verify("--expect", kept[0])
    tamper("DELETE FROM setups_revision WHERE id = %s", chain[2].pk)
    verify()
    with pytest.raises(CommandError, match="big-glider has no revision with the seal"):
        verify("--expect", kept[0])


def test_missing_triggers_are_named(chain: list[Revision]) -> None:
    with (
        triggers_lifted(),
        pytest.raises(CommandError, match=r"the database would allow changes: .*setups_document_no"),
    ):
        verify()


def test_the_same_history_with_its_triggers_back(chain: list[Revision]) -> None:
    triggers.remove(connection)
    triggers.install(connection)
    verify()


class Terminal(StringIO):
    def isatty(self) -> bool:
        return True


def test_a_bar_tells_how_far_it_is(chain: list[Revision], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("hangar.setups.management.progress.EVERY_S", 0)
    terminal = Terminal()
    call_command("verify_history", stdout=StringIO(), stderr=terminal)
    lines = terminal.getvalue().split("\r")
    assert lines[1] == "[" + "#" * 7 + "." * 23 + "] 1 of 4 revisions"
    assert lines[-1] == "[" + "#" * 30 + "] 4 of 4 revisions\n"


def test_nothing_of_it_in_a_log(chain: list[Revision]) -> None:
    log = StringIO()
    call_command("verify_history", stdout=StringIO(), stderr=log)
    assert log.getvalue() == ""


def test_the_bar_stops_where_a_link_is_broken(chain: list[Revision], monkeypatch: pytest.MonkeyPatch) -> None:
    tamper("UPDATE setups_revision SET reason = %s WHERE id = %s", "another", chain[1].pk)
    monkeypatch.setattr("hangar.setups.management.progress.EVERY_S", 0)
    terminal = Terminal()
    with pytest.raises(CommandError, match="big-glider revision 2"):
        call_command("verify_history", stdout=StringIO(), stderr=terminal)
    assert terminal.getvalue().endswith(" of 4 revisions\n")
