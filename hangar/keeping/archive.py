"""A ZIP file that says what is in it: every file with its digest, so that what was cut off or altered is noticed."""

import hashlib
import io
import json
import os
import shutil
import struct
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from .errors import KeepingError
from .odd import refuse_odd_entries, strict_json, told_files

CONTENTS = "contents.json"
LARGEST_IN_MEMORY = 256 * 1024 * 1024
"""Of one file that is read at once. A table of 200,000 revisions takes 80 MB."""
_LARGEST_CONTENTS = 64 * 1024 * 1024
_PIECE = 1024 * 1024
# How a damaged ZIP file shows while it is unpacked, by where the damage is; the last, where it is taken for encrypted.
_DAMAGE = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError)


class Writer:
    """Files for a new archive. `contents` is what it says of itself beside them."""

    def __init__(self, archive: zipfile.ZipFile, contents: dict[str, Any]) -> None:
        self._archive, self.contents = archive, contents
        self.files: dict[str, dict[str, Any]] = {}

    def add(self, name: str, content: bytes) -> None:
        self._archive.writestr(name, content)
        self.files[name] = {"size": len(content), "sha256": hashlib.sha256(content).hexdigest()}

    def add_from(self, name: str, source: IO[bytes]) -> None:
        """As `add`, for what may be large."""
        digest, size = hashlib.sha256(), 0
        with self._archive.open(name, "w", force_zip64=True) as target:
            while piece := source.read(_PIECE):
                digest.update(piece)
                size += len(piece)
                target.write(piece)
        self.files[name] = {"size": size, "sha256": digest.hexdigest()}

    def finish(self) -> None:
        said = {**self.contents, "files": dict(sorted(self.files.items()))}
        self._archive.writestr(CONTENTS, json.dumps(said, indent=1, ensure_ascii=False).encode())


@contextmanager
def writing(path: Path, contents: dict[str, Any]) -> Iterator[Writer]:
    """A new archive at `path`, which stands there whole or not at all, and which only its owner may read.

    KeepingError where something has that name already, or where it cannot be written.
    """
    if path.exists():
        raise KeepingError(f"{path} is there already: give another name.")
    try:
        handle, beside = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    except OSError as error:
        raise KeepingError(f"{path}: {error.strerror or error}.") from error
    try:
        with os.fdopen(handle, "wb") as file:
            with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
                writer = Writer(archive, contents)
                yield writer
                writer.finish()
            file.flush()
            os.fsync(file.fileno())
        # A link, not a renaming: it never writes over what somebody else put there meanwhile.
        os.link(beside, path)
    except OSError as error:
        raise KeepingError(f"{path}: {error.strerror or error}.") from error
    finally:
        os.unlink(beside)


class Reader:
    """An archive that is being read. Whatever is taken out of it has the size and the digest that it should have.

    It may come from anyone: what it says of itself is not believed before it was looked at.
    """

    def __init__(self, archive: zipfile.ZipFile, path: Path) -> None:
        self._archive, self._path = archive, path
        refuse_odd_entries(archive, path)
        self.contents = self._read_contents()
        self.files = told_files(self.contents.get("files"), path)
        self._refuse_more_than_fits()

    def _read_contents(self) -> dict[str, Any]:
        if CONTENTS not in self._archive.NameToInfo:
            raise KeepingError(f"{self._path} was not made by Hingeline: it holds no {CONTENTS}.")
        if self._archive.getinfo(CONTENTS).file_size > _LARGEST_CONTENTS:
            raise KeepingError(f"{self._path}: its {CONTENTS} is too large to be one.")
        try:
            with self._archive.open(CONTENTS) as file:
                # Never more than it says: see `copy`.
                content = file.read(_LARGEST_CONTENTS)
        except _DAMAGE as error:
            raise KeepingError(f"{self._path}: its {CONTENTS} cannot be read.") from error
        contents = strict_json(f"{self._path}: its {CONTENTS}", content)
        if not isinstance(contents, dict):
            raise KeepingError(f"{self._path}: its {CONTENTS} cannot be read.")
        return contents

    def _refuse_more_than_fits(self) -> None:
        whole, room = sum(one.size for one in self.files.values()), shutil.disk_usage(tempfile.gettempdir()).free
        if whole > room:
            raise KeepingError(
                f"{self._path} would unpack to {whole / 1e6:,.0f} MB, and there is room for {room / 1e6:,.0f} MB: "
                "is it what it says? Else make room, or set TMPDIR to a larger disk."
            )

    def read(self, name: str, largest: int | None = None) -> bytes:
        largest, told = largest or LARGEST_IN_MEMORY, self.files.get(name)
        if told is not None and told.size > largest:
            raise KeepingError(f"{self._path}: {name} has {told.size} bytes; at most {largest} are read.")
        target = io.BytesIO()
        self.copy(name, target)
        return target.getvalue()

    def check(self, name: str) -> None:
        """As `copy`, to nowhere."""
        with open(os.devnull, "wb") as nowhere:
            self.copy(name, nowhere)

    def copy(self, name: str, target: IO[bytes]) -> None:
        """Write one file to `target`. KeepingError where it is missing or is not what it was."""
        told = self.files.get(name)
        if told is None or name not in self._archive.NameToInfo:
            raise KeepingError(f"{self._path} holds no {ascii(name)[1:-1]}.")
        digest, left = hashlib.sha256(), told.size
        try:
            with self._archive.open(name) as source:
                # Never more than it says: a small archive can unpack to more than any disk holds.
                while left >= 0 and (piece := source.read(_PIECE)):
                    left -= len(piece)
                    digest.update(piece)
                    target.write(piece)
        except _DAMAGE as error:
            raise KeepingError(f"{self._path} is damaged: {name} cannot be unpacked ({error}).") from error
        if left != 0 or digest.hexdigest() != told.sha256:
            raise KeepingError(f"{self._path} is damaged: {name} is not what was written.")

    def under(self, folder: str) -> list[str]:
        """The names of the files in `folder`."""
        return [name for name in self.files if name.startswith(f"{folder}/")]


@contextmanager
def reading(path: Path, *, kind: str) -> Iterator[Reader]:
    """The archive at `path`, which must be one of this kind. KeepingError where it is none or cannot be read."""
    try:
        with zipfile.ZipFile(path) as archive:
            reader = Reader(archive, path)
            if reader.contents.get("kind") != kind:
                raise KeepingError(f"{path} is no {kind}: it says that it is {reader.contents.get('kind')!r}.")
            yield reader
    except (zipfile.BadZipFile, NotImplementedError, EOFError, struct.error, UnicodeDecodeError) as error:
        raise KeepingError(f"{path} is not a ZIP file, or is damaged ({error}).") from error
    except OSError as error:
        raise KeepingError(f"{path}: {error.strerror or error}.") from error
