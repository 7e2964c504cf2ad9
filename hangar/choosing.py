"""Choosing one of many: from a list where they are few, else in a box where a name is typed and the likely are offered.

A page with ten thousand names in a list is of no use to anyone, and slow.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import ProhibitNullCharactersValidator
from django.utils.translation import gettext as _

MOST = 60
"""More than these are not put into a list."""
OFFERED = 20
_TOLD = 3
_LONGEST = 200
_NO_NULLS = ProhibitNullCharactersValidator()


@dataclass(frozen=True)
class Naming:
    """How what is chosen is written in a box, and found by what was typed: exactly, else by a part of it."""

    name: Callable[[Any], str]
    exactly: Callable[[Any, str], Any]
    like: Callable[[Any, str], Any]


class OfferingInput(forms.TextInput):
    """A box which offers some texts."""

    template_name = "partials/offering_input.html"
    offered: tuple[str, ...] = ()

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        """With the texts, and the name of their list."""
        context = super().get_context(name, value, attrs)
        listed = f"{context['widget']['attrs'].get('id', name)}_offered"
        context["widget"]["attrs"]["list"] = listed
        return {**context, "listed": listed, "offered": self.offered}


class NamedField(forms.Field):
    """One of many, by its name."""

    def __init__(self, *, every: Any, offered: Iterable[Any], naming: Naming, **options: Any) -> None:
        self.every, self.naming = every, naming
        self.known = {row.pk: row for row in offered}
        widget = OfferingInput(attrs={"autocomplete": "off", "maxlength": _LONGEST})
        widget.offered = tuple(naming.name(row) for row in self.known.values())
        super().__init__(widget=widget, validators=[], **options)

    def prepare_value(self, value: Any) -> Any:
        """What was chosen before is shown by its name."""
        if value is None or isinstance(value, str):
            return value
        key = getattr(value, "pk", value)
        row = self.known.get(key) or self.every.filter(pk=key).first()
        return self.naming.name(row) if row is not None else ""

    def to_python(self, value: Any) -> Any:
        """The one that is meant, or None where nothing was typed."""
        typed = str(value or "").strip()
        if not typed:
            return None
        _NO_NULLS(typed)
        typed = typed[:_LONGEST]
        found = list(self.naming.exactly(self.every, typed)[:2])
        if len(found) != 1:
            found = list(self.naming.like(self.every, typed)[: _TOLD + 1])
        if len(found) == 1:
            return found[0]
        if not found:
            raise ValidationError(_("Nothing here is called “{typed}”.").format(typed=typed[:60]), code="invalid")
        names = ", ".join(self.naming.name(one) for one in found[:_TOLD])
        text = _("“{typed}” fits several, such as {names}: give one of them as it stands here.")
        raise ValidationError(text.format(typed=typed[:60], names=names), code="several")


def _typing_told(help_text: str) -> str:
    typed = _("Type the name; the likely ones are offered.")
    return f"{help_text.removesuffix('.')}. {typed}" if help_text else typed


def offer(form: forms.BaseForm, name: str, *, every: Any, likely: Iterable[Any], naming: Naming) -> list[Any] | None:
    """Let the field `name` choose one of the query `every`: its rows; None where they are many and a name is typed.

    Both are asked for in either case: a page takes as many queries in a small club as in a large one.
    """
    field: Any = form.fields[name]
    rows, near = list(every[: MOST + 1]), list(likely)
    if len(rows) > MOST:
        form.fields[name] = NamedField(
            every=every, offered=near, naming=naming, label=field.label, required=field.required,
            help_text=_typing_told(str(field.help_text)),
            error_messages={"required": field.error_messages["required"]},
        )  # fmt: skip
        return None
    field.queryset = every
    empty = [("", field.empty_label)] if field.empty_label is not None else []
    field.choices = [*empty, *((field.prepare_value(row), field.label_from_instance(row)) for row in rows)]
    return rows
