"""What an archive of ours never holds, and a file that means harm may: refused before anything is unpacked."""

import json
import math
import re
import stat
import zipfile
from pathlib import Path, PurePosixPath
from typing import Any, NamedTuple

from .errors import KeepingError

_DIGEST = re.compile(r"[0-9a-f]{64}\Z")
_ENCRYPTED = 0x1
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)


class Told(NamedTuple):
    """What an archive says of one of its files."""

    size: int
    sha256: str


def refuse_odd_entries(archive: zipfile.ZipFile, path: Path) -> None:
    """KeepingError for names that lead out or come twice, for links, what is locked, and what is packed otherwise."""
    seen = set()
    for entry in archive.infolist():
        name = entry.filename
        refuse_odd_name(name, path)
        if name in seen:
            raise KeepingError(f"{path} holds {name!r} twice.")
        seen.add(name)
        if stat.S_ISLNK(entry.external_attr >> 16):
            raise KeepingError(f"{path} holds a link: {name!r}.")
        if entry.flag_bits & _ENCRYPTED:
            raise KeepingError(f"{path} is locked with a password: unlock it first.")
        if entry.compress_type not in _METHODS:
            raise KeepingError(f"{path} holds {name!r} packed in a way in which nothing of ours is.")


def refuse_odd_name(name: str, path: Path) -> None:
    """KeepingError for a name that leads out of its folder, or that no terminal should be given."""
    parts = PurePosixPath(name).parts
    leads_out = name.startswith("/") or ".." in parts or "." in name.split("/") or "//" in name or "\\" in name
    if leads_out or not name.isprintable() or not name:
        raise KeepingError(f"{path} holds a file with a name that leads elsewhere: {name!r}.")


def told_files(said: Any, path: Path) -> dict[str, Told]:
    """What an archive says of its files, by name."""
    if not isinstance(said, dict):
        raise KeepingError(f"{path} does not say which files it holds.")
    return {name: _told(name, one, path) for name, one in said.items()}


def _told(name: str, said: Any, path: Path) -> Told:
    refuse_odd_name(f"{name}/" if name.endswith("/") else name, path)
    size, digest = (said.get("size"), said.get("sha256")) if isinstance(said, dict) else (None, None)
    if not (type(size) is int and size >= 0 and isinstance(digest, str) and _DIGEST.match(digest)):
        raise KeepingError(f"{path} does not say the size and the digest of {name}.")
    return Told(size, digest)


def strict_json(name: str, content: bytes) -> Any:
    """JSON as it is defined: no NaN, no key twice, in UTF-8. KeepingError otherwise, which begins with `name`."""
    try:
        return json.loads(
            content.decode(), parse_constant=_no_number, parse_float=_finite, object_pairs_hook=_each_once
        )
    except UnicodeDecodeError as error:
        raise KeepingError(f"{name} is no UTF-8.") from error
    except (ValueError, RecursionError) as error:
        raise KeepingError(f"{name} is no JSON that can be read: {error}.") from error


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number")


def _finite(digits: str) -> float:
    number = float(digits)
    if not math.isfinite(number):
        raise ValueError(f"{digits[:40]} is too large")
    return number


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a key comes twice")
    return found
