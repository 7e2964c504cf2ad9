"""Drafts and revisions: importing a setup, the draft's page, what was entered, and checks."""

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from hangar.fleet.checks import failsafe_digest
from hangar.fleet.errors import FleetError
from hangar.fleet.lookups import current_fitting, get_airframe_for, get_editable_airframe_for
from hangar.fleet.models import Airframe, Binding
from hangar.fleet.operations import record_check
from hangar.form_pages import form_page, get_or_post
from hangar.inputs import attempt
from hangar.requests import SignedIn, posted, posted_files
from mixing import Setup, SetupError

from . import drafts
from .crumbs import airframe_crumbs
from .editing import Desk, desk_of, desk_stored
from .errors import HistoryError, RecordedMeanwhile
from .forms import CheckForm, EnterForm, ImportForm
from .history import current_head, currently_entered, get_revision_of
from .matrix import differences
from .models import Revision
from .open_findings import open_findings
from .operations import enter as enter_revision
from .operations import record
from .part_views import SECTIONS
from .problem_places import placed_problem
from .recording import changes, conflict_context, reason_form, record_from
from .thrown import told_thrown


@get_or_post
def draft(request: SignedIn, slug: str) -> HttpResponse:
    """The draft: what it changes, what is still wrong with it, its sections, and recording it."""
    airframe = get_editable_airframe_for(request.user, slug)
    desk = (
        desk_stored(request.user, airframe, request.POST)
        if request.method == "POST"
        else _desk_or_start(request, airframe)
    )
    if desk is None:
        return redirect("setups:start", slug)
    # The first setup says in its reason what it is; whoever has more to say types over it.
    form = reason_form(request, "" if desk.base else _("First setup"))
    if request.method == "POST":
        answer = record_from(request, desk, form)
        if answer is not None:
            return answer
    setup = desk.setup
    head = current_head(airframe)
    ctx = {
        "airframe": airframe, "desk": desk, "setup": setup, "reason_form": form, "sections": _counted(desk.data),
        "problems": [placed_problem(slug, desk.data, problem) for problem in desk.problems],
        "changes": changes(desk.base.setup if desk.base else None, setup) if desk.draft else (),
        "throws": differences(desk.base.setup, setup) if desk.draft and desk.base and setup else [],
        "open": open_findings(desk, setup) if setup else None,
        "meanwhile": head if head is not None and desk.base is not None and head.number > desk.base.number else None,
        "crumbs": airframe_crumbs(airframe), "here": "line-up", "thrown": told_thrown(request.user, airframe),
    }  # fmt: skip
    return render(request, "setups/draft.html", ctx)


def _desk_or_start(request: SignedIn, airframe: Airframe) -> Desk | None:
    try:
        return desk_of(request.user, airframe)
    except Http404:
        return None


def _counted(data: dict[str, Any]) -> list[tuple[Any, str]]:
    """Each section with what is in it, in a few words."""
    counts = []
    for section in SECTIONS.values():
        rows = data.get(section.key)
        labels = [str(row.get("label", "")) for row in rows] if isinstance(rows, list) else []
        nothing = _("nothing yet") if isinstance(rows, list) else ""
        counts.append((section, ", ".join(labels) or nothing))
    return counts


@require_POST
def settle(request: SignedIn, slug: str) -> HttpResponse:
    """After a conflict: each thing that both touched as the member chose, as a draft on top of what was recorded."""
    airframe = get_editable_airframe_for(request.user, slug)
    desk = desk_of(request.user, airframe)
    reason = request.POST.get("reason", "")
    if desk.draft is None or desk.setup is None:
        messages.error(request, _("There is no complete draft of yours to go on with."))
        return redirect("setups:draft", slug)
    choices = {
        name[7:]: side
        for name, side in request.POST.items()
        if name.startswith("choose:") and side in ("ours", "theirs")
    }
    try:
        settled = drafts.settle(user=request.user, draft=desk.draft, choices=choices)  # type: ignore[arg-type]
    except RecordedMeanwhile as meanwhile:
        return render(request, "setups/conflict.html", conflict_context(desk, meanwhile, reason), status=409)
    except HistoryError as error:
        messages.error(request, str(error))
        return redirect("setups:draft", slug)
    told = _("Your draft now stands on {revision}. Look at what it changes, then record it.")
    messages.info(request, told.format(revision=settled.base))
    return redirect(f"{reverse('setups:draft', args=[slug])}?{urlencode({'reason': reason})}#record")


@get_or_post
def import_setup(request: SignedIn, slug: str) -> HttpResponse:
    """Record a setup document from a file as the next revision."""
    airframe = get_editable_airframe_for(request.user, slug)
    head = current_head(airframe)
    form = ImportForm(posted(request), posted_files(request))
    problems: tuple[Any, ...] = ()
    if form.is_valid():
        try:
            setup = Setup.from_text(form.cleaned_data["document"])
            recorded = record(
                user=request.user, airframe=airframe, setup=setup, base=head, origin="import",
                reason=form.cleaned_data["reason"],
            )  # fmt: skip
        except SetupError as error:
            problems = error.problems
            form.add_error("document", _("This is not a sound setup document: see below."))
        except HistoryError as error:
            form.add_error(None, str(error))
        else:
            same = _("Revision {number} says the same already.")
            told = _("Revision {number} is recorded from the file.") if recorded.new else same
            messages.success(request, told.format(number=recorded.revision.number))
            return redirect("flights:airframe", slug)
    ctx = {
        "airframe": airframe, "head": head, "form": form, "problems": problems, "crumbs": airframe_crumbs(airframe),
        "here": "line-up",
    }  # fmt: skip
    return render(request, "setups/import.html", ctx)


@require_safe
def revision_json(request: SignedIn, slug: str, number: int) -> HttpResponse:
    """The stored text of a revision, as it is sealed."""
    airframe = get_airframe_for(request.user, slug)
    revision = get_revision_of(airframe, number)
    response = HttpResponse(revision.document.text, content_type="application/json")
    response["Content-Disposition"] = f'attachment; filename="{slug}-revision-{number}.json"'
    return response


@get_or_post
def enter(request: SignedIn, slug: str) -> HttpResponse:
    """A revision was entered on a transmitter."""
    airframe = get_editable_airframe_for(request.user, slug)
    numbers = list(Revision.objects.of(airframe).order_by("-number").values_list("number", flat=True))
    if not numbers:
        raise Http404(f"{airframe} has no setup yet.")
    before = currently_entered(airframe)
    initial = {"revision": numbers[0]}
    if before is not None:
        initial |= {"transmitter": before.transmitter_id, "model_memory": before.model_memory}  # type: ignore[dict-item]
    form = EnterForm(posted(request), user=request.user, airframe=airframe, numbers=numbers, initial=initial)
    if form.is_valid():
        given = form.cleaned_data
        entered = attempt(form, (HistoryError,), lambda: enter_revision(
            user=request.user, revision=get_revision_of(airframe, given["revision"]), transmitter=given["transmitter"],
            model_memory=given["model_memory"],
        ))  # fmt: skip
        if entered is not None:
            told = _("Revision {number} is what {transmitter} holds now. Check it at the model.")
            messages.success(request, told.format(number=given["revision"], transmitter=entered.transmitter))
            return redirect("flights:airframe", slug)
    lede = _("Which setup of {airframe} is really in the transmitter.").format(airframe=airframe)
    return form_page(
        request, form, title=_("I have entered this"), submit=_("It is in the transmitter now"), here="line-up",
        crumbs=airframe_crumbs(airframe), lede=lede, cautions=True,
    )  # fmt: skip


@get_or_post
def check(request: SignedIn, slug: str) -> HttpResponse:
    """Log a failsafe or range check."""
    airframe = get_editable_airframe_for(request.user, slug)
    head = current_head(airframe)
    if head is None:
        raise Http404(f"{airframe} has no setup yet.")
    entered = currently_entered(airframe)
    fitting = current_fitting(airframe)
    binding = Binding.objects.filter(receiver=fitting.receiver_id).first() if fitting else None
    setup = (entered.revision if entered else head).setup
    initial = {"transmitter": binding.transmitter_id if binding else entered.transmitter_id if entered else None}
    form = CheckForm(posted(request), user=request.user, airframe=airframe, initial=initial)
    if form.is_valid():
        given = form.cleaned_data
        made = attempt(form, (FleetError,), lambda: record_check(
            user=request.user, airframe=airframe, failsafe_digest=failsafe_digest(setup), **given
        ))  # fmt: skip
        if made is not None:
            messages.success(request, _("The {check} is logged.").format(check=made.get_kind_display()))
            return redirect("flights:airframe", slug)
    lede = _("It holds for this receiver, airframe, transmitter and failsafe setting together.")
    return form_page(
        request, form, title=_("A check of {airframe}").format(airframe=airframe), submit=_("Log it"), here="line-up",
        crumbs=airframe_crumbs(airframe), lede=lede, cautions=True,
    )  # fmt: skip
