"""The QR code of a sheet against the sizes and capacities of ISO/IEC 18004, and read by another project's decoder."""

import re

import pytest
import zxingcpp
from PIL import Image, ImageDraw

from hangar.sheets.qr import QUIET, qr_code
from tests.hangar.pictures.reading import dark_runs

from .reference import cases

CASES = cases("qr")
SIZES = dict(zip(CASES["L01"]["inputs"]["version"], CASES["L01"]["expected"], strict=True))
CAPACITY = {int(version): count for version, count in CASES["L02"]["inputs"]["level_M"].items()}
TEXTS = list(zip(CASES["L03"]["inputs"]["texts"], CASES["L03"]["expected"], strict=True))
DOTS = 6


def side(text: str) -> int:
    """Modules of the whole drawing, with the quiet zone."""
    (found,) = re.findall(r'viewBox="0 0 (\d+) \1"', qr_code(text, title="code"))
    return int(found)


def picture(text: str) -> Image.Image:
    """The drawing as a picture: its dark modules, nothing else."""
    whole = side(text) * DOTS
    image = Image.new("L", (whole, whole), 255)
    draw = ImageDraw.Draw(image)
    for row, start, end in dark_runs(qr_code(text, title="code")):
        draw.rectangle((start * DOTS, row * DOTS, end * DOTS - 1, row * DOTS + DOTS - 1), fill=0)
    return image


@pytest.mark.parametrize("version", sorted(SIZES.keys() & CAPACITY.keys()))
def test_sizes_and_capacities_are_those_of_the_standard(version: int) -> None:
    """A code of level M: what a version just holds takes its size, one byte more takes the next one."""
    modules, whole, _ = SIZES[version]
    assert modules + 2 * QUIET == whole
    assert side("a" * CAPACITY[version]) == whole, CASES["L01"]["source"]
    if version == 40:
        with pytest.raises(ValueError, match="too large"):
            side("a" * (CAPACITY[version] + 1))
    else:
        assert side("a" * (CAPACITY[version] + 1)) == whole + 4, CASES["L02"]["source"]


@pytest.mark.parametrize(("text", "expected"), TEXTS)
def test_what_is_written_is_read_back(text: str, expected: dict[str, int]) -> None:
    assert side(text) == expected["modules"] + 2 * QUIET
    (code,) = zxingcpp.read_barcodes(picture(text))
    assert code.text == text
    assert code.format == zxingcpp.BarcodeFormat.QRCode
    # The level may only be better than M.
    assert code.ec_level in ("M", "Q", "H")
