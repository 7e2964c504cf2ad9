"""The QR code of a copy as a picture, large enough for a phone at arm's length in the sun."""

import itertools
from functools import lru_cache

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse
from django.utils.html import escape

from hangar.pictures.svg import INK, PAPER

from .models import Print

SIDE_MM = 18.6
"""How wide the code is without its quiet zone [mm]; more only where its modules would be too fine to read."""
_LEAST_MODULE_MM = 0.42
# ISO/IEC 18004, 5.3.8: a quiet zone of four modules on every side.
QUIET = 4
_LOCAL = "http://localhost:8000/"


def base_address(request: HttpRequest | None = None) -> str:
    """Where the site stands, for what leaves it on paper: from the settings, else as this browser calls it."""
    given: str = settings.HANGAR_BASE_URL
    if given:
        return given.rstrip("/") + "/"
    return request.build_absolute_uri("/") if request is not None else _LOCAL


def address_of(copy: Print, base: str) -> str:
    """The page that tells whether a copy is still good."""
    return base.rstrip("/") + reverse("sheets:still_good", args=[copy.token])


# Asked for twice in a row; every copy has another text, so that keeping all would grow with each sheet.
@lru_cache(maxsize=8)
def _modules(text: str) -> tuple[tuple[int, ...], ...]:
    import segno  # only who prints waits for it to be loaded

    code = segno.make(text, error="m", micro=False)
    return tuple(tuple(row) for row in code.matrix)


def side_mm(text: str) -> float:
    """How wide the code is without its quiet zone [mm]."""
    return max(SIDE_MM, len(_modules(text)) * _LEAST_MODULE_MM)


def qr_code(text: str, *, title: str) -> str:
    """`text` as a QR code of error level M or better, with its quiet zone, as one `<svg>` element.

    All dark modules are one shape, so that neither printer nor screen leaves gaps between them.
    """
    rows = _modules(text)
    modules = len(rows)
    module = side_mm(text) / modules
    size, whole = modules + 2 * QUIET, round((modules + 2 * QUIET) * module, 3)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size} {size}" width="{whole}mm" height="{whole}mm" '
        f'role="img" shape-rendering="crispEdges"><title>{escape(title)}</title>'
        f'<path d="M0 0h{size}v{size}h-{size}z" fill="{PAPER}"/>'
        f'<path d="{_outline(rows)}" fill="{INK}" fill-rule="evenodd"/></svg>'
    )


def _outline(rows: tuple[tuple[int, ...], ...]) -> str:
    """The edge of all dark modules as a path, to be filled by the even-odd rule.

    Along every line of the grid, corners are the ends of edges by turns: the first with the second, the third with
    the fourth. Going along a row and along a column by turns leads round.
    """
    corners = _corners(rows)
    by_column = sorted(range(len(corners)), key=corners.__getitem__)
    place = {corner: i for i, corner in enumerate(by_column)}
    left, path = set(range(len(corners))), []
    for start in range(len(corners)):
        if start not in left:
            continue
        corner = start
        path.append("M{} {}".format(*corners[corner]))
        while True:
            across = corner ^ 1
            left -= {corner, across}
            path.append(f"H{corners[across][0]}")
            corner = by_column[place[across] ^ 1]
            if corner == start:
                break
            path.append(f"V{corners[corner][1]}")
    return "".join(path)


def _corners(rows: tuple[tuple[int, ...], ...]) -> list[tuple[int, int]]:
    """Where the edge of the dark modules turns, row by row; twice where two modules touch with a corner."""
    light = (0,) * (len(rows) + 2)
    bordered = [light, *((0, *row, 0) for row in rows), light]
    corners = []
    for y, (above, below) in enumerate(itertools.pairwise(bordered), QUIET):
        turns = zip(above, above[1:], below, below[1:], strict=False)
        for x, (one, two, three, four) in enumerate(turns, QUIET):
            if one ^ two ^ three ^ four:
                corners.append((x, y))
            elif one not in (two, three):
                corners += [(x, y), (x, y)]
    return corners
