"""Form fields that read what people type: numbers with any minus sign or comma, lengths, throws with a way."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from hangar.languages.lengths import from_reader, with_unit
from mixing import wording
from mixing.wording import length_figure, length_unit

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)\Z")
_PIECES = re.compile(r"[a-z]+|[^a-z\s]+")
_ARROWS = {"↑": " up ", "↓": " down ", "←": " left ", "→": " right "}
_PLAIN = str.maketrans({**_ARROWS, "−": "-", "–": "-", ",": "."})
_LARGEST = 1e9
_WAYS = ("up", "down", "left", "right")

T = TypeVar("T")


def read_number(text: str) -> float:
    """A number as people type it: "−12,5" is −12.5. ValueError, in words, for anything else.

    >>> read_number("−12,5"), read_number("+7 %")
    (-12.5, 7.0)
    """
    plain = text.strip().translate(_PLAIN).replace(" ", "").rstrip("%")
    if not _NUMBER.match(plain) or abs(float(plain)) > _LARGEST:
        raise ValueError(
            _("“{typed}” is not a number; give one such as {example}.").format(
                typed=text.strip()[:40], example=_("12 or −7.5")
            )
        )
    return float(plain)


def as_typed(value: Any) -> str:
    """A number as it stands in a box: every figure, a real minus sign, the reader's decimal sign.

    What is no number stands there as it was typed.

    >>> as_typed(-12.0), as_typed("a lot")
    ('−12', 'a lot')
    """
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        return str(value)
    return wording.typeset(f"{float(value):.10g}")


def read_way(word: str) -> str:
    """Which of up, down, left and right a word begins, in English or in the language of the page; "" for none."""
    own = {_("up"): "up", _("down"): "down", _("left"): "left", _("right"): "right"}
    words = {**{way: way for way in _WAYS}, **own}
    return next((way for name, way in words.items() if word and name.startswith(word)), "")


@dataclass(frozen=True)
class TypedThrow:
    """A throw as it was typed: its figure, whether a sign stands before that, and the words for its way.

    `unit` is that of length which was typed, "" where none was.
    """

    typed: str
    number: float
    unit: str
    signed: bool
    words: tuple[str, ...]
    sideways: bool

    @property
    def way(self) -> str:
        """Which of up, down, left and right was typed; "" where that is none of them, or more than one word."""
        return read_way(self.words[0]) if len(self.words) == 1 else ""

    def towards(self, way: str, size: float) -> float:
        """A throw of this size that way, down and left positive. ValueError, in words, where it cannot go that way."""
        negative, positive = _ways(self.sideways)
        if way not in (negative, positive) or self.number < 0:
            told = _("“{typed}” does not say which way; give {figure} {up} or {figure} {down}.")
            figure = f"{wording.given(abs(self.number))} {self.unit}".rstrip()
            raise ValueError(told.format(typed=self.typed, figure=figure, up=_(negative), down=_(positive)))
        return size if way == positive else -size


def plain_letters(text: str) -> str:
    """What was typed in small letters, arrows as words, and with the minus sign and the point of programs."""
    return text.strip().lower().translate(_PLAIN)


def typed_throw(text: str, bare: str, unit: str, *, sideways: bool) -> TypedThrow:
    """The parts of a throw; `bare` is what was typed in plain letters, without its unit of length, `unit`.

    ValueError, in words, where it has no figure, more than one, or one of another kind.
    """
    pieces = _PIECES.findall(bare)
    figures = "".join(piece if piece in ("-", "+") else f"{piece} " for piece in pieces if not piece.isalpha()).split()
    try:
        if len(figures) != 1 or "%" in figures[0]:
            raise ValueError("not one figure")
        number = read_number(figures[0])
    except ValueError:
        up, down = (_(way) for way in _ways(sideways))
        told = _("“{typed}” is not a throw; give one such as 12 {up} or 8 {down}.")
        raise ValueError(told.format(typed=text.strip()[:40], up=up, down=down)) from None
    words = tuple(piece for piece in pieces if piece.isalpha())
    return TypedThrow(text.strip()[:40], number, unit, figures[0][0] in "-+", words, sideways)


def _ways(sideways: bool) -> tuple[str, str]:
    """The negative way and the positive one."""
    return ("right", "left") if sideways else ("up", "down")


def read_throw(text: str, *, sideways: bool = False) -> float:
    """A throw with its way [mm], down and left positive: "12 up", "3.5 mm down"; `sideways` for a rudder, "20 left".

    A figure without a way is refused, unless it is 0: a wrong guess would move the surface the wrong way.

    >>> read_throw("12 up"), read_throw("↓ 0,5 in"), read_throw("20 l", sideways=True)
    (-12.0, 12.7, 20.0)
    """
    bare, unit = with_unit(plain_letters(text))
    throw = typed_throw(text, bare, unit, sideways=sideways)
    return throw.towards(throw.way, from_reader(throw.number, unit)) if throw.number else 0.0


class NumberField(forms.CharField):
    """A number in a plain text box: phones that hide the minus sign on their number pad can still give one."""

    default_error_messages = {"required": gettext_lazy("No number is given here; give one.")}

    def __init__(
        self, *, whole: bool = False, least: float | None = None, most: float | None = None, **options: Any
    ) -> None:
        self.whole, self.least, self.most = whole, least, most
        options.setdefault("widget", forms.TextInput(attrs={"class": "number", "autocomplete": "off"}))
        super().__init__(**options)

    def to_python(self, value: Any) -> Any:
        """The number, or None where nothing was typed."""
        text = super().to_python(value)
        if not text:
            return None
        try:
            number = self.read(text)
        except ValueError as error:
            raise ValidationError(str(error), code="invalid") from error
        self.refuse(number)
        return int(number) if self.whole else number

    def read(self, text: str) -> float:
        """The number in what was typed. ValueError, in words, where there is none."""
        return read_number(text)

    def refuse(self, number: float) -> None:
        """Raise ValidationError where a number is outside what the field takes."""
        given = self.shown(number)
        if self.whole and number != int(number):
            text = _("{given} is not a whole number; give one such as {example}.")
            raise ValidationError(text.format(given=given, example=round(number)), code="whole")
        if self.least is not None and number < self.least:
            text = _("{given} is too small; give at least {least}.")
            raise ValidationError(text.format(given=given, least=self.shown(self.least)), code="least")
        if self.most is not None and number > self.most:
            text = _("{given} is too large; give at most {most}.")
            raise ValidationError(text.format(given=given, most=self.shown(self.most)), code="most")

    def shown(self, number: float) -> str:
        """A number as messages write it."""
        return wording.given(number)

    def prepare_value(self, value: Any) -> Any:
        """Numbers are shown without a trailing “.0” and with a real minus sign."""
        return value if value is None else as_typed(value)


class LengthField(NumberField):
    """A length, kept in mm, shown and typed in the reader's unit, which stands behind the label.

    What is left as it was shown stays what it was: an inch with three decimals would else move it a little.
    """

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> BoundField:
        """The field with its unit behind the label."""
        bound = super().get_bound_field(form, field_name)
        bound.label = f"{bound.label}, {length_unit()}"
        return bound

    def _clean_bound_field(self, bf: BoundField) -> Any:
        before = bf.initial
        if isinstance(before, int | float) and bf.data == self.prepare_value(before):
            self.refuse(before)
            return before
        return super()._clean_bound_field(bf)  # type: ignore[misc]

    def read(self, text: str) -> float:
        """In mm, from the reader's unit or one that was typed: "12", "12 mm", "0.5 in". What is whole is so in mm."""
        number, unit = with_unit(text)
        mm = from_reader(read_number(number), unit)
        in_mm = (unit or length_unit()) == "mm"
        return mm if in_mm or not self.whole else float(round(mm))

    def shown(self, number: float) -> str:
        """In the reader's unit."""
        return length_figure(number, 3)

    def prepare_value(self, value: Any) -> Any:
        """The figure in the reader's unit: as it is in mm, three decimals of an inch."""
        if isinstance(value, bool) or not isinstance(value, int | float) or length_unit() == "mm":
            return super().prepare_value(value)
        return length_figure(value, 2)


def attempt(form: forms.BaseForm, errors: tuple[type[Exception], ...], work: Callable[[], T]) -> T | None:
    """Do `work`; what an operation refuses becomes an error of the form, at its field where it names one.

    `errors` are the refusals in words that this operation may raise, beside Django's ValidationError.
    """
    try:
        return work()
    except ValidationError as error:
        if hasattr(error, "error_dict"):
            for name, refusals in error.error_dict.items():
                form.add_error(name if name in form.fields else None, refusals)
        else:
            form.add_error(None, error)
    except errors as error:
        form.add_error(None, str(error))
    return None
