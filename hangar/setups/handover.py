"""What goes with a model to its next owner, as a file: written without a word about people, read again elsewhere."""

from typing import Any

import rfc8785
from django.utils.translation import gettext as _

from mixing import Setup, SetupError
from mixing.errors import Problem
from mixing.reading import parse

VERSION = 1


def without_people(setup: Setup) -> Setup:
    """The document as it is handed over: remarks are free text, in which people may be named."""
    return setup.changed(remarks="")


def written(told: dict[str, Any], setup: Setup) -> bytes:
    """The file: what is told of the model, and its setup."""
    return rfc8785.dumps({"handover": VERSION, **told, "setup": without_people(setup).data()})


def read_handover(text: bytes) -> Setup:
    """The setup in a file that was handed over, or in a plain setup document. Everything else in it was measured by
    someone else, and is for reading only.

    Raises
    ------
    SetupError
        With every problem found.
    """
    found = parse(text)
    if not isinstance(found, dict) or "handover" not in found:
        return Setup.from_text(text)
    if found["handover"] != VERSION:
        told = _("is {given}; this site reads version {version}")
        raise SetupError([Problem("handover", told.format(given=repr(found["handover"])[:40], version=VERSION))])
    if "setup" not in found:
        raise SetupError([Problem("setup", _("is missing: this handover has no setup in it"))])
    return Setup.from_text(rfc8785.dumps(found["setup"]))
