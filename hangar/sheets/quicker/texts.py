"""Texts that were set before: how long and high they are, and the glyphs that draw them.

Setting a text asks Pango for a new layout, twice for each text that is printed. Words and units come again and again,
within a sheet and from sheet to sheet. Figures do not; but where all ten are equally wide, a text is set as that which
had other figures in the same places.
"""

import re
from collections.abc import Callable
from typing import Any

from weasyprint.svg.text import Style as PictureStyle
from weasyprint.text import line_break

from .styles import Facts

# Not what breaks a line by itself, may break a word, or turns the direction.
_PLAIN = re.compile("[^\x00-\x1f\x7f-\x9f\xad\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff]*")
# Together they take some 3 MB.
_MOST = 4_000

FIGURES = "0123456789"
# No plain text has this in it.
_AS_ONE = str.maketrans(FIGURES, "\0" * 10)

_OF_TEXT = (
    "font_family", "font_style", "font_stretch", "font_weight", "font_size", "font_kerning", "font_variant_ligatures",
    "font_variant_position", "font_variant_caps", "font_variant_numeric", "font_variant_alternates",
    "font_variant_east_asian", "font_feature_settings", "font_variation_settings", "font_language_override", "lang",
    "direction", "letter_spacing", "word_spacing", "white_space", "overflow_wrap", "tab_size", "text_decoration_line",
    "hyphens", "hyphenate_limit_chars", "hyphenate_limit_zone", "hyphenate_character",
)  # fmt: skip
_OF_PICTURE = ("font_style", "font_weight", "font_size", "direction")

# Layout, length, where the next line begins, width, height, baseline.
Split = tuple[Any, int, int | None, float, float, float]

_own_split: Callable[..., Split] = line_break.split_first_line
_own_strut: Callable[[Any], tuple[float, float]] = line_break.strut


class Line:
    """The beginning of a text as it was set once."""

    __slots__ = ("baseline", "drawn", "height", "layout", "length", "resume_at", "text", "width", "wording")

    def __init__(self, wording: "Wording", text: str, split: Split) -> None:
        layout, self.length, self.resume_at, self.width, self.height, self.baseline = split
        self.wording, self.text, self.layout = wording, text, dict(layout.__dict__)
        self.drawn: Any = None

    def split(self, text: str, max_width: float | None) -> Split:
        """That of a text which has figures of its own where this one had others."""
        layout = KnownLayout(self, max_width)
        if text != self.text:
            layout.text = text[: len(layout.text)]
        return layout, self.length, self.resume_at, self.width, self.height, self.baseline


class KnownLayout(line_break.Layout):
    """What stands for a layout of Pango, which is made when something asks for it."""

    def __init__(self, line: Line, max_width: float | None) -> None:
        self.__dict__.update(line.layout)
        self.line, self.max_width = line, max_width

    def reactivate(self, style: Any) -> None:
        self.style = style

    def deactivate(self) -> None:
        for name in ("layout", "language", "style"):
            self.__dict__.pop(name, None)

    def __getattr__(self, name: str) -> Any:
        if name not in {"layout", "language"} or "style" not in self.__dict__:
            raise AttributeError(name)
        super().reactivate(self.style)
        return self.__dict__[name]


class Wording:
    """All texts in one way of setting them: whole ones by their text, others by the room that they had as well.

    `glyphs` are those of each figure in each font.
    """

    __slots__ = ("glyphs", "lines", "parts", "tabular", "wraps")

    def __init__(self, style: Any) -> None:
        self.lines: dict[str, Line] = {}
        self.parts: dict[tuple[Any, ...], Line] = {}
        self.wraps = style["white_space"] in {"normal", "pre-wrap", "pre-line"}
        self.tabular: bool | None = None
        self.glyphs: dict[Any, dict[str, tuple[int, str]]] = {}

    def pattern(self, text: str, style: Any) -> str:
        """The same for all texts that differ in nothing but figures, where these are equally wide."""
        pattern = text.translate(_AS_ONE)
        if pattern == text or self.tabular is False:
            return text
        if self.tabular is None:
            self.tabular = style["hyphens"] != "auto" and _tabular(style)
        return pattern if self.tabular else text

    def fits(self, width: float, max_width: float | None) -> bool:
        return max_width is None or not self.wraps or width <= max_width


class Texts:
    """All texts that were set with one set of fonts."""

    def __init__(self) -> None:
        self.count = 0
        self.wordings: dict[Any, Wording] = {}

    def wording(self, style: Any) -> Wording:
        key: tuple[Any, ...]
        if type(style) is PictureStyle:
            key = (tuple(style["font_family"]), *[style[name] for name in _OF_PICTURE])
        else:
            key = tuple([style[name] for name in _OF_TEXT])
        wording = self.wordings.get(key)
        if wording is None:
            wording = self.wordings[key] = Wording(style)
        return wording

    def make_room(self) -> None:
        """Forget everything where there is much of it: the texts of the next sheets will be known again soon."""
        self.count += 1
        if self.count > _MOST:
            self.forget()

    def forget(self) -> None:
        self.count = 0
        for wording in self.wordings.values():
            wording.lines.clear()
            wording.parts.clear()
            wording.glyphs.clear()
            wording.tabular = None


def texts_of(font_config: Any) -> Texts:
    texts: Texts | None = font_config.__dict__.get("texts")
    if texts is None:
        texts = font_config.texts = Texts()
    return texts


def _wording(style: Any) -> Wording:
    facts: Facts | None = style.facts if type(style) is not PictureStyle else None
    if facts is None:
        return texts_of(style.font_config).wording(style)
    if facts.wording is None:
        facts.wording = texts_of(style.font_config).wording(style)
    wording: Wording = facts.wording
    return wording


def split_first_line(
    text: str, style: Any, context: Any, max_width: float | None, justification_spacing: float,
    is_line_start: bool = True, minimum: bool = False,
) -> Split:  # fmt: skip
    """As much of the text as fits a line."""
    if justification_spacing:
        return _own_split(text, style, context, max_width, justification_spacing, is_line_start, minimum)
    wording = _wording(style)
    pattern = wording.pattern(text, style)
    line = wording.lines.get(pattern)
    if line is not None and wording.fits(line.width, max_width):
        return line.split(text, max_width)
    key = (pattern, max_width, is_line_start, minimum)
    line = wording.parts.get(key)
    if line is not None:
        return line.split(text, max_width)
    split = _own_split(text, style, context, max_width, justification_spacing, is_line_start, minimum)
    if not _PLAIN.fullmatch(text) or (pattern != text and not text.startswith(split[0].text)):
        return split
    texts_of(style.font_config).make_room()
    line = Line(wording, text, split)
    if line.resume_at is None and split[0].text == text and wording.fits(line.width, max_width):
        wording.lines[pattern] = line
    else:
        wording.parts[key] = line
    return line.split(text, max_width)


def _tabular(style: Any) -> bool:
    """Whether all figures are equally wide, as ours are, which change their shape or place beside no other sign."""
    return len({_own_split(figure * 4, style, None, None, 0)[3:] for figure in FIGURES}) == 1


def strut(style: Any) -> tuple[float, float]:
    """How high a line is without any text, and its baseline."""
    facts: Facts | None = style.facts
    if facts is None:
        return _own_strut(style)
    if facts.strut is None:
        facts.strut = _own_strut(style)
    return facts.strut
