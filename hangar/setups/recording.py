"""Recording the draft from any page that shows it: the reason, and the answer where someone recorded meanwhile."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

import mixing
from hangar.requests import SignedIn
from mixing import Setup, SetupError

from .crumbs import edit_crumbs
from .drafts import record_draft
from .editing import Desk
from .errors import HistoryError, RecordedMeanwhile
from .forms import ReasonForm
from .operations import Recorded

_WORST_TOLD = 3


def reason_form(request: SignedIn, suggestion: str = "") -> ReasonForm:
    """The form for the reason, bound only where recording was asked for; else it shows what was typed, if anything."""
    if request.method == "POST" and request.POST.get("do") == "record":
        return ReasonForm(request.POST)
    typed = request.POST.get("reason", "") or request.GET.get("reason", "")
    return ReasonForm(initial={"reason": typed or suggestion})


def record_from(request: SignedIn, desk: Desk, form: ReasonForm) -> HttpResponse | None:
    """Record the draft. None where the form now says what is wrong."""
    if not form.is_valid():
        return None
    if desk.draft is None:
        form.add_error(None, _("Nothing was edited yet, so there is nothing to record."))
        return None
    reason = form.cleaned_data["reason"]
    try:
        recorded = record_draft(user=request.user, draft=desk.draft, reason=reason)
    except SetupError as error:
        form.add_error(None, _("The draft is not complete: {problem}").format(problem=error.problems[0]))
        return None
    except RecordedMeanwhile as meanwhile:
        return render(request, "setups/conflict.html", conflict_context(desk, meanwhile, reason), status=409)
    except HistoryError as error:
        form.add_error(None, str(error))
        return None
    if not recorded.new:
        told = _("Nothing differs from revision {number}: no revision was made.")
        messages.info(request, told.format(number=recorded.revision.number))
    else:
        messages.success(request, _told(recorded))
        _tell_what_got_worse(request, recorded)
    return redirect("flights:airframe", desk.airframe.slug)


def _told(recorded: Recorded) -> str:
    sentences = [_("Revision {number} is recorded.").format(number=recorded.revision.number)]
    if recorded.merged:
        sentences.append(_("It was joined with what was recorded meanwhile: look at the throws."))
    return " ".join([*sentences, _("Enter it, print its sheet, check it at the model.")])


def _tell_what_got_worse(request: SignedIn, recorded: Recorded) -> None:
    """Two safe edits can sum past a stop: what neither of the two setups had alone is told at once."""
    if not recorded.worse:
        return
    sentences = [_("Joining the two brought what neither had alone.")]
    sentences += [finding.text for finding in recorded.worse[:_WORST_TOLD]]
    more = len(recorded.worse) - _WORST_TOLD
    if more > 0:
        told = ngettext("And {count} more: see its findings.", "And {count} more: see its findings.", more)
        sentences.append(told.format(count=more))
    messages.warning(request, " ".join(sentences))


def conflict_context(desk: Desk, meanwhile: RecordedMeanwhile, reason: str) -> dict[str, Any]:
    """Both versions, told as what each changed since the revision from which the draft started, and what to choose."""
    started = meanwhile.base.setup if meanwhile.base else None
    theirs, ours = changes(started, meanwhile.theirs), changes(started, meanwhile.ours)
    told = [(one, _effect_at(one.path, ours), _effect_at(one.path, theirs)) for one in meanwhile.conflicts]
    return {
        "airframe": desk.airframe, "desk": desk, "meanwhile": meanwhile, "reason": reason, "here": "line-up",
        "crumbs": edit_crumbs(desk.airframe), "conflicts": told, "theirs": theirs, "ours": ours,
        "apart": changes(meanwhile.theirs, meanwhile.ours) if started is None else (),
    }  # fmt: skip


def _effect_at(path: str, found: tuple[mixing.Change, ...]) -> str:
    """What the changes at a place do to the surfaces; "" where they do nothing that can be told."""
    return "; ".join(one.effect for one in found if one.effect and f"{one.path}/".startswith(f"{path}/"))


def changes(before: Setup | None, after: Setup | None) -> tuple[mixing.Change, ...]:
    """What differs, in words; nothing where one of the two is not there."""
    return mixing.compare(before, after) if before is not None and after is not None else ()
