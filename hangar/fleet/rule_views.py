"""The club's rules: everyone reads them, the secretary sets them."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.html import format_html
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from hangar.form_pages import Crumbs, form_page, get_or_post
from hangar.inputs import attempt
from hangar.members.policy import can, guard
from hangar.requests import SignedIn, posted

from . import rule_operations
from .errors import FleetError
from .models import MassBand
from .rule_forms import ClubRulesForm, MassBandForm
from .rules import club_rules

BAND = ("label", "from_g", "asks", "weight")


def _above() -> Crumbs:
    return [(_("Line-up"), reverse("flights:line_up")), (_("Club rules"), reverse("fleet:club_rules"))]


@require_safe
def rules(request: SignedIn) -> HttpResponse:
    ctx = {
        "rules": club_rules(), "bands": MassBand.objects.all(), "may_set": can(request.user, "set_club_rules"),
        "crumbs": [(_("Line-up"), reverse("flights:line_up"))], "here": "line-up",
    }  # fmt: skip
    return render(request, "fleet/club_rules.html", ctx)


@get_or_post
def set_rules(request: SignedIn) -> HttpResponse:
    guard(request.user, "set_club_rules")
    now = club_rules()
    form = ClubRulesForm(posted(request), initial={name: getattr(now, name) for name in rule_operations.RULES})
    if form.is_valid():
        given = form.cleaned_data
        if attempt(form, (FleetError,), lambda: rule_operations.set_club_rules(user=request.user, **given)):
            messages.success(request, _("The club's rules are set. The line-up follows them from now on."))
            return redirect("fleet:club_rules")
    return form_page(
        request, form, title=_("Set the club rules"), submit=_("Set them"), crumbs=_above(), here="line-up",
        lede=_("Each is optional. The line-up and the pages of the models name the rule where it speaks."),
    )  # fmt: skip


@get_or_post
def band(request: SignedIn, pk: int | None = None) -> HttpResponse:
    """A new mass band, or one that is there."""
    found = _band(pk) if pk is not None else None
    guard(request.user, "set_club_rules")
    initial = {name: getattr(found, name) for name in BAND} if found is not None else request.GET.dict()
    form = MassBandForm(posted(request), initial=initial)
    if form.is_valid():
        saved = attempt(form, (FleetError,), lambda: _save(request, found, form))
        if saved is not None:
            return redirect("fleet:club_rules")
    title = _("New mass band") if found is None else _("Mass band {band}").format(band=initial["label"])
    return form_page(
        request, form, title=title, submit=_("Add it") if found is None else "", crumbs=_above(), here="line-up",
        lede=_("It reaches from its own mass up to that of the next band. The mass is the flying mass as weighed."),
    )  # fmt: skip


def _save(request: SignedIn, found: MassBand | None, form: MassBandForm) -> MassBand:
    if found is None:
        return rule_operations.add_mass_band(user=request.user, **form.cleaned_data)
    return rule_operations.change_mass_band(user=request.user, band=found, **form.cleaned_data)


@require_POST
def remove_band(request: SignedIn, pk: int) -> HttpResponse:
    found = _band(pk)
    rule_operations.remove_mass_band(user=request.user, band=found)
    was = {**{name: getattr(found, name) for name in BAND}, "from_g": f"{found.from_g:.10g}"}
    back = f"{reverse('fleet:new_mass_band')}?{urlencode(was)}"
    told = _("The mass band “{band}” is gone.").format(band=found.label)
    messages.success(request, format_html('{} <a href="{}">{}</a>', told, back, _("Bring it back")))
    return redirect("fleet:club_rules")


def _band(pk: int) -> MassBand:
    found = MassBand.objects.filter(pk=pk).first()
    if found is None:
        raise Http404(f"There is no mass band number {pk}.")
    return found
