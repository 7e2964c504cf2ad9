"""Taking over the setup of a model that was bought."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from hangar.fleet.crumbs import airframe_crumbs
from hangar.fleet.lookups import get_editable_airframe_for
from hangar.form_pages import get_or_post
from hangar.inputs import attempt
from hangar.pictures.words import short
from hangar.requests import SignedIn, posted, posted_files
from hangar.setups.errors import HistoryError
from hangar.setups.handover import read_handover
from mixing import SetupError
from mixing.reading import LARGEST_TEXT

from . import operations
from .errors import FlightError


class BoughtForm(forms.Form):
    document = forms.FileField(
        label=gettext_lazy("What came with it"),
        help_text=gettext_lazy("The file of its handover, or a setup document; JSON, 1 MiB at most."),
        error_messages={
            "required": gettext_lazy("Choose the file."),
            "empty": gettext_lazy("This file is empty; choose that of the handover."),
        },
    )  # fmt: skip

    def clean_document(self) -> bytes:
        upload = self.cleaned_data["document"]
        if upload.size > LARGEST_TEXT:
            given = f"{short(upload.size / 1024 / 1024)} MiB"
            raise forms.ValidationError(_("This file has {given}; give one of 1 MiB at most.").format(given=given))
        content: bytes = upload.read()
        return content


@get_or_post
def take_over(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    form = BoughtForm(posted(request), posted_files(request))
    problems: tuple[Any, ...] = ()
    if form.is_valid():
        try:
            setup = read_handover(form.cleaned_data["document"])
        except SetupError as error:
            problems = error.problems
            form.add_error("document", _("There is no sound setup in this file: see below."))
        else:
            errors = (FlightError, HistoryError)
            if attempt(form, errors, lambda: operations.take_over(user=request.user, airframe=airframe, setup=setup)):
                text = _("Its setup is taken over, as bought: every throw is estimated until you measure it.")
                messages.success(request, text)
                return redirect("flights:airframe", slug)
    ctx = {
        "airframe": airframe, "form": form, "problems": problems, "here": "line-up",
        "crumbs": airframe_crumbs(airframe), "cancel": reverse("flights:airframe", args=[slug]),
    }  # fmt: skip
    return render(request, "flights/take_over.html", ctx)
