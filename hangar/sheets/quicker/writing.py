"""What a PDF is written from, as bytes: most of it is a number, a name or bytes already."""

from collections.abc import Callable
from typing import Any

import pydyf
from weasyprint.draw import color

_own: Callable[[Any], bytes] = pydyf._to_bytes
_own_color: Callable[[Any, str], Any] = color.get_color


def to_bytes(item: Any) -> bytes:
    """One item; the commonest kinds are told by their type at once."""
    kind = type(item)
    if kind is bytes:
        return item  # type: ignore[no-any-return]
    if kind is str:
        return item.encode("ascii")  # type: ignore[no-any-return]
    if kind is float:
        return b"%d" % int(item) if item.is_integer() else f"{item:f}".rstrip("0").encode("ascii")
    if kind is int:
        return b"%d" % item
    return _own(item)


def get_color(style: Any, key: str) -> Any:
    """A colour of a style. Comparing one with a word takes longer than all else here."""
    value = style[key]
    return value if type(value) is not str else _own_color(style, key)
