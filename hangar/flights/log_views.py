"""Everything that was logged of an airframe, and withdrawing what should not have been."""

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_safe

from hangar.fleet.crumbs import airframe_crumbs
from hangar.fleet.errors import FleetError
from hangar.fleet.lookups import get_airframe_for
from hangar.fleet.withdrawing import REASON_LENGTH, may_withdraw
from hangar.form_pages import get_or_post
from hangar.inputs import attempt
from hangar.members.errors import NotAllowed
from hangar.members.policy import can
from hangar.requests import SignedIn, posted

from .log import KINDS, Entry, entries, get_logged, logged

ON_A_PAGE = 30


class WithdrawForm(forms.Form):
    reason = forms.CharField(
        label=gettext_lazy("Why it is withdrawn"), max_length=REASON_LENGTH,
        help_text=gettext_lazy("Such as: logged for the wrong model."),
        error_messages={"required": gettext_lazy("Say why it is withdrawn: it stays to be read, struck through.")},
    )  # fmt: skip


@require_safe
def log(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_airframe_for(request.user, slug)
    page = Paginator(logged(airframe), ON_A_PAGE).get_page(request.GET.get("page"))
    told = [(entry, _may(request, entry)) for entry in entries(airframe, page)]
    ctx = {
        "airframe": airframe, "told": told, "page": page, "here": "line-up", "crumbs": airframe_crumbs(airframe),
    }  # fmt: skip
    return render(request, "flights/log.html", ctx)


def _may(request: SignedIn, entry: Entry) -> bool:
    """Whoever logged it, or an instructor; of a grounding only whoever may release the model."""
    if entry.row.withdrawn_at is not None:
        return False
    return can(request.user, "release") if entry.kind == "grounding" else may_withdraw(request.user, entry.row)


@get_or_post
def withdraw(request: SignedIn, slug: str, kind: str, pk: int) -> HttpResponse:
    """Ask why, then withdraw it; what is withdrawn already is only shown in the list."""
    airframe = get_airframe_for(request.user, slug)
    entry = get_logged(airframe, kind, pk)
    page = reverse("flights:log", args=[slug])
    if entry.row.withdrawn_at is not None:
        messages.info(request, _("This was withdrawn already."))
        return redirect(page)
    if not _may(request, entry):
        raise NotAllowed(_("You may withdraw what you logged yourself; for this, ask an instructor or a secretary."))
    form = WithdrawForm(posted(request))
    if form.is_valid():
        reason = form.cleaned_data["reason"]
        errors = (FleetError, NotAllowed)
        if attempt(form, errors, lambda: KINDS[kind].withdraw(request.user, entry.row, reason)) is not None:
            messages.success(request, _("It is withdrawn: it stays in the list, struck through, and counts no longer."))
            return redirect(page)
    ctx = {
        "airframe": airframe, "entry": entry, "form": form, "here": "line-up", "page": page,
        "crumbs": [*airframe_crumbs(airframe), (_("Everything logged"), page)],
    }  # fmt: skip
    return render(request, "flights/withdraw.html", ctx)
