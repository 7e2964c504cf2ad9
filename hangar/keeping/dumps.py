"""One whole database as one file, and back, in each database's own way. Both work while members write."""

import os
import re
import shutil
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing, contextmanager
from itertools import takewhile
from pathlib import Path
from typing import Any

from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper

from .errors import KeepingError

NAMES = {"sqlite": "database.sqlite3", "postgresql": "database.dump"}
"""What the file is called in a backup, by the kind of the database."""

_COPY = re.compile(r"COPY \S+ \(([^)]*)\) FROM stdin;")


def dump(target: Path) -> None:
    """Write all of the database, as it is at one moment, to `target`."""
    if connection.vendor == "postgresql":
        # Without compression: the archive around it compresses.
        _call("pg_dump", ["--format=custom", "--compress=0", "--no-owner", "--no-privileges", f"--file={target}"])
    else:
        connection.ensure_connection()
        with _told_in_words("It could not be copied"), closing(sqlite3.connect(target)) as copy:
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
    with _told_in_words("It could not be brought back"), _opened(source) as copy:
        connection.ensure_connection()
        copy.backup(connection.connection)
    # What was read before it was replaced is not true any more.
    connection.close()


def migrations_of(source: Path) -> set[tuple[str, str]]:
    """App and name of each step by which the tables in the file came to be. KeepingError where it is none of ours."""
    if connection.vendor == "postgresql":
        # To the standard output: nothing of the file is run.
        script = _run("pg_restore", ["--data-only", "--table=django_migrations", "--file=-", str(source)])
        return set(_copied(script))
    with _opened(source) as copy:
        _refuse_damaged(copy)
        return set(copy.execute("SELECT app, name FROM django_migrations"))


def _copied(script: str) -> Iterator[tuple[str, str]]:
    """App and name in each line of the table, as PostgreSQL writes it."""
    lines = iter(script.splitlines())
    head = next((match for line in lines if (match := _COPY.match(line))), None)
    if head is None:
        raise KeepingError("The database in this backup is none of Hingeline's.")
    columns = head[1].split(", ")
    for line in takewhile(lambda line: line != "\\.", lines):
        row = dict(zip(columns, line.split("\t"), strict=True))
        yield row["app"], row["name"]


@contextmanager
def _opened(source: Path) -> Iterator[sqlite3.Connection]:
    with closing(sqlite3.connect(f"file:{source}?mode=ro", uri=True)) as copy:
        yield copy


@contextmanager
def _told_in_words(what: str) -> Iterator[None]:
    """SQLite's own connection knows nothing of Django's errors: a full disk, a file that somebody holds."""
    try:
        yield
    except sqlite3.Error as error:
        raise KeepingError(f"{what}: {error}. Nothing was changed.") from error


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
    where, variables = _where(connection)
    _run(program, [*where, *arguments], variables)


def _run(program: str, arguments: list[str], variables: dict[str, str] | None = None) -> str:
    """Run one of PostgreSQL's programs; what it printed."""
    found = shutil.which(program)
    if found is None:
        raise KeepingError(
            f"{program} is not installed: it comes with PostgreSQL's client programs "
            "(on Debian: apt-get install postgresql-client)."
        )
    done = subprocess.run(
        [found, *arguments], env={**os.environ, **(variables or {})}, stdin=subprocess.DEVNULL,
        capture_output=True, text=True, errors="replace", check=False,
    )  # fmt: skip
    if done.returncode:
        raise KeepingError(f"{program} failed: {done.stderr.strip() or done.returncode}")
    return done.stdout


def _where(database: BaseDatabaseWrapper) -> tuple[list[str], dict[str, str]]:
    """How `psql` would be called for this database: options, and variables for what others must not see in a list
    of processes."""
    client: Any = database.client
    command, variables = client.settings_to_cmd_args_env(database.settings_dict, [])
    *options, name = command[1:]
    return [*options, f"--dbname={name}"], variables or {}
