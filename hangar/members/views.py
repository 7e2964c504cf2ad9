"""Coming in: signing in, joining or setting a new password by a link. All of it without being signed in."""

from django.contrib import messages
from django.contrib.auth import login as sign_in_as
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST
from django.views.i18n import set_language

from hangar.form_pages import get_or_post
from hangar.inputs import attempt
from hangar.languages.areas import LANGUAGES
from hangar.requests import posted

from . import mail
from .addresses import client_address
from .errors import InvitationError
from .forms import ForgottenForm, JoinForm, NewPasswordForm, SignInForm
from .known import remembering
from .links import link_address
from .models import Member
from .operations import accept, open_invitation, set_preferences

BACKEND = "django.contrib.auth.backends.ModelBackend"


class SignIn(LoginView):
    template_name = "members/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        return remembering(self.request, super().form_valid(form))


sign_in = get_or_post(SignIn.as_view())
sign_out = require_POST(LogoutView.as_view(next_page="members:sign_in"))


@login_not_required
@sensitive_post_parameters()
@never_cache
@get_or_post
def use_link(request: HttpRequest, token: str) -> HttpResponse:
    """Join, or set a new password: what the link was made for."""
    try:
        invitation = open_invitation(token)
    except InvitationError as error:
        return render(request, "members/link_gone.html", {"error": str(error)}, status=404)
    form = (NewPasswordForm if invitation.member else JoinForm)(posted(request))
    if form.is_valid() and _used(request, form, token):
        return remembering(request, redirect("flights:line_up"))
    return render(request, "members/use_link.html", {"form": form, "invitation": invitation})


def _used(request: HttpRequest, form: NewPasswordForm, token: str) -> bool:
    typed = form.cleaned_data
    member = attempt(
        form, (InvitationError,),
        lambda: accept(token=token, login=typed.get("login", ""), password=typed["password"]),
    )  # fmt: skip
    if member is None:
        return False
    sign_in_as(request, member, backend=BACKEND)
    joined = isinstance(form, JoinForm)
    welcome = _("Welcome, {member}. Every member reads every setup. A model of your own begins with “New airframe”.")
    welcome = welcome.format(member=member)
    messages.success(request, welcome if joined else _("Your password is new, and you are signed in."))
    return True


@login_not_required
@require_POST
def language(request: HttpRequest) -> HttpResponse:
    """Choose the language of the pages: kept with the member, and in a cookie for when nobody is signed in."""
    chosen = request.POST.get("language", "")
    if isinstance(request.user, Member) and chosen in LANGUAGES:
        set_preferences(user=request.user, language=chosen)
    return set_language(request)


@login_not_required
@never_cache
@get_or_post
def forgotten(request: HttpRequest) -> HttpResponse:
    """Ask for a link by mail, where the site sends mail; else how to ask a secretary."""
    form = ForgottenForm(posted(request)) if mail.configured() else None
    if form is not None and form.is_valid():
        mail.ask_for_link(
            login=form.cleaned_data["login"],
            address=client_address(request) or "",
            page=link_address,
        )
        return render(request, "members/link_sent.html")
    return render(request, "members/forgotten.html", {"form": form})
