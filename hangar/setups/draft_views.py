"""Taking back the last edit of a draft."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from hangar.fleet.lookups import get_editable_airframe_for
from hangar.requests import SignedIn

from . import drafts
from .editing import desk_of, version_of
from .errors import HistoryError


@require_POST
def take_back(request: SignedIn, slug: str) -> HttpResponse:
    """What the draft said before its last edit; then the page from which it was asked."""
    airframe = get_editable_airframe_for(request.user, slug)
    desk = desk_of(request.user, airframe)
    try:
        if desk.draft is None:
            raise HistoryError(_("There is no edit to take back."))
        drafts.take_back(user=request.user, draft=desk.draft, version=version_of(request.POST))
        messages.success(request, _("The last edit is taken back. Take back once more to have it again."))
    except HistoryError as error:
        messages.error(request, str(error))
    home, back = reverse("setups:draft", args=[slug]), request.POST.get("back", "")
    # Only a page of this draft: an address from outside must not decide where to go.
    return redirect(back if back.startswith(home) else home)
