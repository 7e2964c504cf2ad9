"""Headers that no library sets for us."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

POLICY = "camera=(), geolocation=(), microphone=(), payment=(), usb=()"


class HeadersMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Permissions-Policy", POLICY)
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        # The club's laptop passes from hand to hand: Back must not show a page of the member before.
        if getattr(request, "user", None) is not None and request.user.is_authenticated:
            response.headers.setdefault("Cache-Control", "private, no-cache")
        return response
