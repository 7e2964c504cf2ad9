"""Computed styles that are worked out once for all documents, and what else follows from a style alone.

Two elements have the same style where the same declarations apply to both and their parents have the same style. The
renderer knows that within a document; here it is known over all of them, as they have their style sheets in common.
"""

from typing import Any

from weasyprint import css
from weasyprint.css.properties import Dimension

# A sheet has some 130, each setting and paper its own; beyond this many they are worked out anew.
_MOST = 2_000


class Facts:
    """What is known of all styles that came from the same declarations below the same parents."""

    __slots__ = (
        "anonymous", "below", "collapses", "in_flow", "kept", "percentages", "rigid", "specified", "square", "strut",
        "top", "values", "wording",
    )  # fmt: skip

    def __init__(self, top: "Top", kept: Any = None) -> None:
        self.top = top
        self.values: dict[str, Any] = {}
        self.specified: dict[str, Any] = {}
        self.below: dict[Any, Facts] = {}
        self.anonymous: Facts | None = None
        # The declarations, which are told apart by where they lie: they must stay there.
        self.kept = kept
        self.collapses: bool | None = None
        self.in_flow: bool | None = None
        self.square: bool | None = None
        self.rigid: bool | None = None
        self.percentages: dict[Any, dict[str, Any]] = {}
        self.strut: tuple[float, float] | None = None
        self.wording: Any = None


class Top:
    """All styles with one set of fonts. A length in parts of the page would tie them to one document: no use then."""

    def __init__(self) -> None:
        self.count = 0
        self.sound = True
        self.roots: dict[Any, Facts] = {}

    def under(self, below: dict[Any, Facts], key: Any, kept: Any) -> Facts | None:
        if not self.sound:
            return None
        facts = below.get(key)
        if facts is None and self.count < _MOST:
            self.count += 1
            facts = below[key] = Facts(self, kept)
        return facts


def _top(font_config: Any) -> Top:
    top: Top | None = font_config.__dict__.get("styles")
    if top is None or top.count >= _MOST:
        top = font_config.styles = Top()
    return top


_Own: Any = css.ComputedStyle

# What a style of the renderer's that is none of ours, such as the one before the root's, says when it is asked.
css.Style.facts = None


class Shared(dict[str, Any]):
    """A style that begins with all that is known of it, and tells what it finds out."""

    facts: Facts | None = None
    specified: dict[str, Any]

    def begin(self, facts: Facts | None) -> None:
        self.facts = facts
        if facts is not None:
            dict.update(self, facts.values)

    def __missing__(self, key: str) -> Any:
        facts, self.facts = self.facts, None
        value = super().__missing__(key)  # type: ignore[misc]
        if facts is not None and facts.top.sound:
            self.facts = facts
            facts.values[key] = value
            if self.specified is not self:
                facts.specified.update(self.specified)
        return value

    def __setitem__(self, key: str, value: Any) -> None:
        # The renderer changes a few styles in place: such a one is as no other.
        if self.facts is not None and self[key] != value:
            self.facts = None
        dict.__setitem__(self, key, value)

    def copy(self) -> Any:
        copy = type(self).__new__(type(self))
        copy.__dict__.update(self.__dict__)
        copy.__dict__.pop("anonymous_style", None)
        dict.update(copy, self)
        copy.specified = copy if self.specified is self else self.specified.copy()
        return copy


# Of no style sheet: read from the elements of each document anew, and so are the sizes of its pictures.
_OF_MARKUP = frozenset({"anchor", "lang"})
_OF_PICTURES = frozenset({"width", "height"})


def _declared(name: str, value: Any, weight: Any) -> tuple[Any, ...]:
    """What tells a declaration."""
    by_value = name in _OF_MARKUP or (name in _OF_PICTURES and type(value) is Dimension)
    return (name, value if by_value else id(value), weight[0], weight[1], *weight[2])


class SharedStyle(Shared, _Own):
    """The style of an element."""

    def __init__(
        self, parent_style: Any, cascaded: dict[str, Any], pseudo_type: str | None, root_style: Any,
        base_url: str | None, font_config: Any, initial_page_sizes: Any,
    ) -> None:  # fmt: skip
        _Own.__init__(self, parent_style, cascaded, pseudo_type, root_style, base_url, font_config, initial_page_sizes)
        key = (pseudo_type, base_url, *[_declared(name, *pair) for name, pair in cascaded.items()])
        if parent_style is None:
            top = _top(font_config)
            self.begin(top.under(top.roots, key, cascaded))
        elif parent_style.facts is not None:
            above = parent_style.facts
            self.begin(above.top.under(above.below, key, cascaded))
        if self.facts is not None:
            self.specified.update(self.facts.specified)

    @property
    def initial_page_sizes(self) -> Any:
        _top(self.font_config).sound = False
        return self._page_sizes

    @initial_page_sizes.setter
    def initial_page_sizes(self, sizes: Any) -> None:
        self._page_sizes = sizes


class SharedAnonymous(Shared, css.AnonymousStyle):
    """The style of a box without an element of its own."""

    def __init__(self, parent_style: Any) -> None:
        super().__init__(parent_style)
        above = parent_style.facts
        if above is not None:
            if above.anonymous is None:
                above.anonymous = Facts(above.top)
            self.begin(above.anonymous)
