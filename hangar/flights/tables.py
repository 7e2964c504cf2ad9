"""The line-up, the club's airframes at a glance, and the filter above it."""

import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from hangar.fleet.models import Airframe, Status
from hangar.members.models import Member

from .standings import STATES, Standing


class LineUpFilter(django_filters.FilterSet):
    search = django_filters.CharFilter(
        label="Search", method="filter_search", widget=forms.TextInput(attrs={"type": "search"})
    )
    owner = django_filters.ModelChoiceFilter(label="Owner", queryset=Member.objects.none(), empty_label="anyone")
    status = django_filters.ChoiceFilter(label="Status", choices=Status.choices, empty_label="any")
    # A state follows from many tables: the view picks by it after they were read.
    state = django_filters.ChoiceFilter(
        label="State", choices=[(state, state) for state in STATES], empty_label="any", method="filter_later"
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

    def filter_later(self, queryset: QuerySet[Airframe], name: str, value: str) -> QuerySet[Airframe]:
        return queryset


class LineUpTable(tables.Table):
    name = tables.Column(accessor="airframe__name", verbose_name="Airframe")
    state = tables.Column(verbose_name="State")
    owner = tables.Column(accessor="airframe__owner__display_name", verbose_name="Owner")
    revision = tables.Column(accessor="head__number", verbose_name="Revision", default="none")
    verdict = tables.Column(verbose_name="Verdict", default="not flown")
    sheet = tables.Column(verbose_name="Sheet")
    receiver = tables.Column(verbose_name="Receiver", default="none")
    failsafe = tables.Column(verbose_name="Failsafe", orderable=False)
    range_check = tables.Column(verbose_name="Range", orderable=False)
    warnings = tables.Column(verbose_name="Warnings", default="none")
    last_flown = tables.Column(verbose_name="Last flown", default="never")

    class Meta:
        region = "line-up"
        style = "line-up"
        empty_text = "No airframe fits this search."

    def render_name(self, record: Standing) -> SafeString:
        layout = record.summary.layout if record.summary is not None else "no setup yet"
        return format_html(
            '<a href="{}">{}</a> <span class="layout">{}</span>',
            reverse("flights:airframe", args=[record.airframe.slug]), record.airframe.name, layout,
        )  # fmt: skip

    def render_state(self, record: Standing) -> SafeString:
        return format_html('<span class="state {}">{}</span>', record.state_class, record.state)

    def render_warnings(self, value: int) -> str:
        return str(value) if value else "none"

    def render_last_flown(self, record: Standing) -> str:
        return f"{record.last_flown:%d %b %Y}" if record.last_flown else "never"
