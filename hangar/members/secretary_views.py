"""The secretary's pages: who is a member, who is invited, roles, links, leaving and coming back."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe
from django_tables2 import RequestConfig

from hangar.form_pages import Crumbs, form_page, get_or_post
from hangar.inputs import attempt
from hangar.requests import SignedIn, posted

from . import mail, operations
from .errors import MemberError
from .forms import DetailsForm, EraseForm, InviteForm, RoleForm
from .links import link_address
from .lookups import get_invitation_for, get_member_for, open_invitations_for
from .models import Invitation, Member, Role
from .policy import guard
from .tables import InvitationTable, MemberFilter, MemberTable
from .you_views import details_of

LINKS_SHOWN = 5
"""Of the links that are open, so many stand below the list of members; all are on a page of their own."""


def _page_of(member: Member) -> str:
    return reverse("members:member", args=[member.pk])


def _above() -> Crumbs:
    return [(_("Members"), reverse("members:list"))]


def _below(member: Member) -> Crumbs:
    return [*_above(), (member.display_name, _page_of(member))]


def _context(member: Member, **more: object) -> dict[str, object]:
    """What the forms about one member share."""
    return {"member": member, "here": "members", "crumbs": _below(member), "cancel": _page_of(member), **more}


@require_safe
def members(request: SignedIn) -> HttpResponse:
    guard(request.user, "manage_members")
    chosen = MemberFilter(request.GET, queryset=Member.objects.select_related("personal"))
    table = MemberTable(chosen.qs, order_by="name")
    RequestConfig(request, paginate={"per_page": 25}).configure(table)
    links = open_invitations_for(request.user)
    ctx = {
        "table": table, "filter": chosen, "invitations": links[:LINKS_SHOWN], "open": links.count(), "here": "members",
    }  # fmt: skip
    template = "tables/region.html" if request.htmx else "members/members.html"
    response = render(request, template, ctx)
    patch_vary_headers(response, ["HX-Request"])
    return response


@require_safe
def invitations(request: SignedIn) -> HttpResponse:
    """All links that are still open: after an open day there may be as many as members."""
    table = InvitationTable(open_invitations_for(request.user))
    RequestConfig(request, paginate={"per_page": 25}).configure(table)
    ctx = {"table": table, "here": "members", "crumbs": _above()}
    response = render(request, "tables/region.html" if request.htmx else "members/links.html", ctx)
    patch_vary_headers(response, ["HX-Request"])
    return response


@require_safe
def member(request: SignedIn, pk: int) -> HttpResponse:
    found = get_member_for(request.user, pk)
    links = open_invitations_for(request.user).filter(member=found)
    personal = getattr(found, "personal", None)
    ctx = _context(found, personal=personal, links=links, crumbs=_above())
    return render(request, "members/member.html", ctx)


@never_cache
@get_or_post
def invite(request: SignedIn) -> HttpResponse:
    guard(request.user, "manage_members")
    form = InviteForm(posted(request), initial={"role": Role.PILOT})
    if form.is_valid():
        typed = form.cleaned_data
        made = attempt(form, (MemberError,), lambda: operations.invite(user=request.user, **typed))
        if made is not None:
            return _shown_once(request, *made)
    return form_page(
        request, form, title=_("Invite someone"), submit=_("Make the link"), crumbs=_above(), here="members",
        lede=_("You get a link to hand on. It works once, for 14 days."),
    )  # fmt: skip


def _shown_once(request: SignedIn, invitation: Invitation, token: str) -> HttpResponse:
    """The link, in the answer to the post itself: it is stored nowhere from which it could be shown again."""
    back = _page_of(invitation.member) if invitation.member else reverse("members:list")
    ctx = {
        "invitation": invitation, "link": link_address(token, request), "here": "members", "back": back,
        "crumbs": _above(),
    }  # fmt: skip
    return render(request, "members/link.html", ctx)


@require_POST
def withdraw(request: SignedIn, pk: int) -> HttpResponse:
    invitation = get_invitation_for(request.user, pk)
    operations.withdraw(user=request.user, invitation=invitation)
    messages.success(request, _("The link was withdrawn; it opens nothing any more."))
    return redirect("members:invitations")


@get_or_post
def edit_member(request: SignedIn, pk: int) -> HttpResponse:
    found = get_member_for(request.user, pk)
    form = DetailsForm(posted(request), initial=details_of(getattr(found, "personal", None)))
    if not mail.configured():
        del form.fields["email"]
    if form.is_valid():
        typed = form.cleaned_data
        if attempt(form, (MemberError,), lambda: operations.change_name(user=request.user, member=found, **typed)):
            return redirect(_page_of(found))
    title = _("Name and number of {member}").format(member=found)
    return form_page(request, form, title=title, crumbs=_below(found), here="members")


@get_or_post
def change_role(request: SignedIn, pk: int) -> HttpResponse:
    found = get_member_for(request.user, pk)
    form = RoleForm(posted(request), initial={"role": found.role})
    if form.is_valid():
        role = form.cleaned_data["role"]
        if attempt(form, (MemberError,), lambda: operations.change_role(user=request.user, member=found, role=role)):
            return redirect(_page_of(found) if role == Role.SECRETARY or found != request.user else "members:you")
    title = _("The role of {member}").format(member=found)
    return form_page(request, form, title=title, crumbs=_below(found), here="members")


@never_cache
@require_POST
def offer_new_password(request: SignedIn, pk: int) -> HttpResponse:
    found = get_member_for(request.user, pk)
    try:
        return _shown_once(request, *operations.offer_new_password(user=request.user, member=found))
    except MemberError as error:
        messages.error(request, str(error))
        return redirect(_page_of(found))


@get_or_post
def let_go(request: SignedIn, pk: int) -> HttpResponse:
    """Ask before a member is let go."""
    found = get_member_for(request.user, pk)
    if request.method == "POST":
        told = _("{member} has left.")
        return _done(request, found, lambda: operations.let_go(user=request.user, member=found), told)
    return render(request, "members/let_go.html", _context(found))


@require_POST
def let_back_in(request: SignedIn, pk: int) -> HttpResponse:
    found = get_member_for(request.user, pk)
    told = _("{member} is a member again.")
    return _done(request, found, lambda: operations.let_back_in(user=request.user, member=found), told)


def _done(request: SignedIn, member: Member, deed: Callable[[], Member], told: str) -> HttpResponse:
    """Do it and say so, or say why it cannot be."""
    try:
        deed()
    except MemberError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, told.format(member=member.display_name))
    # A secretary may have let themself go; the next page then asks to sign in.
    return redirect(_page_of(member))


@get_or_post
def erase(request: SignedIn, pk: int) -> HttpResponse:
    found = get_member_for(request.user, pk)
    form = EraseForm(posted(request))
    erased = None
    if form.is_valid():
        erased = attempt(form, (MemberError,), lambda: operations.erase_name(user=request.user, member=found))
    if erased is not None:
        messages.success(request, _("The name is erased. The history says “former member” from now on."))
        return redirect("members:list")
    return render(request, "members/erase.html", _context(found, form=form, submit=_("Erase the name")))
