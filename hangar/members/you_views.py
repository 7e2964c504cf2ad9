"""A member's own page: name, number, preferences, password, where they are signed in, and leaving."""

from typing import Any

from django.contrib import messages
from django.contrib.auth import logout, update_session_auth_hash
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext, ngettext
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST, require_safe

from hangar.form_pages import Crumbs, form_page, get_or_post
from hangar.inputs import attempt
from hangar.requests import SignedIn, posted

from . import mail, operations, visits
from .errors import MemberError
from .forms import ChangePasswordForm, LeaveForm, OwnDetailsForm, PreferencesForm
from .lookups import get_visit_of
from .models import PersonalName

DETAILS = ("full_name", "operator_number", "licence_expires_on", "email")


def _crumbs() -> Crumbs:
    return [(gettext("You"), reverse("members:you"))]


def details_of(personal: PersonalName | None) -> dict[str, object]:
    """What a form about a member begins with."""
    return {name: getattr(personal, name, None) for name in DETAILS}


@require_safe
def you(request: SignedIn) -> HttpResponse:
    ctx = {
        "member": request.user, "personal": request.user.personal, "here": "you",
        "visits": visits.visits_of(request.user), "this_session": request.session.session_key,
    }  # fmt: skip
    return render(request, "members/you.html", ctx)


@get_or_post
def details(request: SignedIn) -> HttpResponse:
    form = OwnDetailsForm(posted(request), initial=details_of(request.user.personal), request=request)
    if not mail.configured():
        del form.fields["email"], form.fields["old"]
    if form.is_valid():
        typed: dict[str, Any] = {name: form.cleaned_data.get(name) for name in DETAILS}
        if attempt(
            form, (MemberError,), lambda: operations.change_name(user=request.user, member=request.user, **typed)
        ):
            return redirect("members:you")
    return form_page(request, form, title=gettext("Your name and number"), crumbs=_crumbs(), here="you")


@get_or_post
def preferences(request: SignedIn) -> HttpResponse:
    member = request.user
    chosen = {name: getattr(member, name) for name in PreferencesForm.base_fields}
    form = PreferencesForm(posted(request), initial=chosen)
    if form.is_valid():
        typed = form.cleaned_data
        if attempt(form, (), lambda: operations.set_preferences(user=member, **typed)):
            return redirect("members:you")
    return form_page(request, form, title=gettext("How you read and print"), crumbs=_crumbs(), here="you")


@sensitive_post_parameters()
@get_or_post
def password(request: SignedIn) -> HttpResponse:
    form = ChangePasswordForm(posted(request), request=request)
    if form.is_valid():
        new = form.cleaned_data["password"]
        if attempt(form, (), lambda: operations.change_password(user=request.user, password=new)):
            update_session_auth_hash(request, request.user)
            visits.end_others(user=request.user, keep=request.session.session_key)
            visits.remember(request, request.user)
            messages.success(request, gettext("Your password is new. Everywhere else you are signed out."))
            return redirect("members:you")
    lede = gettext("Everywhere else you will be signed out.")
    return form_page(request, form, title=gettext("A new password"), lede=lede, crumbs=_crumbs(), here="you")


@require_POST
def end_visit(request: SignedIn, pk: int) -> HttpResponse:
    visit = get_visit_of(request.user, pk)
    visits.end_visit(user=request.user, visit=visit)
    if visit.session_key == request.session.session_key:
        logout(request)
        return redirect("members:sign_in")
    messages.success(request, gettext("{visit} is signed out.").format(visit=visit))
    return redirect("members:you")


@require_POST
def end_others(request: SignedIn) -> HttpResponse:
    count = visits.end_others(user=request.user, keep=request.session.session_key)
    told = ngettext(
        "{count} signed out; you are signed in here only.", "{count} signed out; you are signed in here only.", count
    )
    messages.success(request, told.format(count=count))
    return redirect("members:you")


@sensitive_post_parameters()
@get_or_post
def leave(request: SignedIn) -> HttpResponse:
    member = request.user
    form = LeaveForm(posted(request), request=request)
    if form.is_valid():
        erase = form.cleaned_data["name"] == "erase"
        left = attempt(
            form, (MemberError,),
            lambda: operations.erase_name(user=member, member=member) if erase else operations.leave(user=member),
        )  # fmt: skip
        if left is not None:
            logout(request)
            return render(request, "members/left.html", {"erased": erase})
    ctx = {
        "form": form, "submit": gettext("Leave the club"), "cancel": reverse("members:you"), "crumbs": _crumbs(),
        "here": "you",
    }  # fmt: skip
    return render(request, "members/leave.html", ctx)
