"""What the page for a new airframe draws: the model from above, its channels, and where a tap changes it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms

from hangar.pictures.plan_view import plan_view

from .composing import by_channel, channel_label
from .shape_forms import ShapeForm
from .shapes import VEES, Shape, fitted

WIDE_PX, NARROW_PX = 15, 25


@dataclass(frozen=True)
class Tap:
    """A part of the drawing that is a label of a choice: a tap on it makes that choice. `names` is its place."""

    target: str
    names: str


@dataclass(frozen=True)
class Plan:
    """The two pictures, for wide and narrow screens; the channels in order; what keeps the model from flying."""

    wide: str
    narrow: str
    channels: Sequence[tuple[int, str]]
    taps: Sequence[Tap]
    problems: Sequence[str]


def plan_of(form: ShapeForm) -> Plan:
    """The plan of what is chosen in the form, whether or not it can fly."""
    shape = form.shape()
    parts = fitted(shape)
    wide, narrow = (
        plan_view(parts, tail=shape.tail, engine=shape.nose == "engine", type_px=size) for size in (WIDE_PX, NARROW_PX)
    )
    channels = [(number, channel_label(group)) for number, group in by_channel(parts).items()]
    problems = list(shape.problems(form.chosen.get("receiver_channels")).values())
    return Plan(wide, narrow, channels, list(_taps(form, shape)), problems)


def _taps(form: ShapeForm, shape: Shape) -> Iterable[Tap]:
    yield Tap(_next_of(form, "wing", shape.wing), "outer left")
    yield Tap(_next_of(form, "wing", shape.wing), "outer right")
    for name, place in (("outer_flaps", "middle"), ("inner_flaps", "inner")):
        for side in ("left", "right"):
            yield Tap(f"id_{name}", f"{place} {side}")
    yield Tap(_next_of(form, "tail", shape.tail), "canard" if shape.tail == "canard" else "tail")
    pusher = shape.tail in ("canard", "inverted_v", "none")
    yield Tap(_next_of(form, "nose", shape.nose), "pusher" if pusher else "nose")
    if shape.tail not in VEES:
        yield Tap("id_rudder", "fin ahead" if pusher else "fin")


def _next_of(form: ShapeForm, name: str, value: Any) -> str:
    """The id of the choice after the one that is made: a tap goes from one to the next."""
    field = form.fields[name]
    assert isinstance(field, forms.ChoiceField)
    keys = [key for key, _ in field.choices]  # type: ignore[union-attr, misc]
    return f"id_{name}_{(keys.index(value) + 1) % len(keys)}"
