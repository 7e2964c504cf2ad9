"""Throws read at the model with a ruler: writing them down, looking at them, making a linkage of them."""

from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from hangar.fleet.crumbs import airframe_crumbs
from hangar.fleet.lookups import get_airframe_for, get_editable_airframe_for
from hangar.form_pages import get_or_post
from hangar.inputs import attempt
from hangar.members.policy import can
from hangar.requests import SignedIn, posted
from hangar.setups.editing import desk_of
from hangar.setups.matrix import rest_phase
from mixing.wording import length

from . import operations
from .asked import flown_now
from .errors import FlightError
from .measure_forms import ThrowsReadForm
from .throw_checks import FAR_MM, checks_of, get_check_of, linkage_lines, told


@get_or_post
def measured(request: SignedIn, slug: str) -> HttpResponse:
    """Throws read at the model in one phase, against what they should be."""
    airframe = get_editable_airframe_for(request.user, slug)
    revision = flown_now(airframe)
    setup = revision.setup
    asked = request.GET.get("phase")
    phase = asked if asked in {one.key for one in setup.phases} else rest_phase(setup)
    form = ThrowsReadForm(posted(request), setup=setup, phase=phase)
    if form.is_valid():
        made = attempt(form, (FlightError,), lambda: operations.record_throw_check(
            user=request.user, revision=revision, readings=form.readings, note=form.cleaned_data["note"],
            at=form.cleaned_data["on"],
        ))  # fmt: skip
        if made is not None:
            far = [one for one in form.readings if abs(one.measured_mm - one.predicted_mm) > FAR_MM]
            if far:
                labels = {surface.key: surface.label for surface in setup.surfaces}
                names = ", ".join(dict.fromkeys(labels[one.surface] for one in far))
                text = _("The throws are logged. More than {length} from the prediction: {names}. Measure its linkage.")
                messages.warning(request, text.format(length=length(FAR_MM), names=names))
            else:
                text = _("The throws are logged: all within {length} of the prediction.")
                messages.success(request, text.format(length=length(FAR_MM)))
            return redirect("flights:throw_check", slug, made.pk)
    ctx = {
        "airframe": airframe, "revision": revision, "setup": setup, "phase": phase, "form": form, "here": "line-up",
        "crumbs": airframe_crumbs(airframe), "earlier": checks_of(airframe)[:20],
    }  # fmt: skip
    return render(request, "flights/measured.html", ctx)


@require_safe
def throw_check(request: SignedIn, slug: str, pk: int) -> HttpResponse:
    """What was read, beside what was predicted, for everyone."""
    airframe = get_airframe_for(request.user, slug)
    check = get_check_of(airframe, pk)
    ctx = {
        "airframe": airframe, "check": check, "surfaces": told(check), "here": "line-up",
        "may_edit": can(request.user, "edit", airframe), "crumbs": airframe_crumbs(airframe),
    }  # fmt: skip
    return render(request, "flights/throw_check.html", ctx)


@require_safe
def as_linkage(request: SignedIn, slug: str, pk: int, key: str) -> HttpResponse:
    """To the linkage of the surface in the member's draft, with what was read written down there."""
    airframe = get_editable_airframe_for(request.user, slug)
    check = get_check_of(airframe, pk)
    rows = desk_of(request.user, airframe).data.get("surfaces") or []
    index = next((n for n, one in enumerate(rows) if one.get("key") == key), None)
    lines = linkage_lines(check, key)
    if index is None or not lines:
        raise Http404(f"There is nothing that was read of {key[:40]!r} here.")
    address = reverse("setups:linkage", args=[slug, index])
    return redirect(f"{address}?{urlencode({'readings': lines})}#readings")
