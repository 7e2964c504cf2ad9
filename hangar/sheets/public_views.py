"""The one page of this package that needs nobody to sign in: whether the sheet in somebody's hand is still good."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from .heading import when_words
from .prints import state_of


@login_not_required
@never_cache
@require_safe
def still_good(request: HttpRequest, token: str) -> HttpResponse:
    """Current, superseded or grounded: no name, no number, nobody's deeds, and the same for whoever asks."""
    state = state_of(token)
    ctx = {"state": state, "now": when_words(timezone.now())}
    response = render(request, "sheets/still_good.html", ctx, status=200 if state is not None else 404)
    response["X-Robots-Tag"] = "noindex, nofollow"
    # The address is the secret: it goes to nobody else.
    response["Referrer-Policy"] = "no-referrer"
    return response
