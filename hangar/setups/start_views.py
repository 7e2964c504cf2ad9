"""Starting the setup of an airframe which has none: from a layout, from a sister model, or empty."""

import json
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from hangar.fleet.errors import FleetError
from hangar.fleet.lookups import get_editable_airframe_for
from hangar.fleet.models import Airframe
from hangar.fleet.operations import add_airframe
from hangar.form_pages import get_or_post
from hangar.inputs import attempt
from hangar.members.policy import guard
from hangar.requests import SignedIn, posted
from mixing import Setup, SetupError

from . import drafts
from .composing import compose
from .crumbs import airframe_crumbs
from .editing import blank
from .forms import SisterForm
from .history import current_head
from .layouts import layout_setup, layouts
from .plan import plan_of
from .shape_forms import FactsForm, ShapeForm
from .sister import sister_of
from .thrown import told_thrown

_MISSES_TOLD = 5


@get_or_post
def new_airframe(request: SignedIn) -> HttpResponse:
    """One page: what the model is called, what sits where on it; then a draft of its first setup."""
    guard(request.user, "add_airframe")
    do = request.POST.get("do", "")
    facts, form = FactsForm(posted(request)), ShapeForm(posted(request))
    ctx: dict[str, Any] = {"crumbs": [(_("Line-up"), reverse("flights:line_up"))], "here": "line-up", "facts": facts}
    if do == "draw":
        return _drawn(request, form, "setups/new_airframe.html", {**ctx, "facts": FactsForm(initial=_typed(request))})
    if do == "later":
        made = _added(request, facts)
        if made is not None:
            return redirect("setups:start", made.slug)
        ctx |= {"plan": plan_of(form), "form": ShapeForm(initial=_typed(request))}
    elif all((facts.is_valid(), form.is_valid())):
        given, setup = facts.cleaned_data, compose(form.shape(facts.cleaned_data["span_mm"]))
        made = attempt(facts, (FleetError,), lambda: drafts.add_airframe(user=request.user, setup=setup, **given))
        if made is not None:
            _say_begun(request, setup)
            return redirect("setups:throws", made.slug)
    return render(request, "setups/new_airframe.html", {"plan": plan_of(form), "form": form, **ctx})


def _added(request: SignedIn, facts: FactsForm) -> Airframe | None:
    """The airframe without a setup; None, with the reasons at the fields, where that cannot be."""
    if not facts.is_valid():
        return None
    given = facts.cleaned_data
    return attempt(facts, (FleetError,), lambda: add_airframe(user=request.user, **given))


def _typed(request: SignedIn) -> dict[str, Any]:
    """What stands in the boxes, to be shown again without a word on what is wrong with it yet."""
    return {name: value for name, value in request.POST.items() if name != "csrfmiddlewaretoken"}


def _drawn(request: SignedIn, form: ShapeForm, template: str, ctx: dict[str, Any]) -> HttpResponse:
    """The drawing of what is chosen so far; without script the whole page, with everything as it was typed."""
    plan = plan_of(form)
    if request.htmx:
        return render(request, "setups/_plan.html", {"plan": plan})
    return render(request, template, {**ctx, "plan": plan, "form": ShapeForm(initial=_typed(request))})


def _say_begun(request: SignedIn, setup: Setup) -> None:
    count = len(setup.channels)
    told = ngettext(
        "Your draft has one channel, the usual direction and cautious throws. No linkage is measured yet, so every "
        "throw is an estimate until you have read it at the model.",
        "Your draft has {count} channels, the usual directions and cautious throws. No linkage is measured yet, so "
        "every throw is an estimate until you have read it at the model.",
        count,
    )
    messages.success(request, told.format(count=count))


@get_or_post
def start(request: SignedIn, slug: str) -> HttpResponse:
    """The start of a setup, as a draft. One that is there already is not overwritten."""
    airframe = get_editable_airframe_for(request.user, slug)
    if current_head(airframe) is not None or drafts.draft_of(request.user, airframe) is not None:
        return redirect("setups:draft", slug)
    do = request.POST.get("do", "")
    as_sister, as_drawn = do == "sister", do in ("shape", "draw")
    sister = SisterForm(request.POST if as_sister else None, user=request.user, airframe=airframe)
    form = ShapeForm(request.POST if as_drawn else None)
    ctx: dict[str, Any] = {
        "airframe": airframe, "here": "line-up", "layouts": layouts(), "sister": sister,
        "crumbs": airframe_crumbs(airframe), "thrown": told_thrown(request.user, airframe),
    }  # fmt: skip
    if do == "draw":
        return _drawn(request, form, "setups/start.html", ctx)
    if request.method == "POST":
        chosen = request.POST.get("layout", "")
        if as_sister:
            started = sister.is_valid() and _start_sister(request, airframe, sister)
        elif as_drawn:
            started = form.is_valid() and _start_drawn(request, airframe, form)
        else:
            _start_other(request, airframe, chosen if chosen in {layout.key for layout in layouts()} else "")
            started = True
        if started:
            return redirect("setups:throws" if as_drawn else "setups:draft", slug)
    return render(request, "setups/start.html", {**ctx, "form": form, "plan": plan_of(form)})


def _start_drawn(request: SignedIn, airframe: Airframe, form: ShapeForm) -> bool:
    setup = compose(form.shape(airframe.span_mm))
    drafts.start_draft(user=request.user, airframe=airframe, setup=setup, base=None)
    _say_begun(request, setup)
    return True


def _start_other(request: SignedIn, airframe: Airframe, layout: str) -> None:
    """From a layout, or empty where none is named."""
    if layout:
        drafts.start_draft(user=request.user, airframe=airframe, setup=layout_setup(layout), base=None)
    else:
        _start_empty(request, airframe)


def _start_sister(request: SignedIn, airframe: Airframe, form: SisterForm) -> bool:
    """A draft with the throws of another airframe; False, with the reason at the field, where that cannot be."""
    other: Airframe = form.cleaned_data["sister"]
    head = current_head(other)
    assert head is not None, "the form offers airframes with a setup only"
    try:
        setup, misses = sister_of(head.setup)
    except SetupError as error:
        told = _("The throws of {airframe} cannot be carried over: {reason}")
        form.add_error("sister", told.format(airframe=other, reason=error))
        return False
    drafts.start_draft(user=request.user, airframe=airframe, setup=setup, base=None)
    told = _(
        "Your draft has the throws of revision {number} of {airframe}. Not taken over are its linkages, servo "
        "centres, limits, reversal, failsafe and remarks: they belong to that model. Measure this one, weigh it, "
        "check every direction, and set its failsafe."
    )
    messages.info(request, told.format(number=head.number, airframe=other))
    for miss in misses[:_MISSES_TOLD]:
        messages.warning(request, miss.text)
    if len(misses) > _MISSES_TOLD:
        more = len(misses) - _MISSES_TOLD
        told = ngettext("And one more throw that differs.", "And {count} more throws that differ.", more)
        messages.warning(request, told.format(count=more))
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
