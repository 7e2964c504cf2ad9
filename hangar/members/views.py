"""Signing in and out: Django's own views, in the club's words. A member may stay signed in at the field."""

from django.contrib.auth.views import LoginView, LogoutView

from .forms import SignInForm

sign_in = LoginView.as_view(
    template_name="members/sign_in.html", authentication_form=SignInForm, redirect_authenticated_user=True
)
sign_out = LogoutView.as_view(next_page="members:sign_in")
