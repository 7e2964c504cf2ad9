"""The club's members, as the secretary keeps them."""

from datetime import datetime

import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import Q, QuerySet
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext, pgettext_lazy
from django.utils.translation import gettext_lazy as _

from hangar.folding import search_words
from hangar.tables import Table

from .models import Invitation, Member, Role


class MemberFilter(django_filters.FilterSet):
    search = django_filters.CharFilter(
        label=_("Search"), method="filter_search", widget=forms.TextInput(attrs={"type": "search"})
    )
    role = django_filters.ChoiceFilter(label=_("Role"), choices=Role.choices, empty_label=_("any"))
    here = django_filters.ChoiceFilter(
        label=pgettext_lazy("which members", "Show"), choices=[("yes", _("members")), ("no", _("who left"))],
        empty_label=_("all"), method="filter_here",
    )  # fmt: skip

    def filter_search(self, queryset: QuerySet[Member], name: str, value: str) -> QuerySet[Member]:
        for word in search_words(value):
            queryset = queryset.filter(
                Q(personal__searched__contains=word)
                | Q(login__contains=word)
                | Q(personal__operator_number__icontains=word)
            )
        return queryset

    def filter_here(self, queryset: QuerySet[Member], name: str, value: str) -> QuerySet[Member]:
        return queryset.filter(is_active=value == "yes")


class MemberTable(Table):
    name = tables.Column(accessor="display_name", verbose_name=_("Member"), order_by="personal__full_name")
    login = tables.Column(verbose_name=_("Login"))
    role = tables.Column(verbose_name=_("Role"))
    number = tables.Column(verbose_name=_("Operator number"), order_by="personal__licence_expires_on", empty_values=())
    joined_at = tables.Column(verbose_name=_("Here since"))
    here = tables.Column(verbose_name=_("State"), accessor="is_active", order_by="-is_active")

    class Meta:
        region = "members"
        empty_text = _("Nobody fits this search.")

    def render_name(self, record: Member) -> SafeString:
        return format_html('<a href="{}">{}</a>', reverse("members:member", args=[record.pk]), record.display_name)

    def render_login(self, record: Member) -> str:
        """Of a former member it is only a random word that takes its place."""
        return record.login if hasattr(record, "personal") else ""

    def render_number(self, record: Member) -> str | SafeString:
        personal = getattr(record, "personal", None)
        if personal is None or not (personal.operator_number or personal.licence_expires_on):
            return ""
        warning = personal.expiry_warning()
        if not warning:
            return personal.operator_number or gettext("given no number")
        return format_html(
            '<div>{} <span class="state look-first told">{}</span></div>', personal.operator_number, warning
        )

    def render_joined_at(self, record: Member) -> str:
        return date_format(timezone.localtime(record.joined_at), "YEAR_MONTH_FORMAT")

    def render_here(self, value: bool) -> str:
        return "" if value else gettext("has left")


class InvitationTable(Table):
    """The links that are still open, each with the way to withdraw it."""

    name = tables.Column(
        accessor="full_name",
        verbose_name=_("For"),
        empty_values=(),
        order_by=("member__personal__full_name", "full_name"),
    )
    deed = tables.Column(accessor="role", verbose_name=_("What it does"), order_by=("member", "role"))
    created_at = tables.Column(verbose_name=_("Made on"))
    expires_at = tables.Column(verbose_name=_("Open until"))
    by = tables.Column(accessor="invited_by", verbose_name=_("Made by"), order_by="invited_by__personal__full_name")
    withdraw = tables.Column(accessor="pk", verbose_name=_("Withdraw"), orderable=False)

    class Meta:
        region = "links"
        empty_text = _("No link is open.")

    def render_name(self, record: Invitation) -> str | SafeString:
        if record.member is None:
            return record.full_name
        address = reverse("members:member", args=[record.member.pk])
        return format_html('<a href="{}">{}</a>', address, record.member.display_name)

    def render_deed(self, record: Invitation) -> str:
        if record.member is not None:
            return gettext("a new password")
        return gettext("to join as {role}").format(role=record.get_role_display())

    def render_created_at(self, value: datetime) -> str:
        return date_format(timezone.localtime(value), "DATE_FORMAT")

    def render_expires_at(self, value: datetime) -> str:
        return date_format(timezone.localtime(value), "DATETIME_FORMAT")

    def render_withdraw(self, record: Invitation) -> SafeString:
        return render_to_string("members/_withdraw.html", {"invitation": record}, self.request)
