"""Another site to move to: an empty folder or an empty database, in which `manage.py` runs as a club's own would."""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from django.db import connection

from tests.patience import PATIENCE_S

TOP = Path(__file__).parents[2]


@dataclass(frozen=True)
class Place:
    """`run` gives what a command printed, or, where it failed, the last line of what it complained."""

    variables: dict[str, str]

    def run(self, *arguments: str, fails: bool = False) -> str:
        done = subprocess.run(
            [sys.executable, str(TOP / "manage.py"), *arguments],
            env={**self._kept(), **self.variables, "HANGAR_BOOTSTRAP": "0"},
            capture_output=True, text=True, timeout=PATIENCE_S, check=False,
        )  # fmt: skip
        assert (done.returncode != 0) == fails, done.stdout + done.stderr
        assert "Traceback" not in done.stderr, done.stderr
        return done.stderr.strip().splitlines()[-1] if fails else done.stdout

    def _kept(self) -> dict[str, str]:
        return {key: value for key, value in os.environ.items() if not key.startswith(("HANGAR", "DATABASE"))}


def sqlite_place(folder: Path) -> Place:
    return Place({"HANGAR_DATA": str(folder)})


@contextmanager
def place_of_this_kind(folder: Path, name: str = "another") -> Iterator[Place]:
    """A place on the kind of database on which the tests run."""
    if connection.vendor == "sqlite":
        yield sqlite_place(folder)
        return
    settings = connection.settings_dict
    database = f"{settings['NAME']}_{name}"
    where = f"{quote(settings['HOST'], safe='')}:{settings['PORT']}".removesuffix(":")
    password = f":{quote(settings['PASSWORD'], safe='')}" if settings["PASSWORD"] else ""
    address = f"postgres://{settings['USER']}{password}@{where}/{database}"
    with connection._nodb_cursor() as cursor:
        cursor.execute(f'CREATE DATABASE "{database}"')
    try:
        yield Place({"HANGAR_DATA": str(folder), "DATABASE_URL": address})
    finally:
        with connection._nodb_cursor() as cursor:
            cursor.execute(f'DROP DATABASE "{database}" WITH (FORCE)')
