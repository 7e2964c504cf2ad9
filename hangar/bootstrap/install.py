"""Installing a lock into .venv with pip, with the progress and the reason of a failure in plain words."""

import os
import subprocess
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import IO

from hangar.bootstrap.environment import Environment
from hangar.bootstrap.locks import Lock, one_at_a_time
from hangar.bootstrap.terminal import Counter, Stop, Stopwatch, say, show_end

_PIP = (
    "-m",
    "pip",
    "install",
    "--require-hashes",
    "--no-user",
    "--no-input",
    "--progress-bar=off",
    "--disable-pip-version-check",
    "--no-warn-script-location",
)

# pip asks again where it gets no answer, but gives up where one is cut off. What it has fetched it keeps.
_TRIES = 3

_UNREACHABLE = "the package index could not be reached; check the network connection (and the proxy, if there is one)"
# What pip's log holds, in lower case, and what that means to someone who waits for the start. The first match counts.
_REASONS = (
    (("do not match the hashes",), "a download was not the file that the lock names; nothing of it was installed"),
    (("no space left on device",), "the disk is full; free 500 MB"),
    (("permission denied", "read-only file system"), "a folder is not writable for you"),
    (
        # The last one: of a package that exists not a single version is known, so nobody answered.
        ("connection", "name resolution", "timed out", "proxyerror", "sslerror", "from versions: none"),
        _UNREACHABLE,
    ),
    (("no matching distribution", "could not find a version"), "a package is not to be had for this Python or machine"),
    (
        ("failed building", "failed to build", "error: subprocess-exited"),
        "a package could not be built on this machine",
    ),
)


def ensure(environment: Environment, locks: Sequence[Lock], *, top: Path) -> None:
    """Bring `environment` to what `locks` say, unless it is there already.

    Raises:
        Stop: it could not be done; the text says why and where pip's log is.
    """
    if not environment.lacks(locks):
        return
    with one_at_a_time(top) as guard:
        # Another start may have done it while this one waited.
        if environment.lacks(locks):
            environment.make_usable()
            for lock in environment.lacks(locks):
                _install(environment, lock, guard=guard)


def _install(environment: Environment, lock: Lock, *, guard: int) -> None:
    say(f"Installing {lock.count()} packages for {lock.purpose}: a minute or two, only this once.")
    watch = Stopwatch()
    for _ in range(_TRIES):
        status, installed = _pip(environment, lock, guard=guard)
        if status == 0 or not _was_cut_off(environment.log):
            break
        say("The package index was lost while packages came.")
    if status != 0:
        show_end(environment.log)
        raise Stop(_failure(environment.log))
    environment.stamp(lock)
    environment.installing.unlink(missing_ok=True)
    say(f"Installed {installed} packages for {lock.purpose} ({watch}).")


def _pip(environment: Environment, lock: Lock, *, guard: int) -> tuple[int, int]:
    """pip's exit status, and how many packages it installed."""
    with (
        environment.log.open("w", encoding="utf-8") as log,
        subprocess.Popen(
            [environment.python, *_PIP, "--requirement", lock.path],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            errors="replace",
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
            pass_fds=(guard,),
        ) as process,
    ):
        installed = _follow(process.stdout or (), log, environment, lock)
    return process.returncode, installed


def _follow(lines: Iterable[str], log: IO[str], environment: Environment, lock: Lock) -> int:
    """Copy pip's words into the log and count along; the number of packages that it installed."""
    counter = Counter()
    collected = installed = 0
    for line in lines:
        log.write(line)
        log.flush()
        words = line.split()
        if line.startswith("Collecting ") and len(words) > 1:
            collected += 1
            counter.show(f"  fetching {collected} of {lock.count()}: {words[1].partition('==')[0]}")
        elif line.startswith("Installing collected packages:"):
            environment.installing.touch()
            counter.show(f"  fetched {collected}; writing them into .venv")
        elif line.startswith("Successfully installed "):
            installed = len(words) - 2
    counter.clear()
    return installed


def _was_cut_off(log: Path) -> bool:
    """Whether the index was there, and then was not."""
    return "downloading " in _words(log) and _reason(log) == _UNREACHABLE


def _words(log: Path) -> str:
    return log.read_text(encoding="utf-8", errors="replace").lower()


def _reason(log: Path) -> str | None:
    text = _words(log)
    return next((meaning for marks, meaning in _REASONS if any(mark in text for mark in marks)), None)


def _failure(log: Path) -> str:
    if meaning := _reason(log):
        return f"Installing the packages failed: {meaning}. What pip said is in {log}; then start again."
    return f"Installing the packages failed: the reason is in {log}; then start again."
