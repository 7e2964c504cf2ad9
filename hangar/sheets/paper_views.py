"""The page of all that was printed of one airframe: what to print, which copies are about, and which were lost."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from hangar.fleet.crumbs import airframe_crumbs
from hangar.fleet.lookups import get_airframe_for
from hangar.fleet.models import Airframe
from hangar.members.policy import can
from hangar.requests import SignedIn
from hangar.setups.history import current_head

from . import operations
from .errors import PrintError
from .models import Kind, PaperSize, Print
from .prints import copies_of

_ON_A_PAGE = 25
SHOWN = {
    Kind.SETUP_SHEET: "sheets:setup_sheet", Kind.CHANGE_CARD: "sheets:change_card",
    Kind.POCKET_CARD: "sheets:pocket_card", Kind.PHONE: "sheets:phone",
}  # fmt: skip


def address_of_copy(copy: Print) -> str:
    """Where a copy is shown again, as it was printed."""
    page = reverse(SHOWN[Kind(copy.kind)], args=[copy.revision.airframe.slug, copy.revision.number])
    return f"{page}?copy={copy.copy}"


@require_safe
def paper(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_airframe_for(request.user, slug)
    head = current_head(airframe)
    page = Paginator(copies_of(airframe), _ON_A_PAGE).get_page(request.GET.get("page"))
    may_edit = can(request.user, "edit", airframe)
    ctx: dict[str, Any] = {
        "airframe": airframe, "head": head, "page": page, "here": "line-up", "papers": PaperSize.choices,
        "rows": [(copy, may_edit or copy.by_id == request.user.pk) for copy in page],
        "crumbs": airframe_crumbs(airframe),
    }  # fmt: skip
    return render(request, "sheets/paper.html", ctx)


@require_POST
def lost(request: SignedIn, slug: str, pk: int) -> HttpResponse:
    """A copy is gone: mark it, and show the new one that takes its place."""
    copy = _copy_of(get_airframe_for(request.user, slug), pk)
    try:
        new = operations.report_lost(user=request.user, copy=copy)
    except PrintError as error:
        messages.error(request, str(error))
        return redirect("sheets:paper", slug=slug)
    return redirect(address_of_copy(new))


def _copy_of(airframe: Airframe, pk: int) -> Print:
    copy = copies_of(airframe).filter(pk=pk).select_related("revision__airframe", "by__personal", "before").first()
    if copy is None:
        raise Http404(f"Nothing like that was printed of {airframe}.")
    return copy
