"""Lists of the fleet."""

from typing import Any

import django_tables2 as tables
from django.db.models import QuerySet
from django.db.models.functions import Length
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from hangar.tables import Table

from .models import Receiver, Transmitter


class ReceiverTable(Table):
    label = tables.Column(verbose_name=_("Receiver"))
    channels = tables.Column(verbose_name=_("Channels"))
    sits = tables.Column(verbose_name=_("Sits in"), accessor="open_fittings", orderable=False, empty_values=())
    since = tables.Column(verbose_name=_("Since"), accessor="open_fittings", orderable=False, empty_values=())
    status = tables.Column(verbose_name=_("Status"))
    note = tables.Column(verbose_name=_("Note"), orderable=False, default="")

    class Meta:
        region = "receivers"
        empty_text = _("No receiver is recorded yet. A secretary adds them.")

    def order_label(self, queryset: QuerySet[Receiver], is_descending: bool) -> tuple[QuerySet[Receiver], bool]:
        """R2 before R10."""
        length = Length("label").desc() if is_descending else Length("label").asc()
        return queryset.order_by(length, "-label" if is_descending else "label"), True

    def render_label(self, record: Receiver) -> SafeString:
        return format_html('<a href="{}">{}</a>', reverse("fleet:receiver", args=[record.pk]), record.label)

    def render_sits(self, value: list[Any]) -> str | SafeString:
        if not value:
            return gettext("nowhere")
        airframe = value[0].airframe
        return format_html('<a href="{}">{}</a>', reverse("flights:airframe", args=[airframe.slug]), airframe.name)

    def render_since(self, value: list[Any]) -> str:
        return date_format(timezone.localtime(value[0].since), "DATE_FORMAT") if value else ""


class TransmitterTable(Table):
    label = tables.Column(verbose_name=_("Transmitter"))
    owner = tables.Column(verbose_name=_("Owner"), default=_("the club"), order_by="owner__personal__full_name")
    stick_mode = tables.Column(verbose_name=_("Stick mode"))
    channels = tables.Column(verbose_name=_("Channels"))
    signs = tables.Column(verbose_name=_("Signs"), accessor="signs_proven", orderable=False)

    class Meta:
        region = "transmitters"
        empty_text = _("No transmitter is recorded yet. Add yours.")

    def render_label(self, record: Transmitter) -> SafeString:
        return format_html('<a href="{}">{}</a>', reverse("fleet:transmitter", args=[record.pk]), record.label)

    def render_stick_mode(self, record: Transmitter) -> int:
        return record.stick_mode

    def render_signs(self, value: bool) -> str:
        return gettext("tested") if value else gettext("unproven")
