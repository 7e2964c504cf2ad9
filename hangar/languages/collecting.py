"""Collects the texts to translate from Python and from templates, and keeps the files of translations up with them."""

import io
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from django.utils.translation.template import templatize

from .areas import AREAS, TOP, files, translation

_KEYWORDS: dict[str, Any] = {
    "_": None,
    "gettext": None,
    "gettext_lazy": None,
    "gettext_noop": None,
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2),
    "pgettext_lazy": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
    "say": None,
    "say_count": (1, 2),
    "later": None,
}


def collected(area: str, top: Path = TOP) -> Catalog:
    """All texts of an area, with the files in which they stand."""
    catalog = Catalog()
    for path in files(area, top):
        for text, context in _texts(path):
            catalog.add(text, context=context, locations=[(str(path.relative_to(top)), 0)])
    return catalog


def _texts(path: Path) -> Iterator[tuple[Any, str | None]]:
    source = path.read_text(encoding="utf-8")
    if path.suffix != ".py":
        # What is left of a template is no Python; in brackets its lines may begin anywhere.
        source = f"({templatize(source, origin=str(path))})"
    for _line, text, _comments, context in extract("python", io.BytesIO(source.encode()), keywords=_KEYWORDS):
        yield text, context


def translated(area: str, language: str) -> Catalog:
    """What is translated of an area now."""
    path = translation(area, language)
    if not path.exists():
        return Catalog(locale=language)
    with path.open("rb") as file:
        return read_po(file, locale=language)


def brought_up(area: str, language: str) -> Catalog:
    """An area's translation with every text that it has today: new ones empty, or as another area says them.

    An area that stands before this one has the word, as it has on the pages.
    """
    known_first = [translated(one, language) for one in AREAS]
    after = Catalog(locale=language, fuzzy=False)
    for message in collected(area):
        if not message.id:
            continue
        known = next((one for one in (_said(catalog, message) for catalog in known_first) if one), "")
        after.add(message.id, known or None, context=message.context, locations=message.locations)
    return after


def _said(catalog: Catalog, message: Message) -> Any:
    found = catalog.get(message.id, message.context)
    # One area may count what another names: "flap" and "{count} flaps" is another text than "flap" alone.
    return found.string if found is not None and found.id == message.id and said(found) else ""


def said(message: Message) -> bool:
    """Whether a message is translated, in all its forms."""
    forms = message.string if isinstance(message.string, list | tuple) else [message.string]
    return all(forms) and bool(forms)


def write(catalog: Catalog, path: Path) -> None:
    """The file that people edit, and beside it the one that the site reads."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(as_po(catalog))
    path.with_suffix(".mo").write_bytes(as_mo(catalog))


def as_po(catalog: Catalog) -> bytes:
    """Sorted and without dates or line numbers, so that the file changes only where a text does."""
    buffer = io.BytesIO()
    write_po(buffer, catalog, width=110, omit_header=False, sort_output=True, include_lineno=False)
    kept = [line for line in buffer.getvalue().splitlines() if not line.startswith(_DATES)]
    return b"\n".join(kept) + b"\n"


_DATES = (b'"POT-Creation-Date', b'"PO-Revision-Date', b'"Last-Translator', b'"Language-Team', b'"Generated-By',
          b'"Project-Id-Version', b'"Report-Msgid-Bugs-To', b"# ")  # fmt: skip


_NO_DAY = datetime(2000, 1, 1, tzinfo=UTC)


def as_mo(catalog: Catalog) -> bytes:
    """What gettext reads."""
    buffer = io.BytesIO()
    plain = read_po(io.BytesIO(as_po(catalog)), locale=catalog.locale)
    # Else the moment at which it is made.
    plain.creation_date = _NO_DAY
    write_mo(buffer, plain)
    return buffer.getvalue()
