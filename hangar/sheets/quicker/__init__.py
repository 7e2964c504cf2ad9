"""Parts of the PDF renderer that do the same in less time, for the version of it that is in our lock.

What they write is the same to the byte. They are put in place only where the files of the renderer are those beside
which they were written; with any other version its own parts stay, and a sheet takes longer.
"""

import hashlib
import logging
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

import pydyf
from weasyprint import css
from weasyprint.draw import color
from weasyprint.draw import text as draw_text
from weasyprint.formatting_structure import boxes
from weasyprint.layout import percent
from weasyprint.text import line_break

from . import drawing, flow, percentages, styles, texts, writing

log = logging.getLogger(__name__)


class Part(NamedTuple):
    """What of the renderer is replaced by what."""

    place: Any
    name: str
    ours: Any


PARTS = (
    Part(css, "ComputedStyle", styles.SharedStyle),
    Part(css, "AnonymousStyle", styles.SharedAnonymous),
    Part(percent, "resolve_percentages", percentages.resolve_percentages),
    Part(line_break, "split_first_line", texts.split_first_line),
    Part(line_break, "strut", texts.strut),
    Part(draw_text, "draw_first_line", drawing.draw_first_line),
    Part(color, "get_color", writing.get_color),
    Part(pydyf, "_to_bytes", writing.to_bytes),
    Part(boxes.Box, "is_in_normal_flow", flow.is_in_normal_flow),
    Part(percent, "resolve_radii_percentages", percentages.resolve_radii_percentages),
)

# WeasyPrint 70.0 and pydyf 0.13.0: what is replaced, and what the replacements take for granted.
WRITTEN_BESIDE = {
    "pydyf/__init__.py": "0b10add9e640961db4636205686066e2",
    "weasyprint/css/__init__.py": "77ad7287f90d7cfaf85eb00ebe7af47d",
    "weasyprint/draw/color.py": "c68aaae8b9a4c8dd7176e6d7d109be30",
    "weasyprint/draw/text.py": "c9a450aa209277e760227e1fed2da492",
    "weasyprint/formatting_structure/boxes.py": "8ffd28ab74a149f0097208fcba6a80df",
    "weasyprint/layout/percent.py": "bac190e240dce17b4342feb99423e823",
    "weasyprint/pdf/fonts.py": "9ad9a202a416b84585e59d758e6b5e1b",
    "weasyprint/pdf/stream.py": "4faf9169d1970d4688b9cf41f733659c",
    "weasyprint/svg/text.py": "743266ead497a963fa836a0ceb68a8c3",
    "weasyprint/text/fonts.py": "59d74d0c161349b8416f1d13466e16dd",
    "weasyprint/text/line_break.py": "1f5a855ad992e0bebaf5512d2b806fd9",
}
_OWN = [getattr(part.place, part.name) for part in PARTS]
_OURS = [part.ours for part in PARTS]


def digest(file: str) -> str:
    """The first half of the SHA-256 of one of the renderer's files."""
    package = sys.modules[file.partition("/")[0]]
    return hashlib.sha256((Path(str(package.__file__)).parents[1] / file).read_bytes()).hexdigest()[:32]


def put_in_place(written_beside: Mapping[str, str] = WRITTEN_BESIDE) -> bool:
    """Let the renderer use our parts, if it is the one that they fit."""
    try:
        others = [file for file, known in written_beside.items() if digest(file) != known]
    except OSError as error:
        others = [str(error)]
    if others:
        log.warning("The PDF renderer is not the one that our quicker parts fit, it keeps its own: %s", others)
        return False
    _exchange(_OWN, _OURS)
    return True


@contextmanager
def left_out() -> Iterator[None]:
    """Inside, the renderer uses its own parts: for comparing."""
    _exchange(_OURS, _OWN)
    try:
        yield
    finally:
        _exchange(_OWN, _OURS)


def _exchange(olds: list[Any], news: list[Any]) -> None:
    """Wherever a module of the renderer has a name for one of `olds`, it is one for the new part from now on."""
    new_of = {id(old): new for old, new in zip(olds, news, strict=True)}
    modules = [module for name, module in sys.modules.items() if name.partition(".")[0] in {"weasyprint", "pydyf"}]
    for place in (*modules, boxes.Box):
        for name, value in list(vars(place).items()):
            if id(value) in new_of:
                setattr(place, name, new_of[id(value)])
