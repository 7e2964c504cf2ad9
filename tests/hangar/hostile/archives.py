"""Archives by someone who knows how ours are made: sizes and digests are right where nothing else is said."""

import hashlib
import json
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import transaction

from hangar.keeping.archive import CONTENTS
from hangar.keeping.exporting import KIND as CLUB
from hangar.keeping.exporting import export_club
from hangar.keeping.what import holds_anything
from tests.factories import AirframeFactory, MemberFactory, record_first

Files = dict[str, bytes]


def told_of(files: Files) -> dict[str, Any]:
    return {
        name: {"size": len(content), "sha256": hashlib.sha256(content).hexdigest()} for name, content in files.items()
    }


def write(path: Path, content_of: Files, kind: str = CLUB, **said: Any) -> Path:
    """An archive of these files that says of itself what is so, or what is `said`."""
    contents = {"kind": kind, "version": 1, "heads": {}, "files": told_of(content_of), **said}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as target:
        for name, content in {**content_of, CONTENTS: json.dumps(contents).encode()}.items():
            target.writestr(name, content)
    return path


def refusal(path: Path) -> str:
    """What the command says: its last line, no traceback."""
    with pytest.raises(CommandError) as refused:
        call_command("import_club", str(path), verbosity=0)
    said = str(refused.value)
    assert "\n" not in said.strip()
    assert len(said) < 1000
    return said


def small_club(path: Path, blocker: Any) -> Files:
    """The files of a club of one member, with one model; nothing of it stays."""
    with blocker.unblock(), transaction.atomic():
        record_first(AirframeFactory.create(name="Big Glider", owner=MemberFactory.create(login="owner")))
        export_club(path)
        transaction.set_rollback(True)
    with zipfile.ZipFile(path) as source:
        return {name: source.read(name) for name in source.namelist()}


@contextmanager
def nothing_stays() -> Iterator[None]:
    """Whatever is tried inside, the site is empty afterwards, and no photo has come to those of the tests before."""
    before = _photos()
    yield
    assert not holds_anything()
    assert _photos() == before


def _photos() -> set[str]:
    return set(default_storage.listdir("airframes")[1]) if default_storage.exists("airframes") else set()


def changed(club: Files, table: str, **fields: Any) -> Files:
    """The first row of a table says something else."""
    files = {name: content for name, content in club.items() if name != CONTENTS}
    name = f"tables/{table}.json"
    rows = json.loads(files[name])
    rows[0].update(fields)
    files[name] = json.dumps(rows).encode()
    return files
