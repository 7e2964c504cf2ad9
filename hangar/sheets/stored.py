"""Sheets already made, kept in the data folder under a key that covers everything printed on them."""

import contextlib
import hashlib
import json
import os
import tempfile
from collections.abc import Callable
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

from django.conf import settings

from hangar.languages.speaking import way

_TOP = Path(__file__).resolve().parents[2]
# Whatever can change a figure, a word or a line of a sheet; a change in any of them makes every stored sheet stale.
_SOURCES = (
    "mixing/**/*.py", "hangar/pictures/*.py", "hangar/setups/*.py", "hangar/sheets/*.py",
    "hangar/sheets/quicker/*.py", "hangar/static/sheets/*",
    "templates/sheets/*", "hangar/languages/words/**/*.mo", "hangar/formats/**/*.py",
)  # fmt: skip
_PACKAGES = ("weasyprint", "pydyf", "segno", "font-source-sans-pro", "numpy", "django")
MOST = 8192
"""About how many documents are kept; the oldest give way."""


@cache
def program() -> str:
    """The version of everything that makes a sheet."""
    found = hashlib.sha256()
    for pattern in _SOURCES:
        for path in sorted(_TOP.glob(pattern)):
            found.update(str(path.relative_to(_TOP)).encode() + b"\0" + path.read_bytes() + b"\0")
    for name in _PACKAGES:
        found.update(f"{name} {version(name)}\0".encode())
    return found.hexdigest()


def key_of(*parts: Any) -> str:
    """A key of whatever is printed, in this version of the program, in the language and unit in which it is."""
    said = json.dumps([program(), str(settings.TIME_ZONE), way(), *parts], sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(said.encode()).hexdigest()


def stored(key: str, make: Callable[[], bytes]) -> bytes:
    """The document of this key, made and kept where it is not there yet."""
    path = _folder(key) / f"{key}.pdf"
    with contextlib.suppress(FileNotFoundError, NotADirectoryError):
        return path.read_bytes()
    content = make()
    _keep(path, content)
    return content


def made() -> Path:
    """The folder of all that was made on this machine: it can go at any time."""
    folder: Path = settings.HANGAR_DATA / "sheets" / "made"
    return folder


def _folder(key: str) -> Path:
    return made() / key[:2]


def _keep(path: Path, content: bytes) -> None:
    """Whole or not at all: another process may read it at this moment. A full disk costs the copy, not the sheet."""
    with contextlib.suppress(OSError):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        Path(name).replace(path)
        kept = sorted(path.parent.iterdir(), key=lambda one: one.stat().st_mtime)
        for old in kept[: -MOST // 256]:
            old.unlink()
