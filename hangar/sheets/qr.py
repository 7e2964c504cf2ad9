"""The QR code of a copy as a picture, large enough for a phone at arm's length in the sun."""

from functools import lru_cache

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse

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

    Dark runs of a row are one rectangle each, so that no printer leaves gaps between the modules.
    """
    rows = _modules(text)
    modules = len(rows)
    module = side_mm(text) / modules
    size, whole = modules + 2 * QUIET, round((modules + 2 * QUIET) * module, 3)
    path = "".join(
        f"M{start + QUIET} {y + QUIET}h{end - start}v1h-{end - start}z"
        for y, row in enumerate(rows)
        for start, end in _runs(row)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size} {size}" width="{whole}mm" height="{whole}mm" '
        f'role="img" shape-rendering="crispEdges"><title>{title}</title>'
        f'<path d="M0 0h{size}v{size}h-{size}z" fill="{PAPER}"/><path d="{path}" fill="{INK}"/></svg>'
    )


def _runs(row: tuple[int, ...]) -> list[tuple[int, int]]:
    """(start, end) of every run of dark modules."""
    edges = [x for x in range(len(row) + 1) if (row[x - 1] if x else 0) != (row[x] if x < len(row) else 0)]
    return list(zip(edges[::2], edges[1::2], strict=True))
