"""A PostgreSQL server for one run of the tests: made in a folder of its own, reached through a socket in it, then gone.

It never touches a server that this machine may have. Nothing is flushed to the disk: a power cut loses a test database.
"""

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote

from hangar.bootstrap.terminal import Stop

# Where Debian keeps them, out of the search path, a folder a version.
_DEBIAN = Path("/usr/lib/postgresql")
_NEEDED = ("initdb", "pg_ctl", "postgres")
_QUICK = (
    "fsync=off", "synchronous_commit=off", "full_page_writes=off", "max_connections=60", "listen_addresses=''",
)  # fmt: skip
# PostgreSQL refuses to run as root: these exist on every Unix, the first where its package is installed.
_UNPRIVILEGED = ("postgres", "nobody")
# The path of a socket may have 107 characters, of which the server takes some for the name of the file.
_LONGEST = 60


def programs() -> Path | None:
    """The folder of PostgreSQL's programs: in the search path, else Debian's newest; None where there are none."""
    found = shutil.which("initdb")
    folders = [Path(found).resolve().parent] if found else []
    versions = [folder for folder in _DEBIAN.glob("*/bin") if folder.parent.name.isdigit()]
    folders += sorted(versions, key=lambda folder: int(folder.parent.name), reverse=True)
    return next((folder for folder in folders if all((folder / name).exists() for name in _NEEDED)), None)


@contextmanager
def server(folder: Path) -> Iterator[str]:
    """A running server of the programs in `folder`, for as long as this lasts; its address as for DATABASE_URL.

    Raises:
        Stop: it does not start; the text holds what it said.
    """
    short = tempfile.gettempdir() if len(tempfile.gettempdir()) <= _LONGEST else "/tmp"
    with tempfile.TemporaryDirectory(prefix="hangar-pg-", dir=short) as made:
        place, user = Path(made), _user()
        if user:
            os.chown(place, user["user"], user["group"])
        data, log = place / "data", place / "log"
        options = " ".join(f"-c {setting}" for setting in (*_QUICK, f"unix_socket_directories={place}"))
        _run((folder / "initdb", "-D", data, "-A", "trust", "-U", "postgres", "-E", "UTF8", "--locale=C", "-N"), user)
        _run((folder / "pg_ctl", "-D", data, "-w", "-l", log, "-o", options, "start"), user, log)
        try:
            yield f"postgres://postgres@{quote(str(place), safe='')}/postgres"
        finally:
            _run((folder / "pg_ctl", "-D", data, "-w", "-m", "immediate", "stop"), user, log)


def _user() -> dict[str, Any]:
    """Whom to run it as: for root somebody else, for everyone else nobody else."""
    if os.geteuid() != 0:
        return {}
    for name in _UNPRIVILEGED:
        try:
            entry = pwd.getpwnam(name)
        except KeyError:
            continue
        return {"user": entry.pw_uid, "group": entry.pw_gid, "extra_groups": []}
    raise Stop(f"PostgreSQL does not run as root, and this machine has no user {' or '.join(_UNPRIVILEGED)}.")


def _run(command: tuple[str | Path, ...], user: dict[str, Any], log: Path | None = None) -> None:
    with tempfile.TemporaryFile() as said:
        # Into a file: the server that pg_ctl starts would keep a pipe open, and reading it would never end.
        ended = subprocess.run(
            command, **user, cwd="/", stdin=subprocess.DEVNULL, stdout=said, stderr=said, check=False
        )
        if ended.returncode:
            said.seek(0)
            words = said.read().decode(errors="replace").strip()
            more = log.read_text(errors="replace").strip() if log and log.exists() else ""
            raise Stop(f"PostgreSQL's {Path(command[0]).name} failed: {words}\n{more}".rstrip())
