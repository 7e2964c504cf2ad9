"""DEVELOPERS.md names no file that is gone, and every file of the computation."""

import re
from pathlib import Path

TOP = Path(__file__).parents[2]
TEXT = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")
FOLDERS = ("mixing", "hangar", "templates", "fixtures", "tests", ".ci")
# With a star for several: "wiring*.py".
NAMED = sorted(set(re.findall(r"`([\w./*-]+\.(?:py|html|css|js))`", TEXT)))


def test_every_file_that_is_named_is_there() -> None:
    assert len(NAMED) > 50
    gone = [
        name for name in NAMED
        if not list(TOP.glob(name)) and not any(next((TOP / one).rglob(name), None) for one in FOLDERS)
    ]  # fmt: skip
    assert gone == []


def test_every_file_of_the_computation_is_named() -> None:
    files = {path.name for path in (TOP / "mixing").glob("*.py")} - {"__init__.py"}
    assert sorted(files - set(re.findall(r"\w+\.py", TEXT))) == []
