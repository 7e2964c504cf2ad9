"""The pictures of the README: there, of the script that takes them, and small."""

import re
from pathlib import Path

from PIL import Image

from tests.browser.pictures_for_readme import FOLDER, MOST_BYTES, PICTURES

README = Path(__file__).resolve().parents[2] / "README.md"


def test_the_readme_shows_the_pictures_that_the_script_takes() -> None:
    shown = re.findall(r"!\[([^\]]+)\]\(([^)]+)\)", README.read_text(encoding="utf-8"))
    assert [address for _, address in shown] == [f".pictures/{picture.name}" for picture in PICTURES]
    assert all(len(words) > 20 for words, _ in shown)


def test_they_are_small() -> None:
    files = sorted(FOLDER.iterdir())
    assert [file.name for file in files] == sorted(picture.name for picture in PICTURES)
    assert sum(file.stat().st_size for file in files) < MOST_BYTES
    for file in files:
        with Image.open(file) as image:
            assert image.format == "PNG"
            assert image.width == 1280
