"""The printed things as PDF, shown in the browser. Looking is GET; a print that is to be remembered is POST."""

from django.http import Http404, HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_POST, require_safe

from hangar.fleet.lookups import get_airframe_for
from hangar.requests import SignedIn
from hangar.setups.history import currently_entered, get_revision_of
from hangar.setups.models import Entered, Revision

from . import operations
from .card import change_card_pdf
from .models import Kind, PaperSize, Print, as_printed
from .phone import phone_page
from .pocket import pocket_card_pdf
from .qr import base_address
from .render import facts_of


@require_safe
def setup_sheet(request: SignedIn, slug: str, number: int) -> HttpResponseBase:
    """The setup sheet of one revision: `?paper=letter` for Letter, `?copy=3` for a print that was recorded."""
    revision = get_revision_of(get_airframe_for(request.user, slug), number)
    copy = _copy_asked_for(request, revision, Kind.SETUP_SHEET)
    paper = copy.paper if copy else _paper_asked_for(request, request.GET)
    with as_printed(copy):
        facts = facts_of(revision, copy, base_address(request))
        etag = f'"{facts.key(paper)}"'
        known = get_conditional_response(request, etag=etag)
        response = known or _inline(facts.pdf(paper), f"{slug}-revision-{number}-setup-sheet.pdf")
    response["ETag"] = etag
    return response


@require_POST
def print_sheet(request: SignedIn, slug: str, number: int) -> HttpResponse:
    """Record a print of the setup sheet and show it."""
    revision = get_revision_of(get_airframe_for(request.user, slug), number)
    paper = _paper_asked_for(request, request.POST)
    instruction = "instruction" in request.POST
    printed = operations.record_print(user=request.user, revision=revision, paper=paper, instruction=instruction)
    return redirect(f"{reverse('sheets:setup_sheet', args=[slug, number])}?copy={printed.copy}")


@require_safe
def pocket_card(request: SignedIn, slug: str, number: int) -> HttpResponseBase:
    """Four pocket cards of one revision, with the backs as second page."""
    revision = get_revision_of(get_airframe_for(request.user, slug), number)
    copy = _copy_asked_for(request, revision, Kind.POCKET_CARD)
    paper = copy.paper if copy else _paper_asked_for(request, request.GET)
    with as_printed(copy):
        content = pocket_card_pdf(revision, paper=paper, copy=copy, base=base_address(request))
    return _inline(content, f"{slug}-revision-{number}-pocket-card.pdf")


@require_safe
def phone(request: SignedIn, slug: str, number: int) -> HttpResponseBase:
    """The sheet as one file to keep on a phone; a numbered one, like every copy that leaves the site."""
    revision = get_revision_of(get_airframe_for(request.user, slug), number)
    copy = _copy_asked_for(request, revision, Kind.PHONE)
    with as_printed(copy):
        page = phone_page(facts_of(revision, copy, base_address(request)))
    response = HttpResponse(page, content_type="text/html; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{slug}-revision-{number}.html"'
    return response


@require_POST
def print_kind(request: SignedIn, slug: str, number: int, kind: str) -> HttpResponse:
    """Record a print of one kind and show it."""
    revision = get_revision_of(get_airframe_for(request.user, slug), number)
    paper = _paper_asked_for(request, request.POST)
    copy = operations.record_print(user=request.user, revision=revision, kind=Kind(kind), paper=paper)
    return redirect(f"{reverse(f'sheets:{kind}', args=[slug, number])}?copy={copy.copy}")


@require_safe
def change_card(request: SignedIn, slug: str, number: int) -> HttpResponseBase:
    """The change card to one revision: `?from=7`, else from what is entered, else from the revision before."""
    revision = get_revision_of(get_airframe_for(request.user, slug), number)
    copy = _copy_asked_for(request, revision, Kind.CHANGE_CARD)
    before, entered = _start(revision, copy.before if copy else None, request.GET)
    paper = copy.paper if copy else _paper_asked_for(request, request.GET)
    with as_printed(copy):
        content = change_card_pdf(before, revision, entered=entered, paper=paper, copy=copy, base=base_address(request))
    return _inline(content, f"{slug}-change-card-{before.number}-to-{number}.pdf")


@require_POST
def print_card(request: SignedIn, slug: str, number: int) -> HttpResponse:
    """Record a print of the change card and show it."""
    revision = get_revision_of(get_airframe_for(request.user, slug), number)
    before, _ = _start(revision, None, request.POST)
    paper = _paper_asked_for(request, request.POST)
    printed = operations.record_print(
        user=request.user, revision=revision, kind=Kind.CHANGE_CARD, before=before, paper=paper
    )
    return redirect(f"{reverse('sheets:change_card', args=[slug, number])}?copy={printed.copy}")


def _start(revision: Revision, before: Revision | None, asked: QueryDict) -> tuple[Revision, Entered | None]:
    """The revision from which a card starts, and the record of it being in a transmitter, where there is one."""
    entered = currently_entered(revision.airframe)
    number = _number(asked.get("from", "")) if "from" in asked else None
    if before is None and number is not None:
        before = get_revision_of(revision.airframe, number)
    before = before or (entered.revision if entered else revision.parent)
    if before is None:
        raise Http404(f"{revision} is the first, and nothing was entered before: there is nothing to start from.")
    holds_it = entered is not None and entered.revision.document_id == before.document_id
    return before, entered if holds_it else None


def _paper_asked_for(request: SignedIn, asked: QueryDict) -> PaperSize:
    """The paper named in the address or the form, else the member's own."""
    paper = asked.get("paper") or request.user.paper
    if paper not in PaperSize.values:
        raise Http404(f"There is no paper {paper!r}; give {' or '.join(PaperSize.values)}.")
    return PaperSize(paper)


def _copy_asked_for(request: SignedIn, revision: Revision, kind: Kind) -> Print | None:
    if "copy" not in request.GET:
        return None
    number = _number(request.GET["copy"])
    prints = Print.objects.filter(revision=revision, kind=kind).select_related("by__personal", "before__document")
    found = prints.filter(copy=number).first()
    if found is None:
        raise Http404(f"There is no copy {number} of {revision}.")
    return found


def _number(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 9):
        raise Http404(f"{text!r} is not a number.")
    return int(text)


def _inline(content: bytes, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response
