"""The line-up, the club's airframes at a glance, and the filter above it."""

from typing import Any

import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import F, Q, QuerySet
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from hangar.fleet.models import Airframe, Status
from hangar.members.models import Member

from .standings import STATES, state_class

REASONS_TOLD = 2
Ordered = tuple[QuerySet[Airframe], bool]


class LineUpFilter(django_filters.FilterSet):
    search = django_filters.CharFilter(
        label="Search", method="filter_search", widget=forms.TextInput(attrs={"type": "search"})
    )
    owner = django_filters.ModelChoiceFilter(label="Owner", queryset=Member.objects.none(), empty_label="anyone")
    status = django_filters.ChoiceFilter(label="Status", choices=Status.choices, empty_label="any, in the club")
    state = django_filters.ChoiceFilter(
        label="State", choices=[(state, state) for state in STATES], empty_label="any", field_name="glance__state"
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        owners = Airframe.objects.values("owner")
        self.filters["owner"].queryset = Member.objects.filter(pk__in=owners).select_related("personal")

    def filter_search(self, queryset: QuerySet[Airframe], name: str, value: str) -> QuerySet[Airframe]:
        for word in value.split()[:6]:
            queryset = queryset.filter(
                Q(name__icontains=word) | Q(mark__icontains=word) | Q(owner__personal__full_name__icontains=word)
            )
        return queryset

    def filter_queryset(self, queryset: QuerySet[Airframe]) -> QuerySet[Airframe]:
        """What is gone from the club is shown where it is asked for."""
        found: QuerySet[Airframe] = super().filter_queryset(queryset)
        asked = self.form.cleaned_data.get("status")
        return found if asked else found.exclude(status=Status.GONE)


class Kept(tables.Column):
    """A column of the row that is kept of each airframe: the database sorts it, and what is missing comes last."""

    def __init__(self, name: str, *, by: str = "", **options: Any) -> None:
        self.sorts_by = f"glance__{by or name}"
        super().__init__(accessor=f"glance__{name}", **options)

    def order(self, queryset: QuerySet[Airframe], is_descending: bool) -> Ordered:
        key = F(self.sorts_by)
        first = key.desc(nulls_last=True) if is_descending else key.asc(nulls_last=True)
        return queryset.order_by(first, "name", "slug"), True


class LineUpTable(tables.Table):
    name = tables.Column(verbose_name="Airframe", order_by=("name", "slug"))
    state = Kept("state", verbose_name="State")
    owner = tables.Column(
        accessor="owner__display_name", verbose_name="Owner", order_by=("owner__personal__full_name", "name", "slug")
    )
    revision = Kept("revision", verbose_name="Revision", default="none")
    verdict = Kept("verdict", verbose_name="Verdict", default="not flown")
    sheet = Kept("sheet", verbose_name="Sheet")
    receiver = Kept("receiver", verbose_name="Receiver", default="none")
    failsafe = Kept("failsafe", by="failsafe_at", verbose_name="Failsafe")
    range_check = Kept("range_check", by="range_at", verbose_name="Range")
    warnings = Kept("warnings", verbose_name="Warnings", default="none")
    last_flown = Kept("last_flown", verbose_name="Last flown", default="never")

    class Meta:
        region = "line-up"
        style = "line-up"
        empty_text = "No airframe fits this search."

    def render_name(self, record: Airframe) -> SafeString:
        layout = record.glance.layout or "no setup yet"
        return format_html(
            '<a href="{}">{}</a> <span class="layout">{}</span>',
            reverse("flights:airframe", args=[record.slug]), record.name, layout,
        )  # fmt: skip

    def render_state(self, value: str, record: Airframe) -> SafeString:
        """In a word, and the first reasons for it."""
        told = [*record.glance.reasons[:REASONS_TOLD]]
        if (more := len(record.glance.reasons) - REASONS_TOLD) > 0:
            told.append(f"and {more} more")
        why = format_html_join("", '<span class="why">{}</span>', ((text,) for text in told))
        return format_html('<span class="state {}">{}</span> {}', state_class(value), value, why)

    def render_warnings(self, value: int) -> str:
        return str(value) if value else "none"

    def render_last_flown(self, value: Any) -> str:
        return f"{value:%d %b %Y}"
