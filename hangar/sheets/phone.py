"""The sheet as one file to keep on a phone, for a field without a signal: it needs nothing but itself."""

import base64
import hashlib
from functools import cache
from pathlib import Path

from django.template.loader import render_to_string
from django.utils import timezone

from hangar.languages.speaking import INCH, unit_of_length

from .content import content_of
from .heading import when_words
from .render import Facts, findings_told
from .spacings import PHONE

_STYLE = Path(__file__).resolve().parent.parent / "static" / "sheets" / "phone.css"


@cache
def _style() -> tuple[str, str]:
    """The style sheet, and what the policy of the file allows: this one and no other."""
    text = _STYLE.read_text(encoding="utf-8")
    return text, "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def phone_page(facts: Facts) -> str:
    """The whole file. It says of which day and revision it is, and that it may be out of date."""
    sheet, (style, allowed) = facts.sheet(), _style()
    ctx = {
        "heading": facts.heading, "content": content_of(sheet.setup, PHONE, sheet.conventions),
        "findings": findings_told([one for one in sheet.findings if one.severity != "note"], 10_000),
        "inches": unit_of_length() == INCH,
        "transmitter": sheet.transmitter, "spacing": PHONE, "style": style, "allowed": allowed,
        "made": when_words(timezone.now()),
    }  # fmt: skip
    return render_to_string("sheets/phone.html", ctx)
