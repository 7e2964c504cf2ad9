"""Libraries and programs of the operating system: the sheets need Pango, the tests Chromium, Poppler and PostgreSQL.

pip cannot install these. As root on a Debian-like system they are installed; anywhere else the one command for the
platform is said, and the start stops.
"""

import ctypes
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from hangar.bootstrap import postgres
from hangar.bootstrap.terminal import Stop, Stopwatch, say, show_end

_OS_RELEASE = Path("/etc/os-release")
_APT_LISTS = Path("/var/lib/apt/lists")
# Another apt-get may be at work, and a mirror may lose a connection or two.
_PATIENT = ("-o", "DPkg::Lock::Timeout=300", "-o", "Acquire::Retries=5", "-o", "Acquire::http::Timeout=60")

# The names under which WeasyPrint opens each library (weasyprint/text/ffi.py, version 70): Linux, then macOS.
_LIBRARIES = (
    ("libgobject-2.0.so.0", "libgobject-2.0.0.dylib"),
    ("libpango-1.0.so.0", "libpango-1.0.dylib"),
    ("libpangoft2-1.0.so.0", "libpangoft2-1.0.dylib"),
    ("libharfbuzz.so.0", "libharfbuzz.0.dylib"),
    ("libharfbuzz-subset.so.0", "libharfbuzz-subset.0.dylib"),
    ("libfontconfig.so.1", "libfontconfig.1.dylib"),
)
_CHROMIUM_NAMES = ("chromium", "chromium-browser")
_CHROMIUM_MAC = Path("/Applications/Chromium.app/Contents/MacOS/Chromium")


@dataclass(frozen=True)
class Need:
    """Something of the operating system, and what each platform calls it."""

    what: str
    debian: tuple[str, ...]
    fedora: str
    arch: str
    macos: str


PANGO = Need(
    what="Pango, which draws the PDF sheets",
    debian=("libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0", "fonts-dejavu-core"),
    fedora="dnf install pango dejavu-sans-fonts",
    arch="pacman -S pango ttf-dejavu",
    # A Python that does not come from Homebrew does not look in Homebrew's folder by itself.
    macos="brew install pango && export DYLD_FALLBACK_LIBRARY_PATH=$(brew --prefix)/lib",
)
CHROMIUM = Need(
    what="Chromium, in which the browser tests run (or its path in HANGAR_CHROMIUM)",
    debian=("chromium",),
    fedora="dnf install chromium",
    arch="pacman -S chromium",
    macos="brew install --cask chromium",
)
POPPLER = Need(
    what="Poppler's pdftoppm, by which the tests see a printed page as a phone's camera does",
    debian=("poppler-utils",),
    fedora="dnf install poppler-utils",
    arch="pacman -S poppler",
    macos="brew install poppler",
)
POSTGRESQL = Need(
    what="PostgreSQL, on which the tests of the database run a second time",
    debian=("postgresql",),
    fedora="dnf install postgresql-server",
    arch="pacman -S postgresql",
    macos="brew install postgresql",
)


def require_pango() -> None:
    """Have the libraries of the PDF sheets.

    Raises:
        Stop: they are missing and cannot be installed from here; the text is the command that does it.
    """
    _require(PANGO, pango_is_there)


def require_chromium() -> None:
    """Have a Chromium for the browser tests.

    Raises:
        Stop: as for require_pango; or HANGAR_CHROMIUM names no program.
    """
    _require(CHROMIUM, lambda: chromium() is not None)


def require_poppler() -> None:
    """Have the program that makes a picture of a page of a PDF.

    Raises:
        Stop: as for require_pango.
    """
    _require(POPPLER, lambda: shutil.which("pdftoppm") is not None)


def require_postgresql() -> None:
    """Have the programs of a PostgreSQL server, for a server that lives as long as the tests.

    Raises:
        Stop: as for require_pango.
    """
    _require(POSTGRESQL, lambda: postgres.programs() is not None)


def _require(need: Need, is_there: Callable[[], bool]) -> None:
    if not is_there():
        _provide(need)
        if not is_there():
            raise Stop(_still_missing(need))


def pango_is_there() -> bool:
    """Whether every library that WeasyPrint opens can be opened."""
    return all(any(_opens(name) for name in names) for names in _LIBRARIES)


def chromium() -> str | None:
    """The path of Chromium: what HANGAR_CHROMIUM says, else the first that is found, else None.

    Raises:
        Stop: HANGAR_CHROMIUM is set and is not the path of a program.
    """
    told = os.environ.get("HANGAR_CHROMIUM")
    if told:
        found = shutil.which(told)
        if found is None:
            raise Stop(f"HANGAR_CHROMIUM is {told!r}, which is no program: give the path of Chromium, or leave it out.")
        return found
    candidates = [*_CHROMIUM_NAMES, str(_CHROMIUM_MAC)]
    return next(filter(None, map(shutil.which, candidates)), None)


def _opens(name: str) -> bool:
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True


def _provide(need: Need) -> None:
    """Install `need` where that is possible without asking; Stop elsewhere."""
    if "debian" not in _families() or os.geteuid() != 0:
        raise Stop(_please(need))
    say(f"Installing {need.what}: apt-get install {' '.join(need.debian)}")
    watch = Stopwatch()
    descriptor, name = tempfile.mkstemp(prefix="hangar-apt-", suffix=".log")
    with os.fdopen(descriptor, "w") as log:
        # The lists may be missing (a fresh container) or too old to name a file that still exists; twice, since a
        # mirror that is being brought up to date has for a while lists that do not fit its files.
        done = (_have_lists() and _apt(_install(need.debian), log.fileno())) or any(
            _apt(("update",), log.fileno()) and _apt(_install(need.debian), log.fileno()) for _ in range(2)
        )
    if not done:
        show_end(Path(name))
        raise Stop(f"apt-get could not install {' '.join(need.debian)}: what it said is in {name}")
    os.unlink(name)
    say(f"Installed {' '.join(need.debian)} ({watch}).")


def _have_lists() -> bool:
    return any(_APT_LISTS.glob("*_Packages*"))


def _install(packages: Iterable[str]) -> tuple[str, ...]:
    return ("install", "--yes", "--no-install-recommends", *packages)


def _apt(arguments: Iterable[str], log: int) -> bool:
    """Run apt-get without questions, waiting for another one that is at work; whether it went well."""
    command = ["apt-get", "-q", *_PATIENT, *arguments]
    settings = {**os.environ, "DEBIAN_FRONTEND": "noninteractive", "LC_ALL": "C.UTF-8"}
    try:
        ended = subprocess.run(command, env=settings, stdin=subprocess.DEVNULL, stdout=log, stderr=log, check=False)
    except FileNotFoundError:
        return False
    return ended.returncode == 0


def _please(need: Need) -> str:
    """The one line that says what to do on this platform."""
    families = _families()
    if sys.platform == "darwin":
        command = need.macos
    elif "fedora" in families or "rhel" in families:
        command = f"sudo {need.fedora}"
    elif "arch" in families:
        command = f"sudo {need.arch}"
    elif "debian" in families:
        command = f"sudo apt-get install {' '.join(need.debian)}"
    else:
        command = f"(the packages that Debian calls {' '.join(need.debian)})"
    return f"Missing: {need.what}. Install it and start again: {command}"


def _still_missing(need: Need) -> str:
    return (
        f"The packages {' '.join(need.debian)} are installed, yet {sys.executable} does not find them: start with "
        "another Python, for example: /usr/bin/python3 manage.py"
    )


def _families() -> set[str]:
    """The names by which this Linux and those that it is made from are known, from os-release(5)."""
    try:
        lines = _OS_RELEASE.read_text(encoding="utf-8").splitlines()
    except OSError:
        return set()
    fields = dict(line.split("=", 1) for line in lines if "=" in line)
    return {word for key in ("ID", "ID_LIKE") for word in fields.get(key, "").strip("\"'").split()}
