"""Printing many sheets: which ones, how far it is, and the result as one PDF or as a zip."""

from typing import Any

from django import forms
from django.contrib import messages
from django.db.models import Count, Exists, OuterRef, Q, QuerySet
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop
from django.views.decorators.http import require_POST, require_safe

from hangar.choosing import offer
from hangar.fleet.choices import find_airframes
from hangar.fleet.models import Airframe
from hangar.form_pages import get_or_post
from hangar.members.choices import MEMBERS
from hangar.members.models import Member
from hangar.paging import KeyPaginator
from hangar.requests import SignedIn, posted

from .batches import count_out_of_date, documents, go_on, merged, out_of_date, start_batch, with_setup, zipped
from .errors import PrintError
from .models import Batch, ItemState, PaperSize
from .qr import base_address

ON_A_PAGE = 50
GROUPS = {
    "outdated": gettext_noop("all out-of-date sheets"), "chosen": gettext_noop("those ticked below"),
    "all": gettext_noop("all"),
}  # fmt: skip
TURNING = frozenset({"page", "look", "untick"})
"""Buttons that show another part of the list and print nothing; what is ticked goes along."""


class OwnerForm(forms.Form):
    """Whose sheets to print."""

    owner = forms.ModelChoiceField(
        Member.objects.none(), label=gettext_lazy("Member"), empty_label=None,
        help_text=gettext_lazy("for “one member's”"),
        error_messages=dict.fromkeys(("required", "invalid_choice"), gettext_lazy("Choose whose sheets to print.")),
    )  # fmt: skip

    def __init__(self, asked: QueryDict | None, *, user: Member) -> None:
        super().__init__(asked, auto_id="%s", initial={"owner": user.pk})
        theirs = Airframe.objects.filter(owner=OuterRef("pk"))
        every = Member.objects.filter(Exists(theirs)).select_related("personal")
        offer(self, "owner", every=every, likely=[user], naming=MEMBERS)


@get_or_post
def many(request: SignedIn) -> HttpResponse:
    """Choose which sheets to print."""
    visible = Airframe.objects.visible_to(request.user)
    looks = TURNING.intersection(request.POST)
    if request.method == "POST" and not looks:
        try:
            batch = _start(request, visible, request.POST)
        except PrintError as error:
            messages.error(request, str(error))
        else:
            return redirect("sheets:batch", pk=batch.pk)
    asked = request.POST if request.method == "POST" else request.GET
    search = asked.get("search", "")[:80]
    found = find_airframes(with_setup(visible), search).select_related("owner__personal")
    page = KeyPaginator(found, ON_A_PAGE).get_page(asked.get("page", asked.get("at") if "look" not in looks else None))
    ticked = set() if "untick" in looks else _ticked(request.POST)
    ctx: dict[str, Any] = {
        "page": page, "search": search, "count": with_setup(visible).count(), "outdated": count_out_of_date(visible),
        "papers": PaperSize.choices, "paper": request.POST.get("paper", request.user.paper), "ticked": ticked,
        "elsewhere": sorted(ticked.difference(row.slug for row in page)),
        "owner": OwnerForm(posted(request), user=request.user), "here": "line-up",
        "which": "chosen" if looks and ticked else request.POST.get("which", "outdated"),
        "crumbs": [(_("Line-up"), reverse("flights:line_up"))],
        "batches": Batch.objects.filter(by=request.user).annotate(sheets=Count("items"))[:5],
    }  # fmt: skip
    return render(request, "sheets/many.html", ctx)


def _ticked(asked: QueryDict) -> set[str]:
    """Every airframe that is ticked: on the page that was sent, and on those that were turned over before."""
    return {*asked.getlist("airframe"), *asked.get("kept", "").split()}


def _start(request: SignedIn, visible: QuerySet[Airframe], asked: QueryDict) -> Batch:
    which = asked.get("which", "")
    what, chosen = _(GROUPS[which]) if which in GROUPS else "", with_setup(visible)
    if which == "outdated":
        chosen = out_of_date(visible)
    elif which == "owner":
        form = OwnerForm(asked, user=request.user)
        if not form.is_valid():
            raise PrintError(" ".join(str(error) for error in form.errors["owner"]))
        owner = form.cleaned_data["owner"]
        what, chosen = _("{member}'s").format(member=owner), chosen.filter(owner=owner)
    elif which == "chosen":
        chosen = chosen.filter(slug__in=_ticked(asked))
    elif which != "all":
        raise PrintError(_("Choose which sheets to print."))
    paper = asked.get("paper", request.user.paper)
    return start_batch(user=request.user, airframes=chosen, paper=paper, base=base_address(request), what=what[:80])


def _batch_of(user: Member, pk: int) -> Batch:
    batch = Batch.objects.filter(by=user, pk=pk).first()
    if batch is None:
        raise Http404("You have asked for no such sheets.")
    return batch


def _progress(batch: Batch) -> dict[str, Any]:
    counts = batch.items.aggregate(
        all=Count("pk"), done=Count("pk", filter=Q(state=ItemState.DONE)),
        failed=Count("pk", filter=Q(state=ItemState.FAILED)),
    )  # fmt: skip
    failed = batch.items.filter(state=ItemState.FAILED).select_related("airframe")
    over = counts["done"] + counts["failed"] == counts["all"]
    return {"batch": batch, "counts": counts, "failed": failed, "over": over}


@require_safe
def batch(request: SignedIn, pk: int) -> HttpResponse:
    """How far a batch is. Looking makes nothing: the page asks to go on, and so does its button."""
    found = _batch_of(request.user, pk)
    ctx = _progress(found) | {
        "here": "line-up",
        "crumbs": [(_("Line-up"), reverse("flights:line_up")), (_("Print many sheets"), reverse("sheets:many"))],
    }
    return render(request, "sheets/batch.html", ctx)


@require_POST
def batch_on(request: SignedIn, pk: int) -> HttpResponse:
    """Make some more of it, then say how far it is."""
    found = _batch_of(request.user, pk)
    if "again" in request.POST:
        found.items.filter(state=ItemState.FAILED).update(state=ItemState.WAITING, error="")
    go_on(found)
    if request.htmx:
        return render(request, "sheets/_batch_progress.html", _progress(found))
    return redirect("sheets:batch", pk=pk)


@require_safe
def batch_file(request: SignedIn, pk: int, kind: str) -> HttpResponse:
    """What was made, as one PDF with bookmarks or as a zip of single ones."""
    found = _batch_of(request.user, pk)
    if not _progress(found)["over"]:
        raise Http404("These sheets are still being made.")
    sheets = documents(found)
    pdf = kind == "pdf"
    content = merged(sheets, title=_("Setup sheets: {what}").format(what=found.what)) if pdf else zipped(sheets)
    response = HttpResponse(content, content_type="application/pdf" if pdf else "application/zip")
    response["Content-Disposition"] = f'{"inline" if pdf else "attachment"}; filename="sheets-{pk}.{kind}"'
    return response
