"""Starting the setup of an airframe which has none: from a layout, from a sister model, or empty."""

import json
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from hangar.fleet.lookups import get_editable_airframe_for
from hangar.fleet.models import Airframe
from hangar.requests import SignedIn
from mixing import Setup, SetupError

from . import drafts
from .editing import blank
from .forms import SisterForm
from .history import current_head
from .part_views import get_or_post
from .sister import sister_of

_LAYOUTS = settings.BASE_DIR / "fixtures" / "layouts"
_MISSES_TOLD = 5


@get_or_post
def start(request: SignedIn, slug: str) -> HttpResponse:
    """The start of a setup, as a draft. One that is there already is not overwritten."""
    airframe = get_editable_airframe_for(request.user, slug)
    if current_head(airframe) is not None or drafts.draft_of(request.user, airframe) is not None:
        return redirect("setups:draft", slug)
    layouts = json.loads((_LAYOUTS / "index.json").read_text("utf-8"))
    as_sister = request.POST.get("do") == "sister"
    form = SisterForm(request.POST if as_sister else None, user=request.user, airframe=airframe)
    if request.method == "POST":
        chosen = request.POST.get("layout", "")
        started = True
        if as_sister:
            started = form.is_valid() and _start_sister(request, airframe, form)
        elif chosen in {layout["key"] for layout in layouts}:
            setup = Setup.from_text((_LAYOUTS / f"{chosen}.json").read_bytes())
            drafts.start_draft(user=request.user, airframe=airframe, setup=setup, base=None)
        else:
            _start_empty(request, airframe)
        if started:
            return redirect("setups:draft", slug)
    crumbs = [("Line-up", reverse("flights:line_up")), (airframe.name, reverse("flights:airframe", args=[slug]))]
    ctx: dict[str, Any] = {
        "airframe": airframe, "crumbs": crumbs, "here": "line-up", "layouts": layouts, "form": form,
    }  # fmt: skip
    return render(request, "setups/start.html", ctx)


def _start_sister(request: SignedIn, airframe: Airframe, form: SisterForm) -> bool:
    """A draft with the throws of another airframe; False, with the reason at the field, where that cannot be."""
    other: Airframe = form.cleaned_data["sister"]
    head = current_head(other)
    assert head is not None, "the form offers airframes with a setup only"
    try:
        setup, misses = sister_of(head.setup)
    except SetupError as error:
        form.add_error("sister", f"The throws of {other} cannot be carried over: {error}")
        return False
    drafts.start_draft(user=request.user, airframe=airframe, setup=setup, base=None)
    messages.info(
        request,
        f"Your draft has the throws of revision {head.number} of {other}. Not taken over are its linkages, servo "
        "centres, limits, reversal, failsafe and remarks: they belong to that model. Measure this one, weigh it, "
        "check every direction, and set its failsafe.",
    )
    for miss in misses[:_MISSES_TOLD]:
        messages.warning(request, miss.text)
    if len(misses) > _MISSES_TOLD:
        messages.warning(request, f"And {len(misses) - _MISSES_TOLD} more throws that differ.")
    return True


def _start_empty(request: SignedIn, airframe: Airframe) -> None:
    """A draft which is no setup yet: it begins as the smallest one there is, whose contents are then taken out."""
    data = blank()
    smallest = {
        **data,
        "balance": {"cg_datum": "", "cg_low_mm": 0, "cg_high_mm": 0,
                    "loads": [{"key": "load", "label": "Load", "mass_g": 1, "cg_mm": 0}]},
        "channels": [{"number": 1, "label": "Channel 1", "low_us": 900, "high_us": 2100}],
    }  # fmt: skip
    setup = Setup.from_text(json.dumps(smallest))
    draft = drafts.start_draft(user=request.user, airframe=airframe, setup=setup, base=None)
    drafts.save_draft(user=request.user, draft=draft, text=json.dumps(data), version=draft.version)
