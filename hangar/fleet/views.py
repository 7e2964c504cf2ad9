"""Pages of the fleet about one airframe: its own facts, its people, leaving the club, its mark."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from hangar.form_pages import form_page, get_or_post
from hangar.inputs import attempt
from hangar.requests import SignedIn, posted

from . import operations
from .crumbs import airframe_crumbs, crumbs_to
from .errors import FleetError
from .forms import AirframeForm, PeopleForm
from .lookups import current_fitting, get_disposable_airframe_for, get_editable_airframe_for
from .models import Airframe


@get_or_post
def edit_airframe(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    initial = {name: getattr(airframe, name) for name in operations.AIRFRAME_FIELDS}
    form = AirframeForm(posted(request), initial=initial)
    if form.is_valid():
        fields = form.cleaned_data
        if attempt(
            form, (FleetError,), lambda: operations.change_airframe(user=request.user, airframe=airframe, **fields)
        ):
            return redirect("flights:airframe", slug)
    name = str(initial["name"])
    title = _("Facts about {airframe}").format(airframe=name)
    return form_page(request, form, title=title, crumbs=crumbs_to(slug, name), here="line-up")


@get_or_post
def people(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_disposable_airframe_for(request.user, slug)
    form = PeopleForm(posted(request), airframe=airframe)
    if form.is_valid():
        fields = form.cleaned_data
        if attempt(
            form, (FleetError,), lambda: operations.change_people(user=request.user, airframe=airframe, **fields)
        ):
            return redirect("flights:airframe", slug)
    title = _("Owner and helpers of {airframe}").format(airframe=airframe)
    return form_page(request, form, title=title, crumbs=airframe_crumbs(airframe), here="line-up")


@get_or_post
def leave(request: SignedIn, slug: str) -> HttpResponse:
    """An airframe is sold or gone: what to hand over with it, and saying so."""
    airframe = get_disposable_airframe_for(request.user, slug)
    if request.method == "POST":
        try:
            operations.leave_club(user=request.user, airframe=airframe)
        except FleetError as error:
            messages.warning(request, str(error))
            return redirect("fleet:leave", slug)
        messages.success(request, _("{airframe} is gone from the club. Its history stays.").format(airframe=airframe))
        return redirect("flights:airframe", slug)
    ctx = {
        "airframe": airframe, "fitting": current_fitting(airframe), "here": "line-up",
        "crumbs": airframe_crumbs(airframe),
        # By the name of the relation: setups are kept by the package above this one.
        "has_setup": Airframe.objects.filter(pk=airframe.pk, revisions__isnull=False).exists(),
    }  # fmt: skip
    return render(request, "fleet/leave.html", ctx)


@require_POST
def see_mark(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    try:
        seen = operations.see_mark(user=request.user, airframe=airframe)
    except FleetError as error:
        messages.warning(request, str(error))
        return redirect("fleet:edit_airframe", slug)
    messages.success(request, _("The mark {mark} was seen on {airframe}.").format(mark=seen.mark, airframe=airframe))
    return redirect("flights:airframe", slug)
