"""The history of a setup: its revisions, any two compared, as it was on a day, and the change card on the screen."""

import datetime
from typing import Any

from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from hangar.fleet.crumbs import airframe_crumbs
from hangar.fleet.lookups import get_airframe_for
from hangar.fleet.models import Airframe
from hangar.form_pages import Crumbs
from hangar.members.policy import can
from hangar.requests import SignedIn
from hangar.setups.entries import Start, starting_point, steps
from hangar.setups.forms import EnterForm
from hangar.setups.history import currently_entered, get_revision_of
from hangar.setups.matrix import differences
from hangar.setups.models import Entered, Revision
from hangar.setups.recording import changes

from .asked import number_in, revision_asked
from .forms import DayForm
from .models import Flight
from .reports import flew_well_as, sheets_out_of_date
from .told import listed, told
from .views import setup_context

IN_A_HISTORY = 20
_SHEETS_NAMED = 3


def _crumbs(airframe: Airframe) -> Crumbs:
    return airframe_crumbs(airframe, (_("History"), reverse("flights:history", args=[airframe.slug])))


@require_safe
def history(request: SignedIn, slug: str) -> HttpResponse:
    """Newest first; with ?on=2026-05-01 to the revision that was current at the end of that day."""
    found = get_airframe_for(request.user, slug)
    form = DayForm(request.GET if "on" in request.GET else None)
    if form.is_valid():
        was = current_on(found, form.cleaned_data["on"])
        if was is not None:
            address = reverse("flights:revision", args=[slug, was.number])
            return redirect(f"{address}?on={form.cleaned_data['on']:%Y-%m-%d}")
        form.add_error("on", _("No setup of {airframe} was recorded by then; give a later day.").format(airframe=found))
    page = Paginator(listed(found), IN_A_HISTORY).get_page(request.GET.get("page"))
    ctx = {
        "airframe": found, "revisions": told(found, page), "page": page, "here": "line-up", "day_form": form,
        "may_edit": can(request.user, "edit", found), "crumbs": airframe_crumbs(found), "comparing": True,
    }  # fmt: skip
    return render(request, "flights/history.html", ctx)


def _end_of(day: datetime.date) -> datetime.datetime:
    """The moment when a day of the club's time zone is over."""
    return timezone.make_aware(datetime.datetime.combine(day + datetime.timedelta(days=1), datetime.time()))


def current_on(airframe: Airframe, day: datetime.date) -> Revision | None:
    """The revision that was current at the end of a day; None where nothing was recorded by then."""
    before = Revision.objects.of(airframe).filter(recorded_at__lt=_end_of(day))
    return before.order_by("-number").first()


def entered_on(airframe: Airframe, day: datetime.date) -> Entered | None:
    """What the transmitter held at the end of a day, as far as it was written down."""
    entries = Entered.objects.filter(revision__airframe=airframe, at__lt=_end_of(day))
    return entries.select_related("revision", "transmitter").first()


@require_safe
def revision(request: SignedIn, slug: str, number: int) -> HttpResponse:
    found = get_airframe_for(request.user, slug)
    shown = get_revision_of(found, number)
    is_current = not Revision.objects.of(found).filter(number__gt=number).exists()
    day = DayForm(request.GET)
    entered = currently_entered(found)
    ctx = {
        "airframe": found, "revision": shown, "here": "line-up", "may_edit": can(request.user, "edit", found),
        "flights": Flight.everything.filter(revision=shown).select_related(
            "revision", "pilot__personal", "withdrawn_by__personal"
        ), "is_current": is_current,
        "flew_well_as": flew_well_as(found, [shown]).get(shown.pk), "entered": entered,
        "holds_this": entered is not None and entered.revision.document_id == shown.document_id,
        "old_sheets": sheets_out_of_date(found, shown)[:_SHEETS_NAMED] if is_current else [],
        "has_card": entered is not None or shown.parent_id is not None,
        "crumbs": _crumbs(found), **setup_context(shown.setup, request.GET.get("phase")),
    }  # fmt: skip
    if day.is_valid():
        ctx |= {"on": day.cleaned_data["on"], "entered_then": entered_on(found, day.cleaned_data["on"])}
    return render(request, "flights/revision.html", ctx)


@require_safe
def compare(request: SignedIn, slug: str) -> HttpResponse:
    """What changed between two revisions: the one before the current one and the current one, where none are named."""
    found = get_airframe_for(request.user, slug)
    numbers = list(Revision.objects.of(found).order_by("-number").values_list("number", flat=True))
    if len(numbers) < 2:
        raise Http404(f"{found} has fewer than two revisions.")
    before, after = (
        _asked(request.GET.get(name, ""), numbers, default)
        for name, default in (("from", numbers[1]), ("to", numbers[0]))
    )
    earlier, later = get_revision_of(found, before), get_revision_of(found, after)
    ctx = {
        "airframe": found, "earlier": earlier, "later": later, "numbers": numbers, "here": "line-up",
        "changes": changes(earlier.setup, later.setup), "throws": differences(earlier.setup, later.setup),
        "crumbs": _crumbs(found),
    }  # fmt: skip
    return render(request, "flights/compare.html", ctx)


def _asked(text: str, numbers: list[int], default: int) -> int:
    if not text:
        return default
    number = number_in(text)
    if number not in numbers:
        raise Http404(f"There is no revision {text[:20]!r}.")
    return number


@require_safe
def change_card(request: SignedIn, slug: str, number: int) -> HttpResponse:
    """What to enter to get to a revision: from what the transmitter holds, or with ?from=7 from that revision."""
    found = get_airframe_for(request.user, slug)
    after = get_revision_of(found, number)
    start = _start(found, after, request.GET.get("from", ""))
    before = start.revision
    told = steps(before.setup, after.setup)
    ctx: dict[str, Any] = {
        "airframe": found, "before": before, "after": after, "entered": start.entered, "here": "line-up",
        "asked_from": request.GET.get("from", ""), "entries": told.transmitter, "model_changes": told.model,
        "trims_again": told.trims_again, "throws": differences(told.held, after.setup), "crumbs": _crumbs(found),
    }  # fmt: skip
    if can(request.user, "edit", found):
        known = currently_entered(found)
        initial: dict[str, Any] = {"revision": number}
        if known is not None:
            initial |= {"transmitter": known.transmitter_id, "model_memory": known.model_memory}
        ctx["enter_form"] = EnterForm(user=request.user, airframe=found, numbers=[number], initial=initial)
    return render(request, "flights/change_card.html", ctx)


def _start(airframe: Airframe, after: Revision, asked: str) -> Start:
    """Where the card starts; the record of what is entered only where the transmitter really holds that."""
    known = starting_point(airframe, after.parent)
    if not asked:
        if known is None:
            raise Http404(f"{after} is the first, and nothing was entered before: there is nothing to start from.")
        return known
    before = revision_asked(airframe, asked)
    entered = known.entered if known is not None else None
    holds_it = entered is not None and entered.revision.document_id == before.document_id
    return Start(before, entered if holds_it else None)
