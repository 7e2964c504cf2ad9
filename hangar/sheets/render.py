"""A revision as a sheet: HTML for the renderer, and the PDF."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from functools import cached_property, partial

from django.template.loader import render_to_string
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from hangar.fleet.lookups import current_fitting
from hangar.fleet.models import StickMode, Transmitter
from hangar.languages.speaking import INCH, unit_of_length
from hangar.setups.dial_in import conventions_of, transmitter_of
from hangar.setups.findings import findings
from hangar.setups.models import Revision
from mixing import Conventions, Finding, Setup

from . import pdf
from .content import Contents, cut
from .heading import Heading, heading_of
from .models import Print
from .photo import SheetPhoto, photo_of
from .qr import qr_code
from .spacings import SPACINGS, Spacing, likely, spare_letters
from .stored import key_of, stored

_REASON = 240
UNKNOWN = Conventions()
QR_TITLE = gettext_noop("QR code of the page that says whether this sheet is still good")


def findings_told(found: Sequence[Finding], length: int) -> list[tuple[str, str, str]]:
    """(severity, its word, the sentence of at most `length` characters) of each."""
    words = {"warning": _("Warning"), "caution": _("Caution"), "note": _("Note")}
    return [(one.severity, words[one.severity], cut(one.text, length)) for one in found]


@dataclass(frozen=True)
class Sheet:
    """All that goes on one setup sheet: its head, the setup, and what the audit finds, the worst first."""

    heading: Heading
    setup: Setup
    findings: Sequence[Finding] = ()
    conventions: Conventions = UNKNOWN
    transmitter: str = ""
    photo: SheetPhoto | None = None

    def html(self, spacing: Spacing, letters: int = 0) -> str:
        """The page for one spacing, with so many letters of notes besides those that it always has room for."""
        shown = self._told[: spacing.findings]
        ctx = {
            "heading": self.heading,
            "photo": self.photo if self.photo is not None and self.photo.jpeg and spacing.gives else None,
            "qr": qr_code(self.heading.asks, title=_(QR_TITLE)) if self.heading.asks else "",
            "reason": cut(self.heading.reason, _REASON),
            "content": self._contents.at(spacing, letters=letters),
            "transmitter": self.transmitter,
            "stick_modes": StickMode.values,
            "spacing": spacing,
            "findings": findings_told(shown, spacing.finding),
            "inches": unit_of_length() == INCH,
            "more": len(self._told) - len(shown),
        }
        return render_to_string("sheets/setup_sheet.html", ctx)

    @cached_property
    def _contents(self) -> Contents:
        return Contents(self.setup, self.conventions)

    @cached_property
    def _told(self) -> list[Finding]:
        """Warnings and cautions; a note is for the bench, not for the field."""
        return [finding for finding in self.findings if finding.severity != "note"]

    def render(self, paper: str) -> pdf.Rendered:
        """The PDF on one page, or on more where it fits none."""
        pages = [partial(self.page, place, paper) for place in range(len(SPACINGS))]
        photo = self.photo.jpeg if self.photo is not None else b""
        return pdf.render(pages, sheet="sheet", paper=paper, first=self.guess(paper), photo=photo)

    def page(self, place: int, paper: str) -> str:
        """The page for one place in SPACINGS, with the notes as long as the one that most likely fits has room for."""
        letters = spare_letters(*self._size, paper) if place == self.guess(paper) else 0
        return self.html(SPACINGS[place], letters)

    def guess(self, paper: str) -> int:
        """The place in SPACINGS of the setting that most likely fills one page."""
        return likely(*self._size, paper)

    @cached_property
    def _size(self) -> tuple[float, int]:
        """About how many lines the sheet takes, and how many less where pairs are mirrored."""
        content = self._contents.at(SPACINGS[0], drawn=False)
        told = min(len(self._told), SPACINGS[0].findings)
        return content.lines + 1.2 * told + 3 * bool(told), content.mirrored_rows


@dataclass(frozen=True)
class Facts:
    """What a sheet of one revision is made from, read in a few queries and without computing anything."""

    revision: Revision
    heading: Heading
    receiver_channels: int | None
    transmitter: Transmitter | None
    photo: SheetPhoto | None = None

    def key(self, paper: str) -> str:
        """A key of everything printed: the same key is the same sheet, byte by byte.

        What is computed follows from the document, the receiver's channels, the transmitter and the program.
        """
        figures = self.transmitter.signal_figures if self.transmitter is not None else None
        return key_of(
            "sheet", paper, self.revision.document_id, asdict(self.heading), self.receiver_channels,
            str(self.transmitter), figures, asdict(conventions_of(self.transmitter)),
            self.photo.printed if self.photo is not None else None,
        )  # fmt: skip

    def sheet(self) -> Sheet:
        """The sheet, with its setup audited."""
        setup = self.revision.setup
        found = findings(setup, receiver_channels=self.receiver_channels)
        name = str(self.transmitter) if self.transmitter is not None else ""
        return Sheet(self.heading, setup, found, conventions_of(self.transmitter), name, self.photo)

    def pdf(self, paper: str) -> bytes:
        """The sheet as PDF: that which was made before, where nothing that is printed has changed since."""
        return stored(self.key(paper), lambda: self.sheet().render(paper).content)


def facts_of(revision: Revision, copy: Print | None = None, base: str = "") -> Facts:
    """How things stand now; `base` is the address of the site, for the QR code of a copy."""
    fitting = current_fitting(revision.airframe)
    channels = fitting.receiver.channels if fitting is not None else None
    heading = heading_of(revision, copy, base)
    return Facts(revision, heading, channels, transmitter_of(revision.airframe), photo_of(revision.airframe))


def setup_sheet_pdf(revision: Revision, *, paper: str = "a4", copy: Print | None = None, base: str = "") -> bytes:
    """The setup sheet of one revision as a PDF: on one page wherever it fits one.

    This takes some tenths of a second where the sheet was not made before: call it outside of a transaction.
    """
    return facts_of(revision, copy, base).pdf(paper)
