"""Responses by their shape: a straight line, two halves, one side only."""

from collections.abc import Callable
from typing import Any, NamedTuple

from django.utils.translation import gettext as _

from mixing import Response, ResponseError
from mixing.wording import capital

from .coupling_forms import CouplingForm


class Shape(NamedTuple):
    """The boxes in which a shape is given, and the response that comes of them."""

    boxes: tuple[str, ...]
    response: Callable[..., Response]


SHAPES = {
    "slope": Shape(("slope", "middle"), lambda slope, middle: Response.from_slope_and_middle(slope / 100, middle)),
    "halves": Shape(("low", "high"), lambda low, high: Response.differential(up=high, down=-low)),
    "one_sided": Shape(("start", "end", "reach"), Response.one_sided),
}
"""By the button that takes them."""


def shaped(form: CouplingForm, do: str, nothing: float = 0.0) -> list[list[Any]] | None:
    """The stations of a shape, None where its boxes do not say it; the rows do not count then, nor their errors.

    `nothing` is the travel where nothing moves or runs: a motor is off there.
    """
    for name in [name for name in form.errors if name.startswith(("x_", "travel_", "want_"))]:
        del form.errors[name]
    shape = SHAPES[do]
    values = [form.value(name) for name in shape.boxes]
    for name, value in zip(shape.boxes, values, strict=True):
        if value is None and name not in form.errors:
            form.add_error(name, _("Give a figure in %."))
    if not all(isinstance(value, int | float) for value in values) or any(name in form.errors for name in shape.boxes):
        return None
    try:
        if do == "slope":
            return [list(station) for station in shape.response(*values).stations]
        given = [value if name in ("start", "end") else value - nothing
                 for name, value in zip(shape.boxes, values, strict=True)]  # fmt: skip
        return [[x, travel + nothing] for x, travel in shape.response(*given).stations]
    except ResponseError as error:
        form.add_error(shape.boxes[1], f"{capital(str(error))}.")
        return None
