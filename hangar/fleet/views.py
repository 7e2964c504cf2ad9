"""Pages of the fleet: an airframe's own facts and its receiver, the receivers, the transmitters."""

from typing import Any

from django.contrib import messages
from django.db.models import Prefetch, QuerySet
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe
from django_tables2 import RequestConfig

from hangar.inputs import attempt
from hangar.members.policy import can, edits_everything, guard
from hangar.requests import SignedIn, posted

from . import operations
from .errors import FleetError
from .forms import (
    AirframeForm,
    BindForm,
    FitForm,
    OwnedTransmitterForm,
    PeopleForm,
    ReceiverForm,
    SignsForm,
    TransmitterForm,
)
from .lookups import (
    current_fitting,
    get_disposable_airframe_for,
    get_editable_airframe_for,
    get_editable_transmitter_for,
    get_receiver_for,
    get_transmitter_for,
)
from .models import SIGNS, Airframe, Binding, Fitting, Receiver, Transmitter
from .tables import ReceiverTable, TransmitterTable

Crumbs = list[tuple[str, str]]
get_or_post = require_http_methods(["GET", "HEAD", "POST"])


def airframe_crumbs(airframe: Airframe) -> Crumbs:
    return _crumbs_of(airframe.slug, airframe.name)


def _receivers() -> QuerySet[Receiver]:
    now_in = Fitting.objects.filter(until=None).select_related("airframe")
    return Receiver.objects.prefetch_related(Prefetch("fittings", now_in, to_attr="open_fittings"))


@get_or_post
def edit_airframe(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    initial = {name: getattr(airframe, name) for name in operations.AIRFRAME_FIELDS}
    form = AirframeForm(posted(request), initial=initial)
    if form.is_valid():
        fields = form.cleaned_data
        if attempt(
            form, (FleetError,), lambda: operations.change_airframe(user=request.user, airframe=airframe, **fields)
        ):
            return redirect("flights:airframe", slug)
    title = _("Facts about {airframe}").format(airframe=initial["name"])
    ctx = {
        "form": form, "title": title, "submit": _("Save"), "here": "line-up",
        "cancel": reverse("flights:airframe", args=[slug]), "crumbs": _crumbs_of(slug, initial["name"]),
    }  # fmt: skip
    return render(request, "form_page.html", ctx)


def _crumbs_of(slug: str, name: Any) -> Crumbs:
    """Like `airframe_crumbs`, where the row already holds a name that was refused."""
    return [(_("Line-up"), reverse("flights:line_up")), (str(name), reverse("flights:airframe", args=[slug]))]


@get_or_post
def people(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_disposable_airframe_for(request.user, slug)
    form = PeopleForm(posted(request), airframe=airframe)
    if form.is_valid():
        fields = form.cleaned_data
        if attempt(
            form, (FleetError,), lambda: operations.change_people(user=request.user, airframe=airframe, **fields)
        ):
            return redirect("flights:airframe", slug)
    title = _("Owner and helpers of {airframe}").format(airframe=airframe)
    ctx = {
        "form": form, "title": title, "submit": _("Save"), "here": "line-up",
        "cancel": reverse("flights:airframe", args=[slug]), "crumbs": airframe_crumbs(airframe),
    }  # fmt: skip
    return render(request, "form_page.html", ctx)


@get_or_post
def leave(request: SignedIn, slug: str) -> HttpResponse:
    """An airframe is sold or gone: what to hand over with it, and saying so."""
    airframe = get_disposable_airframe_for(request.user, slug)
    if request.method == "POST":
        operations.leave_club(user=request.user, airframe=airframe)
        messages.success(request, _("{airframe} is gone from the club. Its history stays.").format(airframe=airframe))
        return redirect("flights:airframe", slug)
    ctx = {
        "airframe": airframe, "fitting": current_fitting(airframe), "here": "line-up",
        "crumbs": airframe_crumbs(airframe),
        # By the name of the relation: setups are kept by the package above this one.
        "has_setup": Airframe.objects.filter(pk=airframe.pk, revisions__isnull=False).exists(),
    }  # fmt: skip
    return render(request, "fleet/leave.html", ctx)


@require_POST
def see_mark(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    try:
        seen = operations.see_mark(user=request.user, airframe=airframe)
    except FleetError as error:
        messages.warning(request, str(error))
        return redirect("fleet:edit_airframe", slug)
    messages.success(request, _("The mark {mark} was seen on {airframe}.").format(mark=seen.mark, airframe=airframe))
    return redirect("flights:airframe", slug)


@get_or_post
def fit_receiver(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    fitting = current_fitting(airframe)
    offered = _receivers().exclude(status="retired")
    form = FitForm(
        posted(request), receivers=offered, fitted=fitting.receiver if fitting else None,
        initial={"receiver": fitting.receiver_id if fitting else None},
    )  # fmt: skip
    if form.is_valid():
        receiver = form.cleaned_data["receiver"]
        if attempt(
            form, (FleetError,), lambda: operations.fit(user=request.user, receiver=receiver, airframe=airframe)
        ):
            told = _("{receiver} sits in {airframe} now. Its failsafe and range are to be checked.")
            messages.success(request, told.format(receiver=receiver, airframe=airframe))
            return redirect("flights:airframe", slug)
    binding = (
        Binding.objects.filter(receiver=fitting.receiver).select_related("transmitter").first() if fitting else None
    )
    ctx = {
        "airframe": airframe, "fitting": fitting, "binding": binding, "form": form, "here": "line-up",
        "bind_form": BindForm(
            user=request.user, airframe=airframe, initial={"transmitter": binding.transmitter_id if binding else None}
        ),
        "crumbs": airframe_crumbs(airframe),
    }  # fmt: skip
    return render(request, "fleet/fit_receiver.html", ctx)


@require_POST
def take_receiver_out(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    fitting = operations.take_out(user=request.user, airframe=airframe)
    if fitting is not None:
        told = _("{receiver} was taken out of {airframe}.")
        messages.success(request, told.format(receiver=fitting.receiver, airframe=airframe))
    return redirect("flights:airframe", slug)


@require_POST
def bind_receiver(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    form = BindForm(request.POST, user=request.user, airframe=airframe)
    if form.is_valid():
        transmitter = form.cleaned_data["transmitter"]
        if attempt(
            form, (FleetError,), lambda: operations.bind(user=request.user, airframe=airframe, transmitter=transmitter)
        ):
            told = _("Bound to {transmitter}. Set the failsafe anew and check it on the model.")
            messages.success(request, told.format(transmitter=transmitter))
            return redirect("flights:airframe", slug)
    fitting = current_fitting(airframe)
    ctx = {
        "airframe": airframe, "fitting": fitting, "bind_form": form, "here": "line-up",
        "crumbs": airframe_crumbs(airframe),
        "form": FitForm(
            receivers=_receivers().exclude(status="retired"), fitted=fitting.receiver if fitting else None
        ),
    }  # fmt: skip
    return render(request, "fleet/fit_receiver.html", ctx)


@require_safe
def receivers(request: SignedIn) -> HttpResponse:
    table = ReceiverTable(_receivers(), order_by="label")
    RequestConfig(request, paginate={"per_page": 50}).configure(table)
    ctx = {"table": table, "may_add": can(request.user, "manage_receivers"), "here": "receivers"}
    return render(request, "fleet/receivers.html", ctx)


@require_safe
def receiver(request: SignedIn, pk: int) -> HttpResponse:
    found = get_receiver_for(request.user, pk)
    ctx = {
        "receiver": found, "here": "receivers", "may_edit": can(request.user, "manage_receivers"),
        "fittings": Fitting.everything.filter(receiver=found).select_related(
            "airframe", "by__personal", "withdrawn_by__personal"
        ),
        "bindings": Binding.everything.filter(receiver=found).select_related(
            "transmitter", "by__personal", "withdrawn_by__personal"
        ),
        "crumbs": [(_("Receivers"), reverse("fleet:receivers"))],
    }  # fmt: skip
    return render(request, "fleet/receiver.html", ctx)


@get_or_post
def new_receiver(request: SignedIn) -> HttpResponse:
    guard(request.user, "manage_receivers")
    form = ReceiverForm(posted(request), initial={"status": "spare", "channels": 8})
    if form.is_valid():
        fields = form.cleaned_data
        if attempt(form, (FleetError,), lambda: operations.add_receiver(user=request.user, **fields)):
            return redirect("fleet:receivers")
    ctx = {
        "form": form, "title": _("New receiver"), "submit": _("Add it"), "cancel": reverse("fleet:receivers"),
        "crumbs": [(_("Receivers"), reverse("fleet:receivers"))], "here": "receivers",
    }  # fmt: skip
    return render(request, "form_page.html", ctx)


@get_or_post
def edit_receiver(request: SignedIn, pk: int) -> HttpResponse:
    found = get_receiver_for(request.user, pk)
    guard(request.user, "manage_receivers")
    initial = {name: getattr(found, name) for name in operations.RECEIVER_FIELDS}
    form = ReceiverForm(posted(request), initial=initial)
    page = reverse("fleet:receiver", args=[pk])
    if form.is_valid():
        fields = form.cleaned_data
        if attempt(
            form, (FleetError,), lambda: operations.change_receiver(user=request.user, receiver=found, **fields)
        ):
            return redirect(page)
    title = _("Receiver {receiver}").format(receiver=initial["label"])
    ctx = {
        "form": form, "title": title, "submit": _("Save"), "cancel": page, "here": "receivers",
        "crumbs": [(_("Receivers"), reverse("fleet:receivers")), (str(initial["label"]), page)],
    }  # fmt: skip
    return render(request, "form_page.html", ctx)


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
        "crumbs": [(_("Transmitters"), reverse("fleet:transmitters"))],
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
    ctx = {
        "form": form, "title": _("New transmitter"), "submit": _("Add it"), "cancel": reverse("fleet:transmitters"),
        "lede": _("The figures are those of its handbook; the ones given are common."),
        "crumbs": [(_("Transmitters"), reverse("fleet:transmitters"))], "here": "transmitters",
    }  # fmt: skip
    return render(request, "form_page.html", ctx)


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
    title = _("Figures of {transmitter}").format(transmitter=initial["label"])
    ctx = {
        "form": form, "title": title, "submit": _("Save"), "cancel": page, "here": "transmitters",
        "lede": _("Setups that were recorded keep the figures that held then."),
        "crumbs": [(_("Transmitters"), reverse("fleet:transmitters")), (str(initial["label"]), page)],
    }  # fmt: skip
    return render(request, "form_page.html", ctx)


@get_or_post
def prove_signs(request: SignedIn, pk: int) -> HttpResponse:
    found = get_editable_transmitter_for(request.user, pk)
    form = SignsForm(posted(request), initial={name: getattr(found, name) for name in SIGNS})
    page = reverse("fleet:transmitter", args=[pk])
    if form.is_valid():
        fields = form.cleaned_data
        if attempt(form, (FleetError,), lambda: operations.prove_signs(user=request.user, transmitter=found, **fields)):
            return redirect(page)
    ctx = {
        "form": form, "title": _("The signs of {transmitter}").format(transmitter=found), "cancel": page,
        "submit": _("Save what was seen"),
        "lede": _("Transmitters differ. Enter each figure in a spare model memory and choose what you saw."),
        "cautions": True, "crumbs": [(_("Transmitters"), reverse("fleet:transmitters")), (found.label, page)],
        "here": "transmitters",
    }  # fmt: skip
    return render(request, "form_page.html", ctx)
