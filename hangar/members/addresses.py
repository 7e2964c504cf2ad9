"""Who tries to sign in, from where, as far as it can be trusted: by these the wrong passwords are counted."""

from collections.abc import Mapping

from django.conf import settings
from django.http import HttpRequest


def client_address(request: HttpRequest) -> str | None:
    """The address that our own outermost proxy saw; without a proxy, the connection's.

    Anyone can send X-Forwarded-For. Only the entries which our proxies appended, counted from the right, are true.
    """
    proxies: int = settings.HANGAR_PROXIES
    forwarded = [part.strip() for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",") if part.strip()]
    if proxies and len(forwarded) >= proxies:
        return str(forwarded[-proxies])
    return request.META.get("REMOTE_ADDR")


def tried_login(request: HttpRequest, credentials: Mapping[str, str] | None) -> str:
    """The login that was tried, in its one spelling: " NORA" and "nora" are one member's, with one count."""
    # Late, since settings name this function before the models are there.
    from .models import Member

    tried = credentials or request.POST
    return Member.normalize_username(tried.get("username") or "")
