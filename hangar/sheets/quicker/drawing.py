"""Drawing texts from the glyphs that drew them before."""

from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

from weasyprint.draw import text as draw_text
from weasyprint.text.ffi import FROM_UNITS, ffi, pango
from weasyprint.text.fonts import get_pango_font_key

from .texts import KnownLayout

_own: Callable[..., list[Any]] = draw_text.draw_first_line

# Before this version Pango's fonts do not know their size.
_OLD = 1_48_02


class Glyph(NamedTuple):
    """One glyph as Pango has set it."""

    number: int
    code: str
    text: str
    offset: float
    room: float
    advance: int


class Run(NamedTuple):
    """Glyphs of one font one after the other; `follows` says that the run before it had the same."""

    font: Any
    size: float
    follows: bool
    glyphs: tuple[Glyph, ...]


def draw_first_line(stream: Any, textbox: Any, text_overflow: str, block_ellipsis: Any, matrix: Any) -> list[Any]:
    """Draw the line of a text; a plain one that was drawn before without asking Pango."""
    layout = textbox.pango_layout
    plain = type(layout) is KnownLayout and text_overflow != "ellipsis" and block_ellipsis == "none"
    if not plain or not textbox.text.strip() or textbox.style["font_size"] < 1e-6:
        return _own(stream, textbox, text_overflow, block_ellipsis, matrix)
    line = layout.line
    if line.drawn is None or not all(run.font in stream._fonts for run in line.drawn):
        line.drawn = tuple(_runs(stream, layout))
    if not line.drawn:
        return _own(stream, textbox, text_overflow, block_ellipsis, matrix)
    _show(stream, line.drawn, matrix)
    return []


def _show(stream: Any, runs: tuple[Run, ...], matrix: Any) -> None:
    stream.set_text_matrix(*matrix.values)
    string = ""
    for run in runs:
        font = stream._fonts[run.font]
        if not run.follows:
            if string:
                stream.show_text(string)
            string = ""
            stream.set_font_size(font.hash, run.size)
        string += _string(font, run)
    stream.show_text(string)


def _string(font: Any, run: Run) -> str:
    """The run as an operand of the PDF; the font takes note of each glyph that comes first in this document."""
    widths, to_unicode = font.widths, font.to_unicode
    string = "<"
    for number, code, text, offset, room, advance in run.glyphs:
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
        runs.append(Run(key, size, pango_font == before, glyphs))
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
