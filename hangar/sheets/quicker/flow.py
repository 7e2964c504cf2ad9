"""Whether a box stands where the text has brought it, which is asked again and again of every box."""

from collections.abc import Callable
from typing import Any

from weasyprint.formatting_structure import boxes

from .styles import Facts

_own: Callable[[Any], bool] = boxes.Box.is_in_normal_flow


def is_in_normal_flow(self: Any) -> bool:
    """Neither floating, nor positioned, nor a note: a matter of its style alone."""
    facts: Facts | None = self.style.facts
    if facts is None:
        return _own(self)
    if facts.in_flow is None:
        facts.in_flow = _own(self)
    return facts.in_flow
