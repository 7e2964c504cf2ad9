"""Which revision an address or a form asks for by its number."""

from django.http import Http404

from hangar.fleet.models import Airframe
from hangar.setups.history import get_revision_of
from hangar.setups.models import Revision


def number_in(text: str) -> int | None:
    """The number, of a revision or of a row, that a text is; None where it is none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else None


def revision_asked(airframe: Airframe, text: str) -> Revision:
    """The revision of that number; Http404 where there is none, or where the text is no number."""
    number = number_in(text)
    if number is None:
        raise Http404(f"There is no revision {text[:20]!r}.")
    return get_revision_of(airframe, number)
