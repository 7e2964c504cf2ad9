"""Browsers in which a member has signed in before, told by a signed cookie of numbers. It signs nobody in."""

from typing import Any, TypeVar

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponse

from .models import Member

COOKIE = "known"
MOST = 20
"""Members of one browser: the club's laptop passes from hand to hand."""

_SALT = "hangar.members.known"
_LASTS = 400 * 24 * 3600

R = TypeVar("R", bound=HttpResponse)


def known_members(request: HttpRequest) -> list[int]:
    """The keys of those who signed in in this browser, the last first."""
    try:
        said: Any = signing.loads(request.COOKIES.get(COOKIE, ""), salt=_SALT, max_age=_LASTS)
    except signing.BadSignature:
        return []
    return [one for one in said if isinstance(one, int)]


def is_known(request: HttpRequest, login: str) -> bool:
    return Member.objects.filter(login=login, pk__in=known_members(request)).exists()


def remembering(request: HttpRequest, response: R) -> R:
    """The answer to someone who has just signed in, with a cookie that says so to the next visit."""
    member = request.user
    if isinstance(member, Member):
        keys = [member.pk, *(key for key in known_members(request) if key != member.pk)]
        response.set_cookie(
            COOKIE, signing.dumps(keys[:MOST], salt=_SALT), max_age=_LASTS, path=settings.SESSION_COOKIE_PATH,
            secure=settings.SESSION_COOKIE_SECURE, httponly=True, samesite="Lax",
        )  # fmt: skip
    return response
