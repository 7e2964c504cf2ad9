"""The address of whoever asks, as far as it can be trusted."""

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
