"""Which revision a page is about: the one that its address or form asks for by number, else the one that is flown."""

from django.http import Http404

from hangar.fleet.models import Airframe
from hangar.setups.history import current_head, currently_entered, get_revision_of
from hangar.setups.models import Revision


def number_in(text: str) -> int | None:
    """The number, of a revision or of a row, that a text is; None where it is none.

    >>> number_in("12"), number_in("1e3"), number_in("−1")
    (12, None, None)
    """
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else None


def revision_asked(airframe: Airframe, text: str) -> Revision:
    """The revision of that number; Http404 where there is none, or where the text is no number."""
    number = number_in(text)
    if number is None:
        raise Http404(f"There is no revision {text[:20]!r}.")
    return get_revision_of(airframe, number)


def flown_now(airframe: Airframe) -> Revision:
    """What is in the transmitter, else the current revision; Http404 where there is no setup."""
    entered = currently_entered(airframe)
    found = entered.revision if entered is not None else current_head(airframe)
    if found is None:
        raise Http404(f"{airframe} has no setup yet.")
    return found
