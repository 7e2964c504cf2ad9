"""The .venv beside manage.py: whether it is good, making it, and entering it.

Its state is in files inside it: a stamp per lock (the lock's digest and the Python that it was installed for), and
`hangar-installing`, which stands while pip writes packages. A start that finds that file was preceded by one that was
cut off half-way, and makes .venv anew.
"""

import importlib.util
import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

from hangar.bootstrap.locks import Lock
from hangar.bootstrap.terminal import Stop, Stopwatch, say

_ENTERED_AS = "HANGAR_BOOTSTRAP_ENTERED"
_PROBE = "import sys, pip; print('%d.%d' % sys.version_info[:2]); print(sys.prefix)"


class Environment:
    """The .venv of one checkout."""

    def __init__(self, top: Path) -> None:
        self.folder = top / ".venv"
        self.python = self.folder / "bin" / "python"
        self.log = self.folder / "hangar-install.log"
        self.installing = self.folder / "hangar-installing"

    def is_running(self) -> bool:
        """Whether this very process runs in it."""
        return os.path.realpath(sys.prefix) == os.path.realpath(self.folder)

    def lacks(self, locks: Sequence[Lock]) -> list[Lock]:
        """The locks of which this environment does not hold what they say today."""
        if self.installing.exists() or not self.python.exists():
            return list(locks)
        return [lock for lock in locks if not self._stamped(lock)]

    def stamp(self, lock: Lock) -> None:
        """Record that `lock` is installed."""
        _replace(self._stamp_path(lock), f"{lock.digest()} {self._version()}\n")

    def make_usable(self) -> None:
        """Have a .venv with a working pip: keep the one that is there if it works, else make it anew.

        Raises:
            Stop: this Python cannot make environments, or the folder cannot be written.
        """
        if not self.installing.exists() and self._works():
            return
        if self.folder.exists():
            say("The packages in .venv are incomplete: making it anew.")
        self._make()

    def enter(self, arguments: Sequence[str]) -> NoReturn:
        """Replace this process by the same command under .venv's Python.

        Raises:
            Stop: this process came from there already and yet does not run in it.
        """
        # exec keeps the process number: finding our own here means that this process has entered once before.
        if os.environ.get(_ENTERED_AS) == str(os.getpid()):
            raise Stop(f"{self.folder} is damaged: delete that folder and start again.")
        os.environ[_ENTERED_AS] = str(os.getpid())
        sys.stdout.flush()
        sys.stderr.flush()
        os.execv(self.python, [str(self.python), *arguments])

    def arrived(self) -> None:
        """Forget the mark of `enter`, which children of this process have no use for."""
        os.environ.pop(_ENTERED_AS, None)

    def _stamp_path(self, lock: Lock) -> Path:
        return self.folder / f"hangar-{lock.name}.stamp"

    def _stamped(self, lock: Lock) -> bool:
        try:
            digest, version = self._stamp_path(lock).read_text(encoding="ascii").split()
        except (OSError, ValueError):
            return False
        # From outside the version cannot be told without starting it; inside, a system upgrade may have changed it.
        return digest == lock.digest() and (not self.is_running() or version == _version_here())

    def _version(self) -> str:
        return _version_here() if self.is_running() else self._probe()[0]

    def _probe(self) -> tuple[str, str]:
        answer = subprocess.run([self.python, "-c", _PROBE], capture_output=True, text=True, check=True, timeout=60)
        version, prefix = answer.stdout.splitlines()
        return version, prefix

    def _works(self) -> bool:
        try:
            version, prefix = self._probe()
        except (OSError, ValueError, subprocess.SubprocessError):
            return False
        recent = tuple(int(part) for part in version.split(".")) >= (3, 11)
        return recent and os.path.realpath(prefix) == os.path.realpath(self.folder)

    def _make(self) -> None:
        _require_venv()
        import venv  # only now: a Python without it has just been told so

        say(f"Making .venv with Python {sys.version.split()[0]}.")
        watch = Stopwatch()
        try:
            venv.EnvBuilder(clear=True, symlinks=True, with_pip=True).create(self.folder)
        except OSError as error:
            raise Stop(
                f"Cannot make {self.folder} ({error.strerror or error}): check that the folder is writable and the "
                "disk has room for 500 MB."
            ) from error
        except subprocess.CalledProcessError as error:
            raise Stop(
                f"Python {_version_here()} could not put pip into {self.folder}: reinstall that Python with its venv "
                "and ensurepip modules, or start with another one."
            ) from error
        say(f"Made .venv ({watch}).")


def _version_here() -> str:
    return f"{sys.version_info[0]}.{sys.version_info[1]}"


def _replace(path: Path, text: str) -> None:
    beside = path.with_suffix(".new")
    beside.write_text(text, encoding="ascii")
    beside.replace(path)


def _require_venv() -> None:
    missing = [name for name in ("venv", "ensurepip") if importlib.util.find_spec(name) is None]
    if missing:
        version = _version_here()
        raise Stop(
            f"This Python {version} ({sys.executable}) has no module {' or '.join(missing)}, which making .venv needs. "
            f"On Debian or Ubuntu: apt-get install python{version}-venv; then start again."
        )
