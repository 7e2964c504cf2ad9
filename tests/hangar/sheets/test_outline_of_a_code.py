"""The dark modules of a QR code as one shape: the same modules, and only corners in its path."""

import re

import pytest

from hangar.sheets import qr
from tests.hangar.pictures.reading import dark_runs

# Modules that touch with a corner, a ring with a module inside, a full row, an empty one.
TOUCHING = ("1010", "0101", "0011", "1111")
RING = ("11111", "10001", "10101", "10001", "11111")
FULL = ("111", "000", "101")


@pytest.mark.parametrize("drawn", [TOUCHING, RING, FULL, ("1",)])
def test_the_shape_holds_the_dark_modules(drawn: tuple[str, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    rows = tuple(tuple(map(int, row)) for row in drawn)
    monkeypatch.setattr(qr, "_modules", lambda _text: rows)
    found = {
        (x - qr.QUIET, y - qr.QUIET) for y, start, end in dark_runs(qr.qr_code("", title="")) for x in range(start, end)
    }
    assert found == {(x, y) for y, row in enumerate(drawn) for x, module in enumerate(row) if module == "1"}


def test_a_block_of_modules_takes_four_corners(monkeypatch: pytest.MonkeyPatch) -> None:
    """No edge runs between two dark modules, where a gap could show."""
    monkeypatch.setattr(qr, "_modules", lambda _text: ((1, 1, 0), (1, 1, 0), (0, 0, 0)))
    assert re.findall(r' d="(M[^"]*)"', qr.qr_code("", title=""))[-1] == "M4 4H6V6H4"
