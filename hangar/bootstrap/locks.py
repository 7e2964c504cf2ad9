"""The hashed locks of packages, and the guard that lets only one start install at a time."""

import contextlib
import hashlib
import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from hangar.bootstrap.terminal import Stop, say

_PINNED = re.compile(r"^[A-Za-z0-9]", re.MULTILINE)


@dataclass(frozen=True)
class Lock:
    """One file of pinned and hashed packages."""

    path: Path
    purpose: str

    @property
    def name(self) -> str:
        """The file's name without its ending: what its stamp in .venv is called."""
        return self.path.stem

    def digest(self) -> str:
        """SHA-256 of the file, which its stamp repeats."""
        return hashlib.sha256(self.path.read_bytes()).hexdigest()

    def count(self) -> int:
        """How many packages the file pins; some of them only for other platforms."""
        return len(_PINNED.findall(self.path.read_text(encoding="utf-8")))


def running(top: Path) -> Lock:
    """The packages that the site needs."""
    return Lock(top / "hangar" / "bootstrap" / "requirements.txt", "the site")


def testing(top: Path) -> Lock:
    """The packages that the tests need on top of those of the site."""
    return Lock(top / "hangar" / "bootstrap" / "requirements-test.txt", "the tests")


@contextlib.contextmanager
def one_at_a_time(top: Path) -> Iterator[int]:
    """Hold .venv.lock; a second start waits here until the first has installed.

    Yields the file's descriptor. A child process that inherits it keeps the guard up even if this process is killed
    while the child still installs.
    """
    import fcntl  # not on Windows, where start.main has said so before

    path = top / ".venv.lock"
    try:
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
    except OSError as error:
        raise Stop(
            f"Cannot write in {top} ({error.strerror}): make that folder writable for you, or copy the checkout to one "
            "that is."
        ) from error
    try:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say("Another start is installing here: waiting until it has finished.")
            fcntl.flock(descriptor, fcntl.LOCK_EX)
        yield descriptor
    finally:
        os.close(descriptor)
