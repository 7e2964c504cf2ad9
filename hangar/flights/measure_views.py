"""Writing about the model itself: work that was done, and where it balanced."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from hangar.fleet.crumbs import airframe_crumbs
from hangar.fleet.lookups import get_editable_airframe_for
from hangar.form_pages import form_page, get_or_post
from hangar.inputs import attempt
from hangar.requests import SignedIn, posted
from hangar.setups.history import current_head
from mixing.wording import length, length_figure

from . import operations
from .asked import flown_now
from .errors import FlightError
from .measure_forms import BalanceCheckForm, WorkForm
from .models import WorkKind


@get_or_post
def log_work(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    head = current_head(airframe)
    form = WorkForm(posted(request), setup=head.setup if head is not None else None)
    if form.is_valid():
        given = form.cleaned_data
        work = attempt(form, (FlightError,), lambda: operations.record_work(
            user=request.user, airframe=airframe, kind=given["kind"], surface=given["surface"], note=given["note"],
            at=given["on"],
        ))  # fmt: skip
        if work is not None:
            if work.kind == WorkKind.REBUILD:
                messages.success(request, _("The work is logged. A second person has to release it."))
            else:
                messages.success(request, _("The work is logged. See what to check again."))
            return redirect("flights:airframe", slug)
    lede = _(
        "Throws, balance, failsafe and range are to be checked again where it touches them. "
        "A rebuild grounds the model until a second person has released it."
    )
    return form_page(
        request, form, title=_("Work on {airframe}").format(airframe=airframe), submit=_("Log it"), here="line-up",
        crumbs=airframe_crumbs(airframe), lede=lede,
    )  # fmt: skip


@get_or_post
def balanced(request: SignedIn, slug: str) -> HttpResponse:
    """Where the model balanced."""
    airframe = get_editable_airframe_for(request.user, slug)
    revision = flown_now(airframe)
    balance = revision.setup.balance
    allowed = {"low": length_figure(balance.cg_low_mm), "high": length(balance.cg_high_mm)}
    form = BalanceCheckForm(posted(request), setup=revision.setup)
    if form.is_valid():
        made = attempt(form, (FlightError,), lambda: operations.record_balance_check(
            user=request.user, revision=revision, **form.cleaned_data
        ))  # fmt: skip
        if made is not None:
            if balance.cg_low_mm <= made.cg_mm <= balance.cg_high_mm:
                messages.success(request, _("The balance is logged: it lies in the allowed range."))
            else:
                text = _("The balance is logged. It lies outside {low} to {high}.")
                messages.warning(request, text.format(**allowed))
            return redirect("flights:airframe", slug)
    return form_page(
        request, form, title=_("Balance of {airframe}").format(airframe=airframe), submit=_("Log it"), here="line-up",
        crumbs=airframe_crumbs(airframe), lede=_("Allowed: {low} to {high} behind the datum.").format(**allowed),
        cautions=True,
    )  # fmt: skip
