"""Rolling back: choose a revision, see what will change, give a reason; a new revision carries the old setup."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from hangar.fleet.crumbs import airframe_crumbs
from hangar.fleet.lookups import current_fitting, get_editable_airframe_for
from hangar.fleet.models import Airframe
from hangar.form_pages import get_or_post
from hangar.requests import SignedIn, posted
from hangar.setups import operations
from hangar.setups.as_built import differing_parts
from hangar.setups.entries import starting_point, steps
from hangar.setups.errors import AsBuiltDiffers, HistoryError, RecordedMeanwhile
from hangar.setups.findings import findings
from hangar.setups.history import current_head, currently_entered, get_revision_of
from hangar.setups.matrix import differences
from hangar.setups.models import REASON_LENGTH, Revision
from mixing import SetupError
from mixing.misses import Miss

from .asked import number_in, revision_asked
from .forms import RollBackForm
from .models import Verdict
from .reports import flew_well_as, last_that_flew_well, way_back
from .told import Told, listed

CHOICES = 50


@get_or_post
def roll_back(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    head = current_head(airframe)
    if head is None:
        raise Http404(f"{airframe} has no setup yet.")
    asked = request.POST.get("to") or request.GET.get("to", "")
    target = revision_asked(airframe, asked) if asked else way_back(airframe, head)
    parts = differing_parts(target.setup, head.setup) if target is not None else ()
    as_throws = bool(parts) and (request.POST.get("how") or request.GET.get("how")) != "entries"
    form = RollBackForm(posted(request), parts=() if as_throws else parts, initial={"reason": _likely_reason(head)})
    if target is not None and form.is_valid():
        answer = _roll_back(request, airframe, target, form, as_throws=as_throws)
        if answer is not None:
            return answer
    ctx: dict[str, Any] = {
        "airframe": airframe, "head": head, "target": target, "form": form, "parts": parts, "here": "line-up",
        "as_throws": as_throws, "flew_well": last_that_flew_well(airframe), "crumbs": airframe_crumbs(airframe),
    }  # fmt: skip
    if target is not None:
        ctx |= _preview(airframe, head, target, as_throws=as_throws)
        ctx["others"] = _to_choose_from(airframe, head, target)
        ctx["flew_well_as"] = flew_well_as(airframe, [target]).get(target.pk)
        ctx["target_verdict"] = target.flights.values_list("verdict", flat=True).first()
    return render(request, "flights/roll_back.html", ctx)


def _likely_reason(head: Revision) -> str:
    """What the flight that rejected the current revision said of it, so that nobody types it twice at the field."""
    last = head.flights.first()
    if last is None or last.verdict != Verdict.REJECT:
        return ""
    text = _("Revision {number} was rejected: {reason}").format(number=head.number, reason=last.reason)
    return text[:REASON_LENGTH]


def _to_choose_from(airframe: Airframe, head: Revision, target: Revision) -> list[Told]:
    """The newest revisions beside the current one, and the target however old it is."""
    rows = list(listed(airframe).exclude(pk=head.pk)[:CHOICES])
    if target.pk != head.pk and target.pk not in {row.pk for row in rows}:
        rows += listed(airframe).filter(pk=target.pk)
    well = flew_well_as(airframe, rows)
    return [Told(row, (), well.get(row.pk)) for row in rows]


def _preview(airframe: Airframe, head: Revision, target: Revision, *, as_throws: bool) -> dict[str, Any]:
    """What the new revision will change at the model, and what to enter for it, from what is in the transmitter."""
    start = starting_point(airframe, head)
    assert start is not None, "a head is given"
    after, refused = target.setup, ""
    misses: tuple[Miss, ...] = ()
    if as_throws:
        try:
            after, misses = operations.throws_today(target, head)
        except SetupError as error:
            refused = str(error.problems[0])
    fitting = current_fitting(airframe)
    # Both on the model that will be flown: the throws are those of the entries, not of parts that are gone.
    told = steps(start.revision.setup, after)
    return {
        "entered": start.entered, "now": start.revision, "throws": differences(told.held, after), "misses": misses,
        "refused": refused, "entries": told.transmitter, "trims_again": told.trims_again,
        "findings": findings(after, receiver_channels=fitting.receiver.channels if fitting else None),
    }  # fmt: skip


def _roll_back(
    request: SignedIn, airframe: Airframe, target: Revision, form: RollBackForm, *, as_throws: bool
) -> HttpResponse | None:
    """Do it; None where the form now says why not."""
    seen = request.POST.get("head", "")
    if number_in(seen) is None:
        form.add_error(None, _("The page does not say which revision was current: load it again."))
        return None
    try:
        shown = get_revision_of(airframe, int(seen))
        given: dict[str, Any] = {"user": request.user, "airframe": airframe, "to": target, "base": shown}
        given["reason"] = form.cleaned_data["reason"]
        if as_throws:
            recorded = operations.roll_back_throws(**given)
        else:
            recorded = operations.roll_back(**given, put_back=form.cleaned_data.get("put_back", ()))
    except AsBuiltDiffers as error:
        form.add_error("put_back" if "put_back" in form.fields else None, str(error))
    except RecordedMeanwhile as meanwhile:
        text = _(
            "Revision {number} was recorded since this page was opened: "
            "what will change is shown anew below. Look at it, then confirm."
        )
        form.add_error(None, text.format(number=meanwhile.head.number))
    except HistoryError as error:
        form.add_error(None, str(error))
    except SetupError as error:
        text = _("The throws of revision {number} do not fit today's model: {problem}")
        form.add_error(None, text.format(number=target.number, problem=error.problems[0]))
    else:
        if not recorded.new:
            text = _("Revision {number}, the current one, says the same already.")
            messages.info(request, text.format(number=recorded.revision.number))
            return redirect("flights:airframe", airframe.slug)
        messages.success(request, _carried(recorded.revision, target, as_throws=as_throws))
        return redirect("flights:revision", airframe.slug, recorded.revision.number)
    return None


def _carried(recorded: Revision, target: Revision, *, as_throws: bool) -> str:
    if as_throws:
        told = _("Revision {new} carries the throws of revision {old}.")
    else:
        told = _("Revision {new} carries the setup of revision {old}.")
    entered = currently_entered(recorded.airframe)
    if entered is not None and entered.revision.document_id == recorded.document_id:
        then = _("The transmitter holds it already: print its sheet, check every throw at the model.")
    else:
        then = _("Enter it on the transmitter, print its sheet, check every throw at the model.")
    return f"{told.format(new=recorded.number, old=target.number)} {then}"
