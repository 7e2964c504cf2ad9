"""Taking edits of a draft back, and doing them again; throwing it away, and having it back."""

from collections.abc import Callable
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from hangar.fleet.lookups import get_airframe_for, get_editable_airframe_for
from hangar.requests import SignedIn

from . import drafts
from .editing import desk_of, version_of
from .errors import HistoryError
from .models import Draft
from .thrown import get_thrown_of, throw_away
from .thrown import have_back as have_draft_back


@require_POST
def take_back(request: SignedIn, slug: str) -> HttpResponse:
    """What the draft said before its last edit; then the page from which it was asked."""
    desk = desk_of(request.user, get_editable_airframe_for(request.user, slug))
    told = _("Taken back: {edit}.").format(edit=desk.trail.back)
    return _walked(request, slug, desk.draft, drafts.take_back, told)


@require_POST
def do_again(request: SignedIn, slug: str) -> HttpResponse:
    """The edit that was taken back last, once more; then the page from which it was asked."""
    desk = desk_of(request.user, get_editable_airframe_for(request.user, slug))
    told = _("Done again: {edit}.").format(edit=desk.trail.again)
    return _walked(request, slug, desk.draft, drafts.do_again, told)


def _walked(request: SignedIn, slug: str, draft: Draft | None, walk: Callable[..., Draft], told: str) -> HttpResponse:
    try:
        walk(user=request.user, draft=draft, version=version_of(request.POST))
        messages.success(request, told)
    except HistoryError as error:
        messages.error(request, str(error))
    home, back = reverse("setups:draft", args=[slug]), request.POST.get("back", "")
    # Only a page of this draft: an address from outside must not decide where to go.
    return redirect(back if back.startswith(home) else home)


@require_POST
def discard(request: SignedIn, slug: str) -> HttpResponse:
    """Throw the member's own draft away; the page that follows has the way back to it."""
    airframe = get_airframe_for(request.user, slug)
    thrown = throw_away(user=request.user, airframe=airframe)
    if thrown is None:
        messages.info(request, _("There is no draft of yours: it was recorded or thrown away before."))
        return redirect("flights:airframe", slug)
    return redirect(f"{reverse('flights:airframe', args=[slug])}?{urlencode({'thrown': thrown.pk})}")


@require_POST
def have_back(request: SignedIn, slug: str, pk: int) -> HttpResponse:
    """The draft that was thrown away, in hand again."""
    airframe = get_editable_airframe_for(request.user, slug)
    have_draft_back(user=request.user, draft=get_thrown_of(request.user, airframe, pk))
    messages.success(request, _("Your draft is back, as it was."))
    return redirect("setups:draft", slug)
