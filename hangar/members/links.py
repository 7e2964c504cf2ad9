"""The full address of a link that is handed on: by hand, by mail, or from the terminal."""

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse


def link_address(token: str, request: HttpRequest | None = None) -> str:
    """Under the address by which phones reach the site; where none is set, the one by which this request came."""
    page = reverse("members:use_link", args=[token])
    base: str = settings.HANGAR_BASE_URL
    if base:
        return base.rstrip("/") + page
    return request.build_absolute_uri(page) if request is not None else f"http://localhost:8000{page}"
