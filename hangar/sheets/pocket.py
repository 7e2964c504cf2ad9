"""The pocket card: what one checks before a launch, four to a page; on the back, flights to be typed in later."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from hangar.setups.models import Revision
from mixing.document import Setup

from . import pdf
from .checks import Check, direction_steps, phase_checks
from .heading import Heading, heading_of
from .labels import with_short_labels
from .lost import failsafe_check
from .models import Print
from .parts import LoadRow, Stowed, balance_range, load_rows, stowed
from .qr import qr_code
from .render import QR_TITLE
from .stored import key_of, stored

# A quarter of the member's paper.
QUARTERS = {"a4": "a6", "letter": "quarter_letter"}
# From roomy to close: the class in the style sheet, and how many characters of a name are printed.
SETTINGS = (("roomy", 40), ("even", 30), ("close", 24), ("closest", 18))
SLIPS = range(3)
CARDS = range(4)


@dataclass(frozen=True)
class PocketContent:
    """The computed part of a pocket card."""

    stowed: list[Stowed]
    checks: list[Check]
    phases: list[Check]
    failsafe: str
    loads: list[LoadRow]
    balance: str


def pocket_content(full: Setup, length: int) -> PocketContent:
    """What one checks, in the order in which one does, with names of up to `length` characters."""
    setup = with_short_labels(full, length)
    return PocketContent(
        stowed=stowed(setup),
        checks=[step.check for step in direction_steps(setup)],
        phases=list(phase_checks(setup)),
        failsafe=failsafe_check(setup),
        loads=load_rows(setup),
        balance=balance_range(setup),
    )


def card_html(heading: Heading, setup: Setup, setting: int, *, paper: str, cards: Sequence[int] = CARDS) -> str:
    """The page: fronts, then backs, for one setting; a single card where `cards` has one."""
    name, length = SETTINGS[setting]
    ctx = {
        "heading": heading, "content": pocket_content(setup, length), "setting": name, "cards": cards, "slips": SLIPS,
        "alone": len(cards) == 1, "paper": paper,
        "qr": qr_code(heading.asks, title=_(QR_TITLE)) if heading.asks else "",
    }  # fmt: skip
    return render_to_string("sheets/pocket_card.html", ctx)


def render_cards(heading: Heading, setup: Setup, paper: str) -> pdf.Rendered:
    """Fronts on the first page and backs on the second; where one card holds too little, small pages one by one."""
    for setting in range(len(SETTINGS)):
        front = card_html(heading, setup, setting, paper=paper, cards=[0])
        if pdf.pages_of(front, sheet="pocket", paper=QUARTERS[paper]) == 1:
            return pdf.render([partial(card_html, heading, setup, setting, paper=paper)], sheet="pocket", paper=paper)
    flowing = partial(card_html, heading, setup, len(SETTINGS) - 1, paper=paper, cards=[0])
    return pdf.render([flowing], sheet="pocket", paper=QUARTERS[paper])


def pocket_card_pdf(revision: Revision, *, paper: str = "a4", copy: Print | None = None, base: str = "") -> bytes:
    """Four pocket cards of one revision on `paper`.

    Raises
    ------
    ValueError
        There is no such paper.
    """
    if paper not in QUARTERS:
        raise ValueError(f"There is no paper {paper!r}; give {' or '.join(QUARTERS)}.")
    heading = heading_of(revision, copy, base)
    said = [heading.airframe, heading.mark, heading.number, heading.verdict, heading.asks, heading.copy_number,
            heading.outdated, [line.__dict__ for line in heading.entered]]  # fmt: skip
    key = key_of("pocket card", paper, revision.document_id, said)
    return stored(key, lambda: render_cards(heading, revision.setup, paper).content)
