"""Pages of long lists: found by their keys first, then read, so that what is skipped is sorted without being read."""

from typing import Any

from django.core.paginator import Page, Paginator


def by_keys(queryset: Any, part: slice) -> list[Any]:
    """The rows of one part of a query, in its order."""
    keys = list(queryset.values_list("pk", flat=True)[part])
    rows = {row.pk: row for row in queryset.order_by().filter(pk__in=keys)}
    return [rows[one] for one in keys if one in rows]


class KeyPaginator(Paginator[Any]):
    """Cuts a query into pages."""

    def page(self, number: int | str) -> Page[Any]:
        """One page, its rows read."""
        number = self.validate_number(number)
        start = (number - 1) * self.per_page
        return Page(by_keys(self.object_list, slice(start, start + self.per_page)), number, self)
