"""Form fields that read what people type: numbers with any minus sign or comma, throws with a word for the way."""

import re
from collections.abc import Callable
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ValidationError

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)\Z")
_PIECES = re.compile(r"[a-z]+|[^a-z\s]+")
_ARROWS = str.maketrans({"↑": " up", "↓": " down", "←": " left", "→": " right", "−": "-", "–": "-", ",": "."})
_LARGEST = 1e9
_WAYS = ("up", "down", "left", "right")

T = TypeVar("T")


def read_number(text: str) -> float:
    """A number as people type it: "−12,5" is −12.5. ValueError, in words, for anything else."""
    plain = text.strip().translate(_ARROWS).replace(" ", "").rstrip("%")
    if not _NUMBER.match(plain) or abs(float(plain)) > _LARGEST:
        raise ValueError(f"“{text.strip()[:40]}” is not a number; give one such as 12 or −7.5.")
    return float(plain)


def read_throw(text: str, *, sideways: bool = False) -> float:
    """A throw with its way [mm], down and left positive: "12 up", "3.5 mm down"; `sideways` for a rudder, "20 left".

    A figure without a way is refused, unless it is 0: a wrong guess would move the surface the wrong way.
    """
    ways = ("left", "right") if sideways else ("down", "up")
    pieces = _PIECES.findall(text.strip().lower().translate(_ARROWS))
    numbers = [piece for piece in pieces if not piece.isalpha()]
    typed = [piece for piece in pieces if piece.isalpha() and piece != "mm"]
    way = next((word for word in _WAYS if typed and word.startswith(typed[0])), "")
    try:
        number = read_number(numbers[0] if len(numbers) == 1 and len(typed) < 2 else text)
    except ValueError:
        raise ValueError(
            f"“{text.strip()[:40]}” is not a throw; give one such as 12 {ways[1]} or 8 {ways[0]}."
        ) from None
    if number == 0:
        return 0.0
    if way not in ways or number < 0:
        shown = f"{abs(number):g}"
        raise ValueError(f"“{text.strip()[:40]}” does not say which way; give {shown} {ways[1]} or {shown} {ways[0]}.")
    return number if way == ways[0] else -number


class NumberField(forms.CharField):
    """A number in a plain text box: phones that hide the minus sign on their number pad can still give one."""

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
            number = read_number(text)
        except ValueError as error:
            raise ValidationError(str(error), code="invalid") from error
        if self.whole and number != int(number):
            raise ValidationError(f"{number:g} is not a whole number; give one such as {round(number)}.", code="whole")
        if self.least is not None and number < self.least:
            raise ValidationError(f"{number:g} is too small; give at least {self.least:g}.", code="least")
        if self.most is not None and number > self.most:
            raise ValidationError(f"{number:g} is too large; give at most {self.most:g}.", code="most")
        return int(number) if self.whole else number

    def prepare_value(self, value: Any) -> Any:
        """Numbers are shown without a trailing “.0” and with a real minus sign."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            return value
        return f"{value:.10g}".replace("-", "−")


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
