"""The printed things as PDF, shown in the browser."""

from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from hangar.fleet.lookups import get_airframe_for
from hangar.requests import SignedIn
from hangar.setups.history import get_revision_of
from hangar.setups.models import Revision

from . import operations
from .models import Kind, PaperSize, Print
from .render import setup_sheet_pdf


@require_safe
def setup_sheet(request: SignedIn, slug: str, number: int) -> HttpResponseBase:
    """The setup sheet of one revision: `?paper=letter` for Letter, `?copy=3` for a print that was recorded."""
    airframe = get_airframe_for(request.user, slug)
    revision = get_revision_of(airframe, number)
    copy = _copy_asked_for(request, revision)
    paper = copy.paper if copy else _paper_asked_for(request)
    content = setup_sheet_pdf(revision, paper=paper, copy=copy)
    return _inline(content, f"{slug}-revision-{number}-setup-sheet.pdf")


@require_POST
def print_sheet(request: SignedIn, slug: str, number: int) -> HttpResponse:
    """Record a print of the setup sheet and show it."""
    airframe = get_airframe_for(request.user, slug)
    revision = get_revision_of(airframe, number)
    printed = operations.record_print(user=request.user, revision=revision, paper=_paper_asked_for(request))
    return redirect(reverse("sheets:setup_sheet", args=[slug, number]) + f"?copy={printed.copy}")


def _paper_asked_for(request: SignedIn) -> PaperSize:
    """The paper named in the address or the form, else the member's own."""
    asked = request.POST.get("paper") or request.GET.get("paper") or request.user.paper
    if asked not in PaperSize.values:
        raise Http404(f"There is no paper {asked!r}; give {' or '.join(PaperSize.values)}.")
    return PaperSize(asked)


def _copy_asked_for(request: SignedIn, revision: Revision) -> Print | None:
    asked = request.GET.get("copy")
    if asked is None:
        return None
    prints = Print.objects.filter(revision=revision, kind=Kind.SETUP_SHEET).select_related("by__personal")
    found = prints.filter(copy=int(asked)).first() if asked.isascii() and asked.isdigit() and len(asked) < 9 else None
    if found is None:
        raise Http404(f"There is no copy {asked!r} of {revision}.")
    return found


def _inline(content: bytes, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response
