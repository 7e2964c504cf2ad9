"""What the PDF renderer may read: our style sheets and the font's files, and nothing else in the world.

Texts on a sheet come from members. Were one of them ever to reach the renderer as markup, an image or a link in it
must neither read a file of this machine nor call another one.
"""

import mimetypes
from pathlib import Path

import font_source_sans_pro
from weasyprint.urls import URLFetcher, URLFetcherResponse

SCHEME = "hingeline"
PHOTO = f"{SCHEME}:photo"
_STATIC = Path(__file__).resolve().parent.parent / "static" / "sheets"


def _allowed() -> dict[str, Path]:
    fonts = {f"{SCHEME}:font/{Path(path).name}": Path(path) for path in font_source_sans_pro.font_files_ttf.values()}
    sheets = {f"{SCHEME}:sheets/{path.name}": path for path in _STATIC.glob("*.css")}
    return {**fonts, **sheets}


class RefusedAddress(ValueError):
    """An address that a sheet may not read."""


class SheetFetcher(URLFetcher):
    """Answers addresses of our own scheme from a fixed list of files; refuses every other one.

    `photo` is the JPEG of the one sheet that this fetcher is for.
    """

    def __init__(self, photo: bytes = b"") -> None:
        super().__init__(allowed_protocols=frozenset({"data"}), allow_redirects=False, fail_on_errors=True)
        self._files = _allowed()
        self._photo = photo

    def fetch(self, url: str, headers: dict[str, str] | None = None) -> URLFetcherResponse:
        """The file that `url` names.

        Raises
        ------
        RefusedAddress
            `url` is not on the list.
        """
        if url == PHOTO and self._photo:
            return URLFetcherResponse(url, self._photo, {"Content-Type": "image/jpeg"})
        path = self._files.get(url)
        if path is None:
            # What was asked for may be megabytes long.
            raise RefusedAddress(f"a sheet may not read {url[:80]!r}; it reads only {SCHEME}: addresses of ours")
        kind = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
        return URLFetcherResponse(url, path.read_bytes(), {"Content-Type": kind})
