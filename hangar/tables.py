"""Lists that stay quick, however long they are and however deep a page lies.

django-tables2 asks each cell anew how its value is found and which arguments its method takes, which costs more than
the rest of a page. Here that is asked once for each column.
"""

import inspect
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

import django_tables2
from django.core.exceptions import FieldDoesNotExist
from django.utils.formats import localize
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe
from django_tables2.data import TableQuerysetData

from .paging import by_keys


class PageData(TableQuerysetData):
    """Finds a page by its keys, then reads its rows: what is skipped is sorted without being read whole."""

    def __getitem__(self, key: Any) -> Any:
        if not isinstance(key, slice):
            return super().__getitem__(key)
        return by_keys(self.data, key)


class _Column(NamedTuple):
    """How one column's cells are made."""

    header: str
    value: Callable[[Any], Any]
    told: Callable[[Any, Any], Any]
    empty: Any
    default: Any

    def cell(self, record: Any) -> str:
        value = self.value(record)
        shown = self.default if value in self.empty else self.told(value, record)
        return str(conditional_escape(shown if isinstance(shown, str) else localize(shown)))


class Table(django_tables2.Table):
    """A list of one kind of rows, given as a query."""

    def __init__(self, data: Any, *args: Any, **options: Any) -> None:
        super().__init__(PageData(data), *args, **options)

    @property
    def body(self) -> SafeString:
        """The rows of this page, the first cell of each as its heading."""
        columns = list(self._plain())
        rows = (self._row(columns, row.record) for row in self.paginated_rows)
        # Each cell is escaped where it is made.
        return mark_safe("".join(rows))

    def _row(self, columns: list[_Column], record: Any) -> str:
        first, *others = columns
        cells = "".join(f'<td data-label="{column.header}">{column.cell(record)}</td>' for column in others)
        return f'<tr><th scope="row">{first.cell(record)}</th>{cells}</tr>\n'

    def _plain(self) -> Iterator[_Column]:
        for bound in self.columns:
            method = getattr(self, f"render_{bound.name}", None)
            yield _Column(
                str(conditional_escape(bound.header)), self._reader(str(bound.accessor)), _teller(method),
                bound.column.empty_values, bound.default,
            )  # fmt: skip

    def _reader(self, accessor: str) -> Callable[[Any], Any]:
        """Reads a value through relations; of a choice its words. What is not there is None."""
        *through, last = accessor.split("__")
        model: Any = self.data.model
        try:
            for name in through:
                model = model._meta.get_field(name).related_model
            last = f"get_{last}_display" if getattr(model._meta.get_field(last), "choices", None) else last
        except FieldDoesNotExist:
            pass

        def read(record: Any) -> Any:
            for name in (*through, last):
                record = getattr(record, name, None)
            return record() if callable(record) else record

        return read


def _teller(method: Callable[..., Any] | None) -> Callable[[Any, Any], Any]:
    """A method of a table that tells a cell from its value, its record or both, or the value itself."""
    if method is None:
        return lambda value, record: value
    wanted = set(inspect.signature(method).parameters)
    if wanted == {"value"}:
        return lambda value, record: method(value=value)
    if wanted == {"record"}:
        return lambda value, record: method(record=record)
    return lambda value, record: method(value=value, record=record)
