"""Headers that no library sets for us, and how much may be sent to us at once."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import translation

POLICY = "camera=(), geolocation=(), microphone=(), payment=(), usb=()"


_PERSONAL = ("members",)


def _kept(request: HttpRequest) -> str:
    """The club's laptop passes from hand to hand: Back must not show a page of the member before.

    A page about people is kept nowhere. Any other is held for Back while its member is signed in, with what was typed.
    """
    match = request.resolver_match
    return "no-store" if match is not None and match.app_name in _PERSONAL else "no-cache"


def _signed_out(response: HttpResponse) -> bool:
    """Whether this answer takes the session's cookie away."""
    cookie = response.cookies.get(settings.SESSION_COOKIE_NAME)
    return cookie is not None and cookie["max-age"] == 0


class HeadersMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Permissions-Policy", POLICY)
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        if getattr(request, "user", None) is not None and request.user.is_authenticated:
            response.headers.setdefault("Cache-Control", f"private, {_kept(request)}")
        elif _signed_out(response):
            # What a browser holds for its Back button, too: asked of it over HTTPS and on this machine itself.
            response.headers["Clear-Site-Data"] = '"cache"'
        # A refusal, or the way to sign in: what it says may be otherwise the next time.
        response.headers.setdefault("Cache-Control", "private, no-cache")
        return response


LARGEST_POST = 16 * 1024 * 1024


class SizeMiddleware:
    """Refuse what is larger than any form of ours before it is read, so that nobody fills the disk with uploads.

    Where no length is given nothing is read either: Django takes it as 0.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isdecimal() or int(length[:20]) > LARGEST_POST:
            with translation.override(translation.get_language_from_request(request)):
                return render(request, "413.html", status=413)
        return self.get_response(request)
