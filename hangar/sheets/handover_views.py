"""What goes with a model to its next owner, as PDF and as a file. For whoever may edit it."""

from django.http import Http404, HttpResponse
from django.views.decorators.http import require_safe

from hangar.fleet.lookups import get_editable_airframe_for
from hangar.requests import SignedIn
from hangar.setups.history import current_head
from hangar.setups.models import Revision

from .handover import handover_json, handover_pdf


def _current(request: SignedIn, slug: str) -> Revision:
    airframe = get_editable_airframe_for(request.user, slug)
    head = current_head(airframe)
    if head is None:
        raise Http404(f"{airframe} has no setup, so there is nothing to hand over.")
    return head


@require_safe
def as_pdf(request: SignedIn, slug: str) -> HttpResponse:
    content = handover_pdf(_current(request, slug), paper=request.user.paper)
    return HttpResponse(
        content, content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{slug}-handover.pdf"'},
    )  # fmt: skip


@require_safe
def as_json(request: SignedIn, slug: str) -> HttpResponse:
    content = handover_json(_current(request, slug))
    return HttpResponse(
        content, content_type="application/json",
        headers={"Content-Disposition": f'attachment; filename="{slug}-handover.json"'},
    )  # fmt: skip
