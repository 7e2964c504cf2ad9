"""Margins, paddings and sizes of a box, which follow from its style and the size of what contains it."""

from typing import Any

from weasyprint.formatting_structure import boxes
from weasyprint.layout import percent

from .styles import Facts

_SIDES = ("top", "right", "bottom", "left")
_BORDERS = tuple(f"border_{side}_width" for side in _SIDES)
_ASKED = (
    *(f"margin_{side}" for side in _SIDES), *(f"padding_{side}" for side in _SIDES),
    "width", "min_width", "max_width", "height", "min_height", "max_height",
)  # fmt: skip
_SET = (*_ASKED, *_BORDERS)
# A box that is moved to many widths should not make its style remember them all.
_MOST = 200

_CORNERS = tuple(f"border_{corner}_radius" for corner in ("top_left", "top_right", "bottom_right", "bottom_left"))
_SQUARE = dict.fromkeys(_CORNERS, (0, 0))

_own = percent.resolve_percentages
_own_radii = percent.resolve_radii_percentages


def resolve_percentages(box: Any, containing_block: Any) -> None:
    """Set what the style says as figures on the box, as it was worked out once for each size of the container."""
    facts: Facts | None = box.style.facts
    # What only stands for a box elsewhere has no figures of its own.
    if facts is None or isinstance(box, boxes.PageBox) or not isinstance(box, boxes.Box):
        _own(box, containing_block)
        return
    if facts.rigid is None:
        facts.rigid = all(map(_rigid, map(box.style.__getitem__, _ASKED)))
    key: tuple[Any, ...]
    if facts.rigid:
        key = ()
    elif isinstance(containing_block, tuple):
        key = containing_block
    else:
        key = (containing_block.width, containing_block.height)
    if facts.collapses is None:
        facts.collapses = box.style["border_collapse"] == "collapse"
    if facts.collapses:
        # Borders that a table has settled stay as they are.
        settled = box.__dict__
        key += tuple([settled.get(name) for name in _BORDERS])
    known = facts.percentages.get(key)
    if known is None:
        _own(box, containing_block)
        if len(facts.percentages) >= _MOST:
            facts.percentages.clear()
        facts.percentages[key] = {name: box.__dict__[name] for name in _SET}
    else:
        box.__dict__.update(known)


def _rigid(value: Any) -> bool:
    """Whether a length is the same in a container of any size."""
    return value is None or value == "auto" or getattr(value, "unit", None) == "px"


def resolve_radii_percentages(box: Any) -> None:
    """Set the radii of the corners, which are none on nearly every box."""
    facts: Facts | None = box.style.facts
    if facts is None or not isinstance(box, boxes.Box):
        _own_radii(box)
        return
    if facts.square is None:
        facts.square = all((0, "px") in box.style[corner] for corner in _CORNERS)
    if facts.square:
        box.__dict__.update(_SQUARE)
    else:
        _own_radii(box)
