"""A fire drill: a backup is restored to a place of its own, and what it brings back is looked at."""

import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

from django.conf import settings
from django.db import DatabaseError, connection

from .backing_up import made_at
from .errors import KeepingError
from .models import Drill

_SPARE = "hangar_drill"


def drill(path: Path) -> Drill:
    """Restore the backup beside the site, not into it, and walk its history. KeepingError where it does not hold."""
    when = made_at(path)
    with tempfile.TemporaryDirectory(prefix="hangar-drill-") as folder, _spare_database() as address:
        said = _manage(folder, address, "restore", str(path.absolute()))
        _manage(folder, address, "verify_history")
    found = re.search(r"Restored: (\d+) revisions", said)
    if found is None:
        raise KeepingError(f"{path}: the restore said nothing that can be understood: {said.strip()}")
    return Drill.objects.create(name=path.name, made_at=when, revisions=int(found[1]))


@contextmanager
def _spare_database() -> Iterator[str | None]:
    """On PostgreSQL an empty database beside that of the site, as an address; None where a folder is enough."""
    if connection.vendor != "postgresql":
        yield None
        return
    name = f"{_SPARE}_{os.getpid()}"
    try:
        with connection._nodb_cursor() as cursor:
            cursor.execute(f'CREATE DATABASE "{name}"')
    except DatabaseError as error:
        raise KeepingError(f"A drill needs a database of its own, and the server refused one ({error}).") from error
    try:
        yield urlunsplit(urlsplit(os.environ["DATABASE_URL"])._replace(path=f"/{name}"))
    finally:
        with connection._nodb_cursor() as cursor:
            cursor.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def _manage(folder: str, address: str | None, *arguments: str) -> str:
    variables = {**os.environ, "HANGAR_DATA": folder, "HANGAR_BOOTSTRAP": "0"}
    # Its photos go to the folder too, wherever the site keeps its own.
    variables.pop("HANGAR_STORAGE", None)
    variables.pop("DATABASE_URL", None)
    if address:
        variables["DATABASE_URL"] = address
    done = subprocess.run(
        [sys.executable, str(Path(settings.BASE_DIR) / "manage.py"), *arguments],
        env=variables, stdin=subprocess.DEVNULL, capture_output=True, text=True, errors="replace", check=False,
    )  # fmt: skip
    if done.returncode:
        raise KeepingError((done.stderr.strip() or "It ended without a word.").splitlines()[-1])
    return done.stdout
