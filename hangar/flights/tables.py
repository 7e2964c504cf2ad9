"""The line-up, the club's airframes at a glance, and the filter above it."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext_lazy

from hangar.choosing import MOST
from hangar.fleet.choices import find_airframes
from hangar.fleet.models import Airframe, Status
from hangar.members.choices import named
from hangar.members.models import Member
from hangar.setups.summaries import layout_told
from hangar.tables import Table

from .reasons import STATES, checked_words, in_words, sheet_words, state_class, state_words, verdict_words

REASONS_TOLD = 2
OWN_SHOWN = 20
Ordered = tuple[QuerySet[Airframe], bool]


def _owned_by(queryset: QuerySet[Airframe], name: str, value: str) -> QuerySet[Airframe]:
    return queryset.filter(owner__in=named(Member.objects.all(), value).values("pk"))


class LineUpFilter(django_filters.FilterSet):
    search = django_filters.CharFilter(
        label=gettext_lazy("Search"), method="filter_search", widget=forms.TextInput(attrs={"type": "search"})
    )
    owner = django_filters.ChoiceFilter(label=gettext_lazy("Owner"), choices=(), empty_label=gettext_lazy("anyone"))
    status = django_filters.ChoiceFilter(
        label=gettext_lazy("Status"), choices=Status.choices, empty_label=gettext_lazy("any, in the club")
    )
    state = django_filters.ChoiceFilter(
        label=pgettext_lazy("whether it may fly", "State"), empty_label=gettext_lazy("any"),
        choices=lambda: [(state, state_words(state)) for state in STATES], field_name="glance__state",
    )  # fmt: skip

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        theirs = Airframe.objects.filter(owner=OuterRef("pk"))
        owners = list(Member.objects.filter(Exists(theirs)).select_related("personal")[: MOST + 1])
        if len(owners) > MOST:
            # A list of thousands helps nobody: a name is typed, or a part of it.
            typed = django_filters.CharFilter(label=self.filters["owner"].label, method=_owned_by)
            self.filters["owner"] = typed
            typed.parent = self
        else:
            self.filters["owner"].extra["choices"] = [(one.pk, str(one)) for one in owners]

    def filter_search(self, queryset: QuerySet[Airframe], name: str, value: str) -> QuerySet[Airframe]:
        return find_airframes(queryset, value)

    def filter_queryset(self, queryset: QuerySet[Airframe]) -> QuerySet[Airframe]:
        """What is gone from the club is shown where it is asked for."""
        found: QuerySet[Airframe] = super().filter_queryset(queryset)
        asked = self.form.cleaned_data.get("status")
        return found if asked else found.exclude(status=Status.GONE)


@dataclass(frozen=True)
class Yours:
    """One model that a member owns or helps with, as the line-up begins with it."""

    airframe: Airframe
    state: str
    state_class: str
    reasons: SafeString


def own_models(member: Member) -> list[Yours]:
    """What a member flies: the models that they own or help with, by name."""
    helped = Airframe.helpers.through.objects.filter(member=member).values("airframe")
    own = Airframe.objects.filter(Q(owner=member) | Q(pk__in=helped)).exclude(status=Status.GONE)
    rows = own.select_related("glance").order_by("name", "slug")[:OWN_SHOWN]
    return [
        Yours(row, state_words(row.glance.state), state_class(row.glance.state), first_reasons(row)) for row in rows
    ]


class GlanceColumn(tables.Column):
    """A column of the row that is kept of each airframe: the database sorts it, and what is missing comes last."""

    def __init__(self, name: str, *, by: str = "", **options: Any) -> None:
        self.sorts_by = f"glance__{by or name}"
        super().__init__(accessor=f"glance__{name}", **options)

    def order(self, queryset: QuerySet[Airframe], is_descending: bool) -> Ordered:
        key = F(self.sorts_by)
        first = key.desc(nulls_last=True) if is_descending else key.asc(nulls_last=True)
        return queryset.order_by(first, "name", "slug"), True


class LineUpTable(Table):
    name = tables.Column(verbose_name=gettext_lazy("Airframe"), order_by=("name", "slug"))
    state = GlanceColumn("state", verbose_name=pgettext_lazy("whether it may fly", "State"))
    owner = tables.Column(
        accessor="owner__display_name", verbose_name=gettext_lazy("Owner"),
        order_by=("owner__personal__full_name", "name", "slug"),
    )  # fmt: skip
    revision = GlanceColumn("revision", verbose_name=gettext_lazy("Revision"), default=gettext_lazy("none"))
    verdict = GlanceColumn("verdict", verbose_name=gettext_lazy("Verdict"), default=gettext_lazy("not flown"))
    sheet = GlanceColumn("sheet_behind", verbose_name=gettext_lazy("Sheet"), default=gettext_lazy("none printed"))
    receiver = GlanceColumn(
        "receiver", verbose_name=gettext_lazy("Receiver"), default=pgettext_lazy("receiver", "none")
    )
    failsafe = GlanceColumn("failsafe_at", verbose_name=gettext_lazy("Failsafe"), default=gettext_lazy("none"))
    range_check = GlanceColumn("range_at", verbose_name=gettext_lazy("Range"), default=gettext_lazy("none"))
    warnings = GlanceColumn("warnings", verbose_name=gettext_lazy("Warnings"), default=gettext_lazy("none"))
    last_flown = GlanceColumn("last_flown", verbose_name=gettext_lazy("Last flown"), default=gettext_lazy("never"))

    class Meta:
        region = "line-up"
        style = "line-up"
        empty_text = gettext_lazy("No airframe fits this search.")

    def render_name(self, record: Airframe) -> SafeString:
        row = record.glance
        layout = layout_told(row.layout) if row.revision is not None else _("no setup yet")
        return format_html(
            '<a href="{}">{}</a> <span class="layout">{}</span>',
            reverse("flights:airframe", args=[record.slug]), record.name, layout,
        )  # fmt: skip

    def render_state(self, value: str, record: Airframe) -> SafeString:
        """In a word, and the first reasons for it."""
        return format_html(
            '<span class="state {}">{}</span> {}', state_class(value), state_words(value), first_reasons(record)
        )

    def render_verdict(self, value: str) -> str:
        return verdict_words(value)

    def render_sheet(self, value: int, record: Airframe) -> str:
        return sheet_words(value, record.glance.revision)

    def render_failsafe(self, value: datetime, record: Airframe) -> str:
        return checked_words(timezone.localdate(value), record.glance.failsafe_holds)

    def render_range_check(self, value: datetime, record: Airframe) -> str:
        return checked_words(timezone.localdate(value), record.glance.range_holds)

    def render_warnings(self, value: int) -> str:
        return str(value) if value else _("none")

    def render_last_flown(self, value: date) -> str:
        return date_format(value, "DATE_FORMAT")


def first_reasons(record: Airframe) -> SafeString:
    """The first reasons of its state, and how many more there are."""
    reasons = record.glance.reasons
    told = in_words(reasons[:REASONS_TOLD])
    if (more := len(reasons) - REASONS_TOLD) > 0:
        told.append(ngettext("and {count} more", "and {count} more", more).format(count=more))
    return format_html_join("", '<span class="why">{}</span>', ((text,) for text in told))
