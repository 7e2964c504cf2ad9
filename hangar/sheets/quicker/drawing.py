"""Drawing texts from the glyphs that drew them before."""

import re
from collections.abc import Callable, Iterator, Sequence
from typing import Any, NamedTuple

from weasyprint.draw import text as draw_text
from weasyprint.text.ffi import FROM_UNITS, ffi, pango
from weasyprint.text.fonts import get_pango_font_key

from .texts import FIGURES, KnownLayout, Line

_own: Callable[..., list[Any]] = draw_text.draw_first_line

# Before this version Pango's fonts do not know their size.
_OLD = 1_48_02

_FIGURE = re.compile(f"[{FIGURES}]")


class Glyph(NamedTuple):
    """One glyph as Pango has set it; no `code` is the place of a figure."""

    number: int
    code: str
    text: str
    offset: float
    room: float
    advance: int


class Run(NamedTuple):
    """Glyphs of one font one after the other; `follows` says that the run before it had the same.

    `figures` are how many of them are figures, in whose places others may stand.
    """

    font: Any
    size: float
    follows: bool
    glyphs: tuple[Glyph, ...]
    figures: int


def draw_first_line(stream: Any, textbox: Any, text_overflow: str, block_ellipsis: Any, matrix: Any) -> list[Any]:
    """Draw the line of a text; a plain one that was drawn before without asking Pango."""
    layout = textbox.pango_layout
    plain = type(layout) is KnownLayout and text_overflow != "ellipsis" and block_ellipsis == "none"
    if not plain or not textbox.text.strip() or textbox.style["font_size"] < 1e-6:
        return _own(stream, textbox, text_overflow, block_ellipsis, matrix)
    line, figures = layout.line, _FIGURE.findall(layout.text)
    if line.drawn is None or not _known(stream, line, figures):
        line.drawn = _learnt(line, tuple(_runs(stream, layout)), figures)
    if not line.drawn:
        return _own(stream, textbox, text_overflow, block_ellipsis, matrix)
    _show(stream, line, iter(figures), matrix)
    return []


def _known(stream: Any, line: Line, figures: Sequence[str]) -> bool:
    """Whether this document has the fonts of the line already, and we the glyphs of all figures in it."""
    told = 0
    for run in line.drawn:
        if run.font not in stream._fonts:
            return False
        if run.figures:
            if not _glyphs_of_figures(line, run).keys() >= set(figures[told : told + run.figures]):
                return False
            told += run.figures
    return True


def _glyphs_of_figures(line: Line, run: Run) -> dict[str, tuple[int, str]]:
    return line.wording.glyphs.setdefault(run.font, {})


def _learnt(line: Line, runs: tuple[Run, ...], figures: Sequence[str]) -> tuple[Run, ...]:
    """The runs with places for their figures, each of which is noted; none where one is a glyph with another sign."""
    if sum(run.figures for run in runs) != len(figures):
        return ()
    for run in runs:
        known = _glyphs_of_figures(line, run)
        known.update({glyph.text: (glyph.number, glyph.code) for glyph in run.glyphs if _FIGURE.fullmatch(glyph.text)})
    return tuple(run._replace(glyphs=tuple(map(_place, run.glyphs))) for run in runs)


def _place(glyph: Glyph) -> Glyph:
    return glyph._replace(code="") if _FIGURE.fullmatch(glyph.text) else glyph


def _show(stream: Any, line: Line, figures: Iterator[str], matrix: Any) -> None:
    stream.set_text_matrix(*matrix.values)
    string = ""
    for run in line.drawn:
        font = stream._fonts[run.font]
        if not run.follows:
            if string:
                stream.show_text(string)
            string = ""
            stream.set_font_size(font.hash, run.size)
        string += _string(font, run, _glyphs_of_figures(line, run), figures)
    stream.show_text(string)


def _string(font: Any, run: Run, known: dict[str, tuple[int, str]], figures: Iterator[str]) -> str:
    """The run as an operand of the PDF; the font takes note of each glyph that comes first in this document."""
    widths, to_unicode = font.widths, font.to_unicode
    string = "<"
    for number, code, text, offset, room, advance in run.glyphs:
        if not code:
            text = next(figures)  # noqa: PLW2901
            number, code = known[text]  # noqa: PLW2901
        if number not in to_unicode:
            to_unicode[number] = text
        if offset:
            string += f">{-offset}<"
        string += code
        # A width that was rounded at another size of the font holds for the whole document.
        if kerning := widths.setdefault(number, advance) + offset - room:
            string += f">{int(kerning)}<"
    return string[:-1] if string[-1] == "<" else string + ">"


def _runs(stream: Any, layout: Any) -> Iterator[Run]:
    """The runs of a line as Pango sets them; none where anything about them is out of the common."""
    pango.pango_layout_set_single_paragraph_mode(layout.layout, True)
    line, _ = layout.get_first_line()
    utf8 = layout.text.encode()
    before, link, runs = None, line.runs[0], []
    while link != ffi.NULL:
        item, link = link.data, link.next
        pango_font = item.item.analysis.font
        # Fonts are numbered as they come.
        font, size = stream.add_font(pango_font)
        glyphs = _glyphs(stream, item, size, utf8)
        if pango.pango_version() < _OLD or font.bitmap or font.png or font.svg or font.colr or glyphs is None:
            return
        key, _, _ = get_pango_font_key(pango_font)
        figures = sum(_FIGURE.fullmatch(glyph.text) is not None for glyph in glyphs)
        runs.append(Run(key, size, pango_font == before, glyphs, figures))
        before = pango_font
    yield from runs


def _glyphs(stream: Any, glyph_item: Any, size: float, utf8: bytes) -> tuple[Glyph, ...] | None:
    item, string = glyph_item.item, glyph_item.glyphs
    count, clusters = string.num_glyphs, string.log_clusters
    if item.analysis.level % 2:
        return None
    glyphs = []
    for i, info in enumerate(string.glyphs[0:count]):
        number, geometry = info.glyph, info.geometry
        if number == pango.PANGO_GLYPH_EMPTY or number & pango.PANGO_GLYPH_UNKNOWN_FLAG or geometry.y_offset:
            return None
        end = item.length if i == count - 1 else clusters[i + 1]
        text = utf8[item.offset + clusters[i] : item.offset + end].decode()
        pango.pango_font_get_glyph_extents(item.analysis.font, number, stream.ink_rect, stream.logical_rect)
        advance = round(stream.logical_rect.width * 1000 * FROM_UNITS / size)
        room = geometry.width * 1000 * FROM_UNITS / size
        glyphs.append(Glyph(number, f"{number:04x}", text, geometry.x_offset / size, room, advance))
    return tuple(glyphs)
