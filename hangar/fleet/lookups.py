"""Look-ups which enforce who may see and who may edit: a view never reaches for a bare `.get`."""

from django.contrib.auth.models import AnonymousUser
from django.http import Http404
from django.utils.translation import gettext as _

from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.members.policy import edits_everything, guard

from .models import Airframe, Fitting, Receiver, Transmitter


def get_airframe_for(user: Member | AnonymousUser, slug: str) -> Airframe:
    """The airframe, for whoever may see it; Http404 for strangers and for what is not there."""
    airframe = (
        Airframe.objects.visible_to(user).select_related("owner__personal", "kept_photo").filter(slug=slug).first()
    )
    if airframe is None:
        raise Http404(f"There is no airframe {slug!r}.")
    return airframe


def get_editable_airframe_for(user: Member | AnonymousUser, slug: str) -> Airframe:
    """The airframe, for whoever may edit it; NotAllowed (403) for readers, Http404 for strangers."""
    airframe = get_airframe_for(user, slug)
    guard(user, "edit", airframe)
    return airframe


def disposes_of(user: Member | AnonymousUser, airframe: Airframe) -> bool:
    """Whether this member says whose the airframe is: its owner or an instructor. A helper edits it and no more."""
    return airframe.owner_id == user.pk or edits_everything(user)


def get_disposable_airframe_for(user: Member | AnonymousUser, slug: str) -> Airframe:
    """The airframe, for whoever may say whose it is; NotAllowed (403) for helpers and readers."""
    airframe = get_editable_airframe_for(user, slug)
    if not disposes_of(user, airframe):
        text = _("Only the owner of {airframe}, or an instructor, names its owner and helpers and lets it go.")
        raise NotAllowed(text.format(airframe=airframe))
    return airframe


def get_transmitter_for(user: Member | AnonymousUser, pk: int) -> Transmitter:
    transmitter = Transmitter.objects.visible_to(user).select_related("owner__personal").filter(pk=pk).first()
    if transmitter is None:
        raise Http404(f"There is no transmitter number {pk}.")
    return transmitter


def get_editable_transmitter_for(user: Member | AnonymousUser, pk: int) -> Transmitter:
    transmitter = get_transmitter_for(user, pk)
    guard(user, "edit", transmitter)
    return transmitter


def get_receiver_for(user: Member | AnonymousUser, pk: int) -> Receiver:
    receiver = Receiver.objects.visible_to(user).filter(pk=pk).first()
    if receiver is None:
        raise Http404(f"There is no receiver number {pk}.")
    return receiver


def current_fitting(airframe: Airframe) -> Fitting | None:
    """Which receiver sits in the airframe now."""
    return Fitting.objects.filter(airframe=airframe, until=None).select_related("receiver").first()
