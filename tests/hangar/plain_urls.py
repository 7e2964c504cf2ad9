"""A few addresses, so that what the settings promise can be tested without any page of the site."""

from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import AuthenticationForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import include, path


@login_not_required
def public(request: HttpRequest) -> HttpResponse:
    return HttpResponse("public")


def private(request: HttpRequest) -> HttpResponse:
    return HttpResponse(f"for {request.user}")


@login_not_required
def sign_in(request: HttpRequest) -> HttpResponse:
    form = AuthenticationForm(request, request.POST)
    if not form.is_valid():
        return HttpResponse("no", status=403)
    login(request, form.get_user())
    return redirect("/private")


urlpatterns = [
    path("public", public),
    path("private", private),
    path("members/", include(([path("sign-in", sign_in, name="sign_in")], "members"))),
]
