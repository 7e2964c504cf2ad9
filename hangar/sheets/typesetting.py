"""What the PDF renderer itself is asked for. Loading it takes as long as many pages: only who prints imports this."""

from functools import cache
from xml.etree import ElementTree

from .libraries import looked_up_quickly

with looked_up_quickly():
    from cssselect2 import ElementWrapper
    from weasyprint import CSS, HTML, Document
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import FatalURLFetchingError

from . import quicker
from .fetcher import SCHEME, SheetFetcher
from .quicker.texts import texts_of

quicker.put_in_place()

__all__ = ["Document", "FatalURLFetchingError", "layout"]

_DOCTYPE = "<!doctype html>"


class Page(HTML):
    """A sheet as the renderer takes it, read and styled with little ado.

    Our templates write every element out, so that a reader of XML reads them, which is in C and takes a twentieth of
    the time of one that forgives all that is wrong in a web page. What it cannot read goes to the other one.
    """

    def __init__(self, html: str, fetcher: SheetFetcher) -> None:
        try:
            root = ElementTree.fromstring(html.removeprefix(_DOCTYPE))
        except ElementTree.ParseError:
            super().__init__(string=html, url_fetcher=fetcher)
            return
        self.base_url, self.url_fetcher, self.media_type = None, fetcher, "print"
        self.wrapper_element = ElementWrapper.from_html_root(root, content_language=None)
        self.etree_element = self.wrapper_element.etree_element

    def _ua_stylesheets(self, forms: bool = False) -> list[CSS]:
        return [_elements()]


@cache
def _fonts() -> FontConfiguration:
    return FontConfiguration()


def _css(sheet: str) -> CSS:
    # It may bring fonts, with which a text is another.
    texts_of(_fonts()).forget()
    return CSS(url=f"{SCHEME}:sheets/{sheet}.css", url_fetcher=SheetFetcher(), font_config=_fonts())


@cache
def _elements() -> CSS:
    return _css("elements")


@cache
def _styles(sheet: str, page: str) -> list[CSS]:
    paper = CSS(string=f"@page {{ {page} }}", url_fetcher=SheetFetcher(), font_config=_fonts())
    return [_css(sheet), paper]


def layout(html: str, *, sheet: str, page: str, photo: bytes) -> Document:
    """A sheet on its pages; `page` are the declarations of its paper."""
    source = Page(html, SheetFetcher(photo))
    return source.render(font_config=_fonts(), stylesheets=_styles(sheet, page), pdf_variant="pdf/ua-1", pdf_tags=True)
