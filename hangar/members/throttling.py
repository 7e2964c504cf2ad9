"""How many wrong passwords are borne, on top of what django-axes counts by itself: one login from one address."""

from typing import Any

from axes.attempts import get_cool_off_threshold
from axes.handlers.database import AxesDatabaseHandler
from axes.helpers import get_client_username
from axes.models import AccessAttempt
from django.conf import settings
from django.db.models import Sum
from django.http import HttpRequest

from .known import is_known

FROM_ONE_ADDRESS = 50
"""For whichever logins: a whole club may stand behind one address, and its members mistype, too."""

FOR_ONE_LOGIN = 25
"""From wherever. A browser in which that member signed in before goes on: else anyone could close it from elsewhere."""


class Handler(AxesDatabaseHandler):
    """What AXES_HANDLER names. Signing in resets what AXES_LOCKOUT_PARAMETERS counts, and neither of the wider counts:
    who guesses at others could else sign in as themselves between two guesses.
    """

    def get_failures(self, request: HttpRequest, credentials: "dict[str, Any] | None" = None) -> int:
        """Those of the login from the address; as many as close it where one of the wider counts is full."""
        near: int = super().get_failures(request, credentials)
        limit: int = settings.AXES_FAILURE_LIMIT
        if near >= limit:
            return near
        login, address = get_client_username(request, credentials), request.axes_ip_address  # type: ignore[attr-defined]
        if address and _failures(request, ip_address=address) >= FROM_ONE_ADDRESS:
            return limit
        if _failures(request, username=login) >= FOR_ONE_LOGIN and not is_known(request, login):
            return limit
        return near


def _failures(request: HttpRequest, **which: str) -> int:
    recent = AccessAttempt.objects.filter(attempt_time__gte=get_cool_off_threshold(request), **which)
    return recent.aggregate(total=Sum("failures_since_start"))["total"] or 0
