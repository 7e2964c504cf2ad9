"""One whole database as one file, and back, in each database's own way. Both work while members write."""

import os
import shutil
import sqlite3
import subprocess
from contextlib import closing
from pathlib import Path
from typing import Any

from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper

from .errors import KeepingError

NAMES = {"sqlite": "database.sqlite3", "postgresql": "database.dump"}
"""What the file is called in a backup, by the kind of the database."""


def dump(target: Path) -> None:
    """Write all of the database, as it is at one moment, to `target`."""
    if connection.vendor == "postgresql":
        # Without compression: the archive around it compresses.
        _call("pg_dump", ["--format=custom", "--compress=0", "--no-owner", "--no-privileges", f"--file={target}"])
    else:
        connection.ensure_connection()
        with closing(sqlite3.connect(target)) as copy:
            # In one step. Page by page it would begin again after every write of somebody else, and may never end.
            connection.connection.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")


def load(source: Path) -> None:
    """Put the database of the file in the place of this one, all or nothing. It must be one of the same kind."""
    if connection.vendor == "postgresql":
        # Django's own connection would wait for the tables that are made anew, and they for it.
        connection.close()
        arguments = ["--single-transaction", "--exit-on-error", "--clean", "--if-exists", "--no-owner"]
        _call("pg_restore", [*arguments, "--no-privileges", str(source)])
        return
    with closing(sqlite3.connect(f"file:{source}?mode=ro", uri=True)) as copy:
        _refuse_damaged(copy)
        connection.ensure_connection()
        copy.backup(connection.connection)
    # What was read before it was replaced is not true any more.
    connection.close()


def _refuse_damaged(copy: sqlite3.Connection) -> None:
    try:
        answer = copy.execute("PRAGMA integrity_check").fetchone()[0]
        ours = copy.execute("SELECT COUNT(*) FROM sqlite_master WHERE name = 'django_migrations'").fetchone()[0]
    except sqlite3.DatabaseError as error:
        raise KeepingError(f"The database in this backup cannot be read: {error}.") from error
    if answer != "ok":
        raise KeepingError(f"The database in this backup is damaged: {answer}.")
    if not ours:
        raise KeepingError("The database in this backup is none of Hingeline's.")


def _call(program: str, arguments: list[str]) -> None:
    """Run one of PostgreSQL's programs on the database of this site."""
    found = shutil.which(program)
    if found is None:
        raise KeepingError(
            f"{program} is not installed: it comes with PostgreSQL's client programs "
            "(on Debian: apt-get install postgresql-client)."
        )
    where, variables = _where(connection)
    done = subprocess.run(
        [found, *where, *arguments], env={**os.environ, **variables}, stdin=subprocess.DEVNULL,
        capture_output=True, text=True, errors="replace", check=False,
    )  # fmt: skip
    if done.returncode:
        raise KeepingError(f"{program} failed: {done.stderr.strip() or done.returncode}")


def _where(database: BaseDatabaseWrapper) -> tuple[list[str], dict[str, str]]:
    """How `psql` would be called for this database: options, and variables for what others must not see in a list
    of processes."""
    client: Any = database.client
    command, variables = client.settings_to_cmd_args_env(database.settings_dict, [])
    *options, name = command[1:]
    return [*options, f"--dbname={name}"], variables or {}
