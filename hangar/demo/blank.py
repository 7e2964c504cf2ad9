"""An empty database that is kept beside the packages, so that the next demo on this machine has its tables at once.

Making them takes half of a demo's start: Django draws up every model anew for each of the migrations. What is kept is
named after all of them, so another version makes its own; `migrate` looks at the copy as at any other database.
"""

import contextlib
import hashlib
import os
import shutil
import sys
import tempfile
from pathlib import Path

from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.loader import MigrationLoader

from hangar import folding
from hangar.setups import triggers


def kept_at(folder: Path | None = None) -> Path | None:
    """The file for this version, there or not; None where there is no .venv of our own to keep it in."""
    if folder is None:
        if sys.prefix == sys.base_prefix:
            return None
        folder = Path(sys.prefix)
    digest = hashlib.sha256()
    migrations = MigrationLoader(None, ignore_no_migrations=True).disk_migrations
    sources = {str(sys.modules[one.__module__].__file__) for one in migrations.values()}
    for source in (*sorted(sources), triggers.__file__, folding.__file__):
        digest.update(Path(source).read_bytes())
    return folder / f"hangar-empty-{digest.hexdigest()[:16]}.sqlite3"


def put_blank(database: BaseDatabaseWrapper = connection, folder: Path | None = None) -> bool:
    """Give a database that is not there yet its tables, where they are kept; whether there is nothing in it now."""
    if database.vendor != "sqlite" or (target := Path(database.settings_dict["NAME"])).exists():
        return False
    kept = kept_at(folder)
    if kept is not None and kept.exists():
        with tempfile.TemporaryDirectory(dir=target.parent) as made, contextlib.suppress(FileExistsError):
            copy = Path(made) / "copy"
            shutil.copyfile(kept, copy)
            copy.chmod(0o600)
            # Somebody else may start here at the same moment: whoever comes second takes what is there.
            os.link(copy, target)
    return True


def keep_blank(database: BaseDatabaseWrapper = connection, folder: Path | None = None) -> None:
    """Keep a database that has its tables and nothing else. Where that cannot be, the next start takes longer."""
    kept = kept_at(folder)
    if kept is None or kept.exists():
        return
    with contextlib.suppress(OSError), tempfile.TemporaryDirectory(dir=kept.parent) as made:
        with database.cursor() as cursor:
            cursor.execute("VACUUM INTO %s", [f"{made}/copy"])
        for old in kept.parent.glob("hangar-empty-*.sqlite3"):
            old.unlink()
        Path(made, "copy").replace(kept)
