"""Whatever byte of an archive is damaged, reading it gives what was written, or says that it is damaged."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from hangar.keeping.archive import reading, writing
from hangar.keeping.errors import KeepingError

KIND = "Hingeline backup"
FILES = {"tables/one.json": b'[{"label": "Elevator"}]' * 20, "media/airframes/two.jpg": bytes(range(256))}


@pytest.fixture
def archive(tmp_path: Path) -> bytes:
    with writing(tmp_path / "whole.zip", {"kind": KIND}) as writer:
        for name, content in FILES.items():
            writer.add(name, content)
    return (tmp_path / "whole.zip").read_bytes()


def read(path: Path, content: bytes) -> dict[str, bytes] | None:
    """All that can be read; None where that is refused."""
    path.write_bytes(content)
    try:
        with reading(path, kind=KIND) as reader:
            return {name: reader.read(name) for name in FILES}
    except KeepingError as refused:
        return None if str(path) in str(refused) else {}


def damaged(content: bytes) -> Iterator[bytes]:
    """One byte changed in two ways, at each place; and cut off there."""
    for place, byte in enumerate(content):
        for other in (byte ^ 0xFF, byte ^ 0x01):
            yield content[:place] + bytes([other]) + content[place + 1 :]
        yield content[:place]


def test_it_is_read_as_it_was_written_or_refused(archive: bytes, tmp_path: Path) -> None:
    assert read(tmp_path / "x.zip", archive) == FILES
    answers = [read(tmp_path / "x.zip", content) for content in damaged(archive)]
    assert all(answer in (None, FILES) for answer in answers)
    assert answers.count(None) > len(answers) / 2
