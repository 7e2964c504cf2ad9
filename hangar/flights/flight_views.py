"""Writing about flying: a test flight, grounding and releasing."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from hangar.fleet.crumbs import airframe_crumbs
from hangar.fleet.lookups import get_airframe_for, get_editable_airframe_for
from hangar.fleet.models import Airframe
from hangar.fleet.withdrawing import may_withdraw
from hangar.form_pages import form_page, get_or_post
from hangar.inputs import attempt
from hangar.members.errors import NotAllowed
from hangar.members.policy import can, guard
from hangar.requests import SignedIn, posted
from hangar.setups.history import current_head, currently_entered
from hangar.setups.models import Revision
from mixing.wording import throw_words

from . import operations
from .asked import flown_now, revision_asked
from .errors import FlightError
from .forms import FlightForm, GroundForm, ReleaseForm
from .models import Verdict
from .reasons import in_words
from .reports import get_flight_of, last_load, last_that_flew_well, open_groundings, way_back

NUMBERS = 30


def _flown(airframe: Airframe, asked: str) -> Revision:
    """The revision that was flown: the one asked for, else what is in the transmitter, else the current one."""
    return revision_asked(airframe, asked) if asked else flown_now(airframe)


def _proposed(airframe: Airframe, revision: Revision) -> list[tuple[int, str]]:
    """The revision that is proposed, then the newest others; older ones have a link on their own page."""
    entered = currently_entered(airframe)
    held = entered.revision.number if entered is not None else None
    newest = Revision.objects.of(airframe).order_by("-number").values_list("number", flat=True)[:NUMBERS]
    numbers = [revision.number, *(number for number in newest if number != revision.number)]
    there, plain = _("revision {number}, in the transmitter"), _("revision {number}")
    return [(number, (there if number == held else plain).format(number=number)) for number in numbers]


@get_or_post
def log_flight(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    revision = _flown(airframe, request.POST.get("revision") or request.GET.get("revision", ""))
    form = FlightForm(
        posted(request), user=request.user, revision=revision, numbers=_proposed(airframe, revision),
        initial={"pilot": request.user.pk, "load": last_load(revision)},
    )  # fmt: skip
    if form.is_valid():
        given = {**form.cleaned_data, "revision": revision}
        logged = attempt(form, (FlightError,), lambda: operations.log_flight(user=request.user, **given))
        if logged is not None:
            _tell(request, airframe, logged)
            return redirect("flights:flight", slug, logged.flight.pk)
    ctx = {
        "airframe": airframe, "revision": revision, "form": form, "here": "line-up",
        "crumbs": airframe_crumbs(airframe),
    }  # fmt: skip
    return render(request, "flights/log_flight.html", ctx)


def _tell(request: SignedIn, airframe: Airframe, logged: operations.Logged) -> None:
    number = logged.flight.revision.number
    if logged.grounding is not None:
        text = _("The flight is logged, and {airframe} is grounded: {reason}.")
        messages.warning(request, text.format(airframe=airframe, reason=in_words([logged.grounding.why])[0]))
    elif logged.was_grounded:
        text = _("The flight is logged. {airframe} was grounded, and still is.")
        messages.warning(request, text.format(airframe=airframe))
    else:
        messages.success(request, _("The flight of revision {number} is logged.").format(number=number))


@require_safe
def flight(request: SignedIn, slug: str, pk: int) -> HttpResponse:
    """One flight, and where it leads: a draft from what was seen, or back to what flew well."""
    airframe = get_airframe_for(request.user, slug)
    found = get_flight_of(airframe, pk)
    setup, head = found.revision.setup, current_head(airframe)
    rejected = found.verdict == Verdict.REJECT and head is not None and head.pk == found.revision_id
    back_to = way_back(airframe, head) if rejected and head is not None else None
    ctx = {
        "airframe": airframe, "flight": found, "here": "line-up", "crumbs": airframe_crumbs(airframe),
        "load": next((load.label for load in setup.balance.loads if load.key == found.load), found.load),
        "may_edit": can(request.user, "edit", airframe), "back_to": back_to,
        "flew_well": last_that_flew_well(airframe) if back_to is not None else None,
        "example_throw": throw_words(3, "elevator"),
        "may_withdraw": found.withdrawn_at is None and may_withdraw(request.user, found),
    }  # fmt: skip
    return render(request, "flights/flight.html", ctx)


@get_or_post
def ground(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_airframe_for(request.user, slug)
    form = GroundForm(posted(request))
    if form.is_valid():
        given = form.cleaned_data
        if attempt(form, (FlightError,), lambda: operations.ground(user=request.user, airframe=airframe, **given)):
            messages.warning(request, _("{airframe} is grounded.").format(airframe=airframe))
            return redirect("flights:airframe", slug)
    return form_page(
        request, form, title=_("Ground {airframe}").format(airframe=airframe), submit=_("Ground it"), here="line-up",
        crumbs=airframe_crumbs(airframe), lede=_("Anyone may. An instructor or a secretary releases it."),
    )  # fmt: skip


@get_or_post
def release(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_airframe_for(request.user, slug)
    guard(request.user, "release")
    open_ones = open_groundings(airframe)
    if not open_ones:
        messages.info(request, _("{airframe} is not grounded.").format(airframe=airframe))
        return redirect("flights:airframe", slug)
    form = ReleaseForm(posted(request), open_ones=open_ones)
    if form.is_valid():
        given = form.cleaned_data
        if attempt(form, (FlightError, NotAllowed), lambda: operations.release(user=request.user, **given)):
            messages.success(request, _("{airframe} is released from this.").format(airframe=airframe))
            return redirect("flights:airframe", slug)
    return form_page(
        request, form, title=_("Release {airframe}").format(airframe=airframe), submit=_("Release it"), here="line-up",
        crumbs=airframe_crumbs(airframe), cautions=True,
    )  # fmt: skip
