"""A page that is one form: which methods it answers, where it stands, and how it is shown."""

from typing import Any

from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

Crumbs = list[tuple[str, str]]
"""The way to a page from the top: words and address of each page above it."""

get_or_post = require_http_methods(["GET", "HEAD", "POST"])


def form_page(
    request: HttpRequest, form: BaseForm, *, title: str, crumbs: Crumbs, here: str, submit: str = "", **more: Any
) -> HttpResponse:
    """The form under its title; leaving it leads to the page above. `here` is the place in the navigation.

    `submit` is what the button says, `lede` what stands under the title, `cautions` whether these stand above the form.
    """
    ctx = {
        "form": form, "title": title, "submit": submit or _("Save"), "cancel": crumbs[-1][1], "crumbs": crumbs,
        "here": here, **more,
    }  # fmt: skip
    return render(request, "form_page.html", ctx)
