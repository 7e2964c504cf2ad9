"""The browsers in which a member is signed in: noted, listed, ended. The sessions are Django's own, in the database."""

from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.contrib.sessions.models import Session
from django.core.cache import cache
from django.db import DatabaseError
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from .device_words import device_words
from .models import Member, Visit

# How exactly "last seen" is known. Each process writes it at most once in this time, so reading stays reading.
NOTED_EVERY = timedelta(minutes=10)


def remember(request: HttpRequest, user: Member, **_: Any) -> None:
    """A member has just signed in: note the browser, and forget those whose session is over."""
    if request.session.session_key is None:
        request.session.create()
    Session.objects.filter(expire_date__lt=timezone.now()).delete()
    Visit.objects.exclude(session_key__in=Session.objects.values("session_key")).delete()
    _note(request, user)


def _note(request: HttpRequest, member: Member) -> None:
    key = str(request.session.session_key)
    cache.set(_cached(key), True, NOTED_EVERY.total_seconds())
    now = timezone.now()
    Visit.objects.update_or_create(
        session_key=key,
        defaults={"member": member, "last_seen_at": now},
        create_defaults={
            "member": member, "last_seen_at": now, "signed_in_at": now,
            "device": device_words(request.headers.get("User-Agent", "")),
        },
    )  # fmt: skip


def _cached(key: str) -> str:
    return f"visit:{key}"


class VisitMiddleware:
    """Note now and then that a browser was seen."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        member: Member | AnonymousUser = request.user
        key = request.session.session_key
        if isinstance(member, Member) and key and not cache.get(_cached(key)):
            # A full disk must not keep anyone from reading: the page matters, the note does not.
            with suppress(DatabaseError):
                _note(request, member)
        return response


def visits_of(member: Member) -> QuerySet[Visit]:
    """Where this member is signed in now, the last seen first."""
    live = Session.objects.filter(expire_date__gte=timezone.now()).values("session_key")
    return Visit.objects.filter(member=member, session_key__in=live)


def end_visit(*, user: Member, visit: Visit) -> None:
    """Sign a browser out from afar. One's own only: the look-up is part of it."""
    _end(Visit.objects.filter(member=user, pk=visit.pk))


def end_others(*, user: Member, keep: str | None) -> int:
    """Sign out everywhere but in the session `keep`; how many those were."""
    others = Visit.objects.filter(member=user).exclude(session_key=keep)
    count = visits_of(user).exclude(session_key=keep).count()
    _end(others)
    return count


def end_all(member: Member) -> None:
    """Sign a member out everywhere: they left, or the password is new."""
    _end(Visit.objects.filter(member=member))


def _end(visits: QuerySet[Visit]) -> None:
    keys = list(visits.values_list("session_key", flat=True))
    Session.objects.filter(session_key__in=keys).delete()
    Visit.objects.filter(session_key__in=keys).delete()
