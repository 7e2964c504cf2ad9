"""Pages of the receivers: which one sits in an airframe and obeys which transmitter, and the receivers themselves."""

from django.contrib import messages
from django.db.models import Prefetch, QuerySet
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe
from django_tables2 import RequestConfig

from hangar.form_pages import Crumbs, form_page, get_or_post
from hangar.inputs import attempt
from hangar.members.policy import can, guard
from hangar.requests import SignedIn, posted

from . import operations
from .crumbs import airframe_crumbs
from .errors import FleetError
from .forms import BindForm, FitForm, ReceiverForm
from .lookups import current_fitting, get_editable_airframe_for, get_receiver_for
from .models import Airframe, Binding, Fitting, Receiver, ReceiverStatus
from .tables import ReceiverTable


def _above() -> Crumbs:
    return [(_("Receivers"), reverse("fleet:receivers"))]


def _receivers() -> QuerySet[Receiver]:
    now_in = Fitting.objects.filter(until=None).select_related("airframe")
    return Receiver.objects.prefetch_related(Prefetch("fittings", now_in, to_attr="open_fittings"))


@get_or_post
def fit_receiver(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    fitting = current_fitting(airframe)
    form = _fit_form(fitting, posted(request))
    if form.is_valid():
        receiver = form.cleaned_data["receiver"]
        if attempt(
            form, (FleetError,), lambda: operations.fit(user=request.user, receiver=receiver, airframe=airframe)
        ):
            told = _("{receiver} sits in {airframe} now. Its failsafe and range are to be checked.")
            messages.success(request, told.format(receiver=receiver, airframe=airframe))
            return redirect("flights:airframe", slug)
    return _fitting_page(request, airframe, fitting, form=form)


def _fit_form(fitting: Fitting | None, data: QueryDict | None = None) -> FitForm:
    return FitForm(
        data, receivers=_receivers().exclude(status=ReceiverStatus.RETIRED),
        fitted=fitting.receiver if fitting else None, initial={"receiver": fitting.receiver_id if fitting else None},
    )  # fmt: skip


def _fitting_page(
    request: SignedIn,
    airframe: Airframe,
    fitting: Fitting | None,
    form: FitForm | None = None,
    bind_form: BindForm | None = None,
) -> HttpResponse:
    """What sits in an airframe and what it is bound to, with a form for each, one of them perhaps refused."""
    binding = None
    if fitting is not None:
        binding = Binding.objects.filter(receiver=fitting.receiver).select_related("transmitter").first()
    now = {"transmitter": binding.transmitter_id if binding else None}
    ctx = {
        "airframe": airframe, "fitting": fitting, "binding": binding, "here": "line-up",
        "form": form or _fit_form(fitting),
        "bind_form": bind_form or BindForm(user=request.user, airframe=airframe, initial=now),
        "crumbs": airframe_crumbs(airframe),
    }  # fmt: skip
    return render(request, "fleet/fit_receiver.html", ctx)


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
    return _fitting_page(request, airframe, current_fitting(airframe), bind_form=form)


@require_POST
def take_receiver_out(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    try:
        fitting = operations.take_out(user=request.user, airframe=airframe)
    except FleetError as error:
        messages.warning(request, str(error))
        return redirect("fleet:fit_receiver", slug)
    if fitting is not None:
        told = _("{receiver} was taken out of {airframe}.")
        messages.success(request, told.format(receiver=fitting.receiver, airframe=airframe))
    return redirect("flights:airframe", slug)


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
        "crumbs": _above(),
    }  # fmt: skip
    return render(request, "fleet/receiver.html", ctx)


@get_or_post
def new_receiver(request: SignedIn) -> HttpResponse:
    guard(request.user, "manage_receivers")
    form = ReceiverForm(posted(request), initial={"status": ReceiverStatus.SPARE, "channels": 8})
    if form.is_valid():
        fields = form.cleaned_data
        if attempt(form, (FleetError,), lambda: operations.add_receiver(user=request.user, **fields)):
            return redirect("fleet:receivers")
    return form_page(request, form, title=_("New receiver"), submit=_("Add it"), crumbs=_above(), here="receivers")


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
    label = str(initial["label"])
    title = _("Receiver {receiver}").format(receiver=label)
    return form_page(request, form, title=title, crumbs=[*_above(), (label, page)], here="receivers")
