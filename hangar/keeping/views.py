"""The secretary's page: how old the last backup is, and whether anyone has tried to get one back."""

from datetime import datetime, timedelta

from django.db import connection
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from hangar.members.policy import guard
from hangar.requests import SignedIn

from .checks import sqlite_fault
from .models import Backup, Drill

BACKUP_LASTS = timedelta(days=7)
DRILL_LASTS = timedelta(days=180)
DATABASES = {"sqlite": _("SQLite, in a file on this machine"), "postgresql": "PostgreSQL"}


@require_safe
def backups(request: SignedIn) -> HttpResponse:
    guard(request.user, "manage_members")
    now = timezone.now()
    newest, drill = Backup.objects.first(), Drill.objects.first()
    ctx = {
        "newest": newest, "drill": drill, "backups": Backup.objects.all()[:10], "here": "members",
        "age": _age(newest.at, now) if newest else "", "drill_age": _age(drill.at, now) if drill else "",
        "old": newest is None or now - newest.at > BACKUP_LASTS,
        "untried": drill is None or now - drill.at > DRILL_LASTS,
        "database": DATABASES[connection.vendor], "fault": sqlite_fault(),
        "crumbs": [(gettext("Members"), reverse("members:list"))],
    }  # fmt: skip
    return render(request, "keeping/backups.html", ctx)


def _age(then: datetime, now: datetime) -> str:
    """In whole days, or hours on the first one: "3 days ago"."""
    hours = max(0, int((now - then).total_seconds() // 3600))
    if hours == 0:
        return gettext("less than an hour ago")
    if hours < 48:
        return ngettext("{count} hour ago", "{count} hours ago", hours).format(count=hours)
    return ngettext("{count} day ago", "{count} days ago", hours // 24).format(count=hours // 24)
