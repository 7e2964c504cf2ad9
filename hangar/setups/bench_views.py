"""The bench of an airframe: of its current setup, of a revision, or of the member's own draft."""

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from hangar.fleet.lookups import current_fitting, get_airframe_for
from hangar.fleet.models import Airframe
from hangar.members.policy import can
from hangar.requests import SignedIn
from mixing import Setup, SetupError

from . import drafts
from .bench import bench_at, near, responses
from .bench_forms import BenchForm, phase_keys
from .crumbs import airframe_crumbs
from .findings import findings
from .history import current_head, get_revision_of
from .models import Draft, Revision


@dataclass(frozen=True)
class Shown:
    """Which setup is on the bench. `setup` is None where a draft is not complete; `kept` is what an address says.

    A draft has the current revision beside it.
    """

    setup: Setup | None
    words: str
    kept: dict[str, str]
    beside: Revision | None = None


@require_safe
def bench(request: SignedIn, slug: str) -> HttpResponse:
    """Controls to move, and what every surface and device then does; only the answer where htmx asks for it."""
    airframe = get_airframe_for(request.user, slug)
    shown = _shown(request, airframe)
    live = bool(request.htmx) and shown.setup is not None
    ctx: dict[str, Any] = {"airframe": airframe, "shown": shown} if live else _page(request, airframe, shown)
    if shown.setup is not None:
        form = BenchForm(shown.setup, request.GET)
        fitting = current_fitting(airframe)
        found = findings(shown.setup, receiver_channels=fitting.receiver.channels if fitting else None)
        answer = bench_at(
            shown.setup, form.positions, beside=shown.beside.setup if shown.beside else None,
            response=request.GET.get("response"),
        )  # fmt: skip
        ctx |= {
            "form": form, "rows": form.rows(), "bench": answer, "found": len(found),
            "near": near(found, shown.setup, form.positions), "responses": responses(shown.setup),
        }  # fmt: skip
    response = render(request, "setups/_bench_live.html" if live else "setups/bench.html", ctx)
    patch_vary_headers(response, ["HX-Request"])
    return response


def _page(request: SignedIn, airframe: Airframe, shown: Shown) -> dict[str, Any]:
    """What only the whole page needs."""
    address = reverse("setups:bench", args=[airframe.slug])
    return {
        "airframe": airframe, "shown": shown, "address": address, "here": "line-up",
        "draft": drafts.draft_of(request.user, airframe),
        "phase_keys": phase_keys(shown.setup) if shown.setup is not None else None,
        "rest_address": f"{address}?{urlencode(shown.kept)}" if shown.kept else address,
        "crumbs": airframe_crumbs(airframe), "may_edit": can(request.user, "edit", airframe),
    }  # fmt: skip


def _shown(request: SignedIn, airframe: Airframe) -> Shown:
    number = request.GET.get("revision", "")
    if request.GET.get("of") != "draft" and number:
        if not (number.isascii() and number.isdigit() and len(number) < 10):
            raise Http404(f"{airframe} has no revision {number[:40]!r}.")
        revision = get_revision_of(airframe, int(number))
        return Shown(revision.setup, str(revision), {"revision": str(revision.number)})
    head = current_head(airframe)
    draft = drafts.draft_of(request.user, airframe) if request.GET.get("of") == "draft" or head is None else None
    if draft is not None:
        words = _("your draft")
        if head is not None:
            words = _("your draft, and beside it {revision}, dashed").format(revision=head)
        return Shown(_setup_of(draft), words, {"of": "draft"}, head)
    if head is None:
        raise Http404(f"{airframe} has no setup yet.")
    return Shown(head.setup, _("revision {number}, the current setup").format(number=head.number), {})


def _setup_of(draft: Draft) -> Setup | None:
    try:
        return draft.setup
    except SetupError:
        return None
