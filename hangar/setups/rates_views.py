"""Two rates of a control from one form, so that the throws have a row for each."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from hangar.fleet.lookups import get_editable_airframe_for
from hangar.form_pages import get_or_post
from hangar.requests import SignedIn, posted

from .crumbs import edit_crumbs
from .editing import desk_of, desk_posted, keep
from .errors import HistoryError
from .rates import RatesForm
from .two_pages import tell_joined


@get_or_post
def rates(request: SignedIn, slug: str) -> HttpResponse:
    """Which controls get a low rate, by which switch."""
    airframe = get_editable_airframe_for(request.user, slug)
    is_post = request.method == "POST"
    desk = desk_posted(request.user, airframe, request.POST) if is_post else desk_of(request.user, airframe)
    form = RatesForm(posted(request), draft=desk.data)
    back = reverse("setups:throws", args=[slug])
    if is_post and form.is_valid():
        try:
            tell_joined(request, keep(desk, form.rated()))
        except HistoryError as error:
            form.add_error(None, str(error))
            desk = desk_of(request.user, airframe)
        else:
            told = _("Each end of a control has a row for either rate now: type the low throws where you want others.")
            messages.success(request, told)
            return redirect(f"{back}#throws")
    ctx = {
        "airframe": airframe, "desk": desk, "form": form, "here": "line-up",
        "crumbs": edit_crumbs(airframe, (_("Throws"), back)),
    }  # fmt: skip
    return render(request, "setups/rates.html", ctx)
