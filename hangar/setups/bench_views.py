"""The bench of an airframe: of its current setup, of a revision, or of the member's own draft."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_safe

from hangar.fleet.lookups import current_fitting, get_airframe_for
from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.requests import SignedIn
from mixing import Setup

from . import drafts
from .bench import bench_at, near
from .bench_forms import BenchForm
from .editing import desk_of
from .findings import findings
from .history import current_head, get_revision_of


@dataclass(frozen=True)
class Shown:
    """Which setup is on the bench. `setup` is None where a draft is not complete; `kept` is what an address says."""

    setup: Setup | None
    words: str
    kept: dict[str, str]


@require_safe
def bench(request: SignedIn, slug: str) -> HttpResponse:
    """Controls to move, and what every surface and device then does; only the answer where htmx asks for it."""
    airframe = get_airframe_for(request.user, slug)
    shown = _shown(request, airframe)
    draft = drafts.draft_of(request.user, airframe)
    address = reverse("setups:bench", args=[slug])
    ctx = {
        "airframe": airframe, "shown": shown, "address": address, "here": "line-up", "draft": draft,
        "rest_address": f"{address}?{urlencode(shown.kept)}" if shown.kept else address,
        "crumbs": [("Line-up", reverse("flights:line_up")),
                   (airframe.name, reverse("flights:airframe", args=[slug]))],
    }  # fmt: skip
    if shown.setup is not None:
        form = BenchForm(shown.setup, request.GET)
        fitting = current_fitting(airframe)
        found = findings(shown.setup, receiver_channels=fitting.receiver.channels if fitting else None)
        ctx |= {
            "form": form, "rows": form.rows(), "bench": bench_at(shown.setup, form.positions),
            "near": near(found, shown.setup, form.positions), "found": len(found),
        }  # fmt: skip
    live = bool(request.htmx) and shown.setup is not None
    response = render(request, "setups/_bench_live.html" if live else "setups/bench.html", ctx)
    patch_vary_headers(response, ["HX-Request"])
    return response


def _shown(request: SignedIn, airframe: Airframe) -> Shown:
    if request.GET.get("of") == "draft":
        return _draft_shown(request.user, airframe)
    number = request.GET.get("revision", "")
    if number:
        if not (number.isascii() and number.isdigit() and len(number) < 10):
            raise Http404(f"{airframe} has no revision {number[:40]!r}.")
        revision = get_revision_of(airframe, int(number))
        return Shown(revision.setup, f"revision {revision.number}", {"revision": str(revision.number)})
    head = current_head(airframe)
    if head is None and drafts.draft_of(request.user, airframe) is not None:
        return _draft_shown(request.user, airframe)
    if head is None:
        raise Http404(f"{airframe} has no setup yet.")
    return Shown(head.setup, f"revision {head.number}, the current setup", {})


def _draft_shown(member: Member, airframe: Airframe) -> Shown:
    """The member's own draft; without one, what an edit would begin from."""
    desk = desk_of(member, airframe)
    if desk.draft is None and desk.base is not None:
        return Shown(desk.setup, f"revision {desk.base.number}, the current setup", {})
    return Shown(desk.setup, "your draft", {"of": "draft"})
