"""Pages of the transmitters: their figures, and the test of their signs."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe
from django_tables2 import RequestConfig

from hangar.form_pages import Crumbs, form_page, get_or_post
from hangar.inputs import attempt
from hangar.members.policy import can, edits_everything
from hangar.requests import SignedIn, posted

from . import operations
from .errors import FleetError
from .forms import OwnedTransmitterForm, SignsForm, TransmitterForm
from .lookups import get_editable_transmitter_for, get_transmitter_for
from .models import SIGNS, Transmitter
from .tables import TransmitterTable


def _above() -> Crumbs:
    return [(_("Transmitters"), reverse("fleet:transmitters"))]


@require_safe
def transmitters(request: SignedIn) -> HttpResponse:
    table = TransmitterTable(
        Transmitter.objects.visible_to(request.user).select_related("owner__personal"), order_by="label"
    )
    RequestConfig(request, paginate={"per_page": 50}).configure(table)
    return render(request, "fleet/transmitters.html", {"table": table, "here": "transmitters"})


@require_safe
def transmitter(request: SignedIn, pk: int) -> HttpResponse:
    found = get_transmitter_for(request.user, pk)
    ctx = {
        "transmitter": found, "here": "transmitters", "may_edit": can(request.user, "edit", found),
        "signs": [(SignsForm.base_fields[name].label, getattr(found, f"get_{name}_display")()) for name in SIGNS],
        "crumbs": _above(),
    }  # fmt: skip
    return render(request, "fleet/transmitter.html", ctx)


@get_or_post
def new_transmitter(request: SignedIn) -> HttpResponse:
    common = Transmitter()
    initial = {"stick_mode": common.stick_mode, **common.signal_figures}
    form = (OwnedTransmitterForm if edits_everything(request.user) else TransmitterForm)(
        posted(request), initial=initial
    )
    if form.is_valid():
        fields = dict(form.cleaned_data)
        owner = None if fields.pop("clubs", False) else request.user
        added = attempt(
            form, (FleetError,), lambda: operations.add_transmitter(user=request.user, owner=owner, **fields)
        )
        if added is not None:
            return redirect("fleet:transmitter", added.pk)
    lede = _("The figures are those of its handbook; the ones given are common.")
    return form_page(
        request, form, title=_("New transmitter"), submit=_("Add it"), lede=lede, crumbs=_above(), here="transmitters"
    )


@get_or_post
def edit_transmitter(request: SignedIn, pk: int) -> HttpResponse:
    found = get_editable_transmitter_for(request.user, pk)
    initial = {name: getattr(found, name) for name in operations.TRANSMITTER_FIELDS}
    form = TransmitterForm(posted(request), initial=initial)
    page = reverse("fleet:transmitter", args=[pk])
    if form.is_valid():
        fields = form.cleaned_data
        if attempt(
            form, (FleetError,), lambda: operations.change_transmitter(user=request.user, transmitter=found, **fields)
        ):
            return redirect(page)
    label = str(initial["label"])
    title = _("Figures of {transmitter}").format(transmitter=label)
    lede = _("Setups that were recorded keep the figures that held then.")
    return form_page(request, form, title=title, lede=lede, crumbs=[*_above(), (label, page)], here="transmitters")


@get_or_post
def prove_signs(request: SignedIn, pk: int) -> HttpResponse:
    found = get_editable_transmitter_for(request.user, pk)
    form = SignsForm(posted(request), initial={name: getattr(found, name) for name in SIGNS})
    page = reverse("fleet:transmitter", args=[pk])
    if form.is_valid():
        fields = form.cleaned_data
        if attempt(form, (FleetError,), lambda: operations.prove_signs(user=request.user, transmitter=found, **fields)):
            return redirect(page)
    return form_page(
        request, form, title=_("The signs of {transmitter}").format(transmitter=found), submit=_("Save what was seen"),
        lede=_("Transmitters differ. Enter each figure in a spare model memory and choose what you saw."),
        cautions=True, crumbs=[*_above(), (found.label, page)], here="transmitters",
    )  # fmt: skip
