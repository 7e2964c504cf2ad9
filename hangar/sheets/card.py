"""The change card: what to enter on the transmitter to get from one revision to another, in the channels' order."""

from dataclasses import dataclass

from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from hangar.setups.entries import channel_of, steps
from hangar.setups.models import Entered, Revision
from mixing import Change
from mixing.document import Setup

from . import pdf
from .heading import copy_words, when_words
from .models import Print
from .qr import address_of, base_address, qr_code
from .render import QR_TITLE

# Half of the member's paper: a card that is held beside the transmitter.
HALVES = {"a4": "a5", "letter": "half_letter"}


@dataclass(frozen=True)
class Entry:
    """One thing to enter: on which channel, what stands there, what to enter, and what the surfaces then do."""

    channel: int | None
    label: str
    before: str
    after: str
    effect: str


@dataclass(frozen=True)
class Card:
    """The changes of a card, by where they are made."""

    transmitter: tuple[Entry, ...]
    model: tuple[Entry, ...]
    record: tuple[Entry, ...]
    trims_again: bool


@dataclass(frozen=True)
class CardHeading:
    """The head of a card, in words."""

    airframe: str
    mark: str
    before: int
    after: int
    transmitter: str
    memory: str
    entered: str
    unproven: bool
    reason: str
    seal: str
    copy: str
    copy_number: int


def card_of(before: Setup, after: Setup) -> Card:
    """Everything that leads from `before` to `after`: whole channels first, then each channel from the lowest on. As on
    the screen, the throws of the entries are those on the model of `after`."""
    found = steps(before, after)
    return Card(_entries(found.transmitter), _entries(found.model), _entries(found.record), found.trims_again)


def _entries(changes: tuple[Change, ...]) -> tuple[Entry, ...]:
    return tuple(Entry(channel_of(one.path), one.label, one.before, one.after, one.effect) for one in changes)


def change_card_html(
    before: Revision, after: Revision, *, entered: Entered | None = None, copy: Print | None = None, base: str = ""
) -> str:
    """The change card from one revision to another as an HTML page for the PDF renderer.

    `entered` is the record of `before` being on a transmitter, None where nobody wrote that down; `base` is the address
    of the site. A numbered card has a code as a sheet has: one that stays in the box may be entered weeks later, when
    it leads to a setup that was given up since.
    """
    heading = CardHeading(
        airframe=after.airframe.name,
        mark=after.airframe.mark,
        before=before.number,
        after=after.number,
        transmitter=str(entered.transmitter) if entered else "",
        memory=entered.model_memory if entered else "",
        entered=when_words(entered.at) if entered else "",
        unproven=entered is None or not entered.transmitter.signs_proven,
        reason=after.reason,
        seal=after.seal[:8],
        copy=copy_words(copy) if copy is not None else "",
        copy_number=copy.copy if copy is not None else 0,
    )
    qr = qr_code(address_of(copy, base or base_address()), title=_(QR_TITLE)) if copy is not None else ""
    ctx = {"heading": heading, "card": card_of(before.setup, after.setup), "qr": qr}
    return render_to_string("sheets/change_card.html", ctx)


def change_card_pdf(
    before: Revision,
    after: Revision,
    *,
    entered: Entered | None = None,
    paper: str = "a4",
    copy: Print | None = None,
    base: str = "",
) -> bytes:
    """The change card as a PDF on half of `paper`, on as many pages as the changes need.

    Raises
    ------
    ValueError
        There is no such paper.
    """
    if paper not in HALVES:
        raise ValueError(f"There is no paper {paper!r}; give {' or '.join(HALVES)}.")
    html = change_card_html(before, after, entered=entered, copy=copy, base=base)
    return pdf.render([lambda: html], sheet="card", paper=HALVES[paper]).content
