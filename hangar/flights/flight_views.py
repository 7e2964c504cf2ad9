"""Writing about flying: a test flight, grounding and releasing."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from hangar.fleet.lookups import get_airframe_for, get_editable_airframe_for
from hangar.fleet.models import Airframe
from hangar.inputs import attempt
from hangar.members.errors import NotAllowed
from hangar.members.policy import guard
from hangar.requests import SignedIn, posted
from hangar.setups.history import current_head, currently_entered, get_revision_of
from hangar.setups.models import Revision

from . import operations
from .errors import FlightError
from .forms import FlightForm, GroundForm, ReleaseForm
from .reports import open_groundings

get_or_post = require_http_methods(["GET", "HEAD", "POST"])


def airframe_crumbs(airframe: Airframe) -> list[tuple[str, str]]:
    return [("Line-up", reverse("flights:line_up")), (airframe.name, reverse("flights:airframe", args=[airframe.slug]))]


def _flown(airframe: Airframe, asked: str) -> Revision:
    """The revision that was flown: the one asked for, else what is in the transmitter, else the current one."""
    if asked:
        if not (asked.isascii() and asked.isdigit() and len(asked) < 9):
            raise Http404(f"There is no revision {asked[:20]!r}.")
        return get_revision_of(airframe, int(asked))
    entered = currently_entered(airframe)
    found = entered.revision if entered is not None else current_head(airframe)
    if found is None:
        raise Http404(f"{airframe} has no setup yet.")
    return found


@get_or_post
def log_flight(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    revision = _flown(airframe, request.GET.get("revision", ""))
    form = FlightForm(posted(request), revision=revision, initial={"pilot": request.user.pk})
    if form.is_valid():
        logged = attempt(
            form,
            (FlightError,),
            lambda: operations.log_flight(user=request.user, revision=revision, **form.cleaned_data),
        )
        if logged is not None:
            if logged.grounding is not None:
                messages.warning(
                    request, f"The flight is logged, and {airframe} is grounded: {logged.grounding.reason}."
                )
            elif logged.was_grounded:
                messages.warning(request, f"The flight is logged. {airframe} was grounded, and still is.")
            else:
                messages.success(request, f"The flight of revision {revision.number} is logged.")
            return redirect("flights:airframe", slug)
    ctx = {
        "airframe": airframe, "revision": revision, "form": form, "here": "line-up",
        "crumbs": airframe_crumbs(airframe),
        "numbers": Revision.objects.of(airframe).order_by("-number").values_list("number", flat=True),
        "is_entered": currently_entered(airframe) is not None,
    }  # fmt: skip
    return render(request, "flights/log_flight.html", ctx)


@get_or_post
def ground(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_airframe_for(request.user, slug)
    form = GroundForm(posted(request))
    if form.is_valid():
        given = form.cleaned_data
        if attempt(form, (FlightError,), lambda: operations.ground(user=request.user, airframe=airframe, **given)):
            messages.warning(request, f"{airframe} is grounded.")
            return redirect("flights:airframe", slug)
    ctx = {
        "form": form, "title": f"Ground {airframe}", "submit": "Ground it", "here": "line-up",
        "lede": "Anyone may. An instructor or a secretary releases it.",
        "cancel": reverse("flights:airframe", args=[slug]), "crumbs": airframe_crumbs(airframe),
    }  # fmt: skip
    return render(request, "form_page.html", ctx)


@get_or_post
def release(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_airframe_for(request.user, slug)
    guard(request.user, "release")
    open_ones = open_groundings(airframe)
    if not open_ones:
        messages.info(request, f"{airframe} is not grounded.")
        return redirect("flights:airframe", slug)
    form = ReleaseForm(posted(request), open_ones=open_ones)
    if form.is_valid():
        given = form.cleaned_data
        if attempt(form, (FlightError, NotAllowed), lambda: operations.release(user=request.user, **given)):
            messages.success(request, f"{airframe} is released from this.")
            return redirect("flights:airframe", slug)
    ctx = {
        "form": form, "title": f"Release {airframe}", "submit": "Release it", "here": "line-up", "cautions": True,
        "cancel": reverse("flights:airframe", args=[slug]), "crumbs": airframe_crumbs(airframe),
    }  # fmt: skip
    return render(request, "form_page.html", ctx)
