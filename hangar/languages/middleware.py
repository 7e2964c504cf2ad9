"""Each answer in the language and unit of length of the member; else in the language that the browser asks for."""

from collections.abc import Callable

from django.conf import settings
from django.db import Error
from django.http import HttpRequest, HttpResponse
from django.utils import translation
from django.utils.cache import patch_vary_headers

from .speaking import MM, speaking


class LanguageMiddleware:
    """Stands after the one that knows who is signed in."""

    def __init__(self, answer: Callable[[HttpRequest], HttpResponse]) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        own, unit = _chosen(request)
        code = own if own in dict(settings.LANGUAGES) else translation.get_language_from_request(request)
        with speaking(code, unit):
            response = self.answer(request)
        response.headers.setdefault("Content-Language", code)
        patch_vary_headers(response, ("Accept-Language", "Cookie"))
        return response


def _chosen(request: HttpRequest) -> tuple[str, str]:
    """Language and unit of length of who is signed in."""
    try:
        return getattr(request.user, "language", ""), getattr(request.user, "length_unit", MM)
    except Error:
        # Whoever asks for the member next says so, on a page that can be read.
        return "", MM
