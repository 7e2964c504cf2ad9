"""A revision as a sheet: HTML for the renderer, and the PDF."""

from collections.abc import Callable, Sequence
from typing import Any

from django.template.loader import render_to_string

from hangar.setups.models import Revision

from . import pdf
from .content import SPACINGS, Spacing, content_of, cut
from .heading import Heading, heading_of
from .models import Print

_REASON = 240


def setup_sheet_html(revision: Revision, *, spacing: Spacing = SPACINGS[0], copy: Print | None = None) -> str:
    """The setup sheet of one revision as an HTML page, for one spacing.

    The page asks only for addresses of our own scheme: it is for the PDF renderer, not for a browser.
    """
    return _html(revision, heading_of(revision, copy), spacing)


def setup_sheet_pdf(revision: Revision, *, paper: str = "a4", copy: Print | None = None) -> bytes:
    """The setup sheet of one revision as a PDF: on one page wherever it fits one.

    This takes some tenths of a second: call it outside of a transaction.
    """
    heading = heading_of(revision, copy)
    pages = [_later(revision, heading, spacing) for spacing in SPACINGS]
    return pdf.render(pages, sheet="sheet", paper=paper).content


def _later(revision: Revision, heading: Heading, spacing: Spacing) -> Callable[[], str]:
    return lambda: _html(revision, heading, spacing)


def _html(revision: Revision, heading: Heading, spacing: Spacing) -> str:
    return sheet_html(heading, content_of(revision.setup, spacing), spacing, ())


def sheet_html(heading: Heading, content: Any, spacing: Spacing, findings: Sequence[Any]) -> str:
    """The page from its parts."""
    ctx = {
        "heading": heading,
        "reason": cut(heading.reason, _REASON),
        "content": content,
        "spacing": spacing,
        "findings": findings,
    }
    return render_to_string("sheets/setup_sheet.html", ctx)
