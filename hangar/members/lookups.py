"""Look-ups which enforce who may see whom."""

from django.db.models import QuerySet
from django.http import Http404

from .models import Invitation, Member, Visit
from .policy import guard
from .visits import visits_of


def get_member_for(user: Member, pk: int) -> Member:
    """A member with all that the secretary knows; NotAllowed (403) for anyone else, whether there is one or not."""
    guard(user, "manage_members")
    member = Member.objects.select_related("personal").filter(pk=pk).first()
    if member is None:
        raise Http404(f"There is no member number {pk}.")
    return member


def open_invitations_for(user: Member) -> QuerySet[Invitation]:
    guard(user, "manage_members")
    return Invitation.objects.open().select_related("member__personal", "invited_by__personal")


def get_invitation_for(user: Member, pk: int) -> Invitation:
    guard(user, "manage_members")
    invitation = Invitation.objects.filter(pk=pk).first()
    if invitation is None:
        raise Http404(f"There is no invitation number {pk}.")
    return invitation


def get_visit_of(user: Member, pk: int) -> Visit:
    """One of the member's own; Http404 for anybody else's."""
    visit = visits_of(user).filter(pk=pk).first()
    if visit is None:
        raise Http404(f"There is no such browser, number {pk}.")
    return visit
