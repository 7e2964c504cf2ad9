"""What the PDF renderer itself is asked for. Loading it takes as long as many pages: only who prints imports this."""

from functools import cache

from .libraries import looked_up_quickly

with looked_up_quickly():
    from weasyprint import CSS, HTML, Document
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import FatalURLFetchingError

from .fetcher import SCHEME, SheetFetcher

__all__ = ["Document", "FatalURLFetchingError", "layout"]


@cache
def _fonts() -> FontConfiguration:
    return FontConfiguration()


@cache
def _styles(sheet: str, page: str) -> list[CSS]:
    return [
        CSS(url=f"{SCHEME}:sheets/{sheet}.css", url_fetcher=SheetFetcher(), font_config=_fonts()),
        CSS(string=f"@page {{ {page} }}", url_fetcher=SheetFetcher(), font_config=_fonts()),
    ]


def layout(html: str, *, sheet: str, page: str, photo: bytes) -> Document:
    """A sheet on its pages; `page` are the declarations of its paper."""
    source = HTML(string=html, url_fetcher=SheetFetcher(photo))
    return source.render(font_config=_fonts(), stylesheets=_styles(sheet, page), pdf_variant="pdf/ua-1", pdf_tags=True)
