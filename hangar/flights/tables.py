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
    layout = tables.Column(accessor="summary__layout", verbose_name="Layout", default="no setup yet", orderable=False)
    owner = tables.Column(accessor="airframe__owner__display_name", verbose_name="Owner")
    revision = tables.Column(accessor="head__number", verbose_name="Revision", default="none")
    last_flown = tables.Column(verbose_name="Last flown", default="never")

    class Meta:
        region = "line-up"
        style = "line-up"
        empty_text = "No airframe fits this search."

    def render_name(self, record: Standing) -> SafeString:
        return format_html(
            '<a href="{}">{}</a>', reverse("flights:airframe", args=[record.airframe.slug]), record.airframe.name
        )

    def render_state(self, record: Standing) -> SafeString:
        return format_html('<span class="state {}">{}</span>', record.state_class, record.state)

    def render_last_flown(self, record: Standing) -> str:
        return f"{record.last_flown:%d %b %Y}" if record.last_flown else "never"
