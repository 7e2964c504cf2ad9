"""An airframe's photo: giving it one, taking it away, and the picture itself, for members only."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_POST, require_safe

from hangar.form_pages import get_or_post
from hangar.inputs import attempt
from hangar.requests import SignedIn, posted, posted_files

from . import photo_operations
from .crumbs import airframe_crumbs
from .errors import PhotoError
from .lookups import get_airframe_for, get_editable_airframe_for
from .models import Airframe

# Whatever a browser took it for, nothing in it could run or load.
POLICY = "default-src 'none'; frame-ancestors 'none'; sandbox"
FOR_A_YEAR = "private, max-age=31536000, immutable"


class PhotoForm(forms.Form):
    file = forms.FileField(
        label=_("Picture"),
        help_text=_("JPEG, PNG or WebP, at most 12 MiB. Where and when it was taken is not kept."),
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp"}),
        error_messages={"required": _("Choose a picture."), "empty": _("This file is empty; choose a picture.")},
    )  # fmt: skip
    alt = forms.CharField(
        label=_("What it shows"), max_length=200, help_text=_("In a few words, for who cannot see it."),
        error_messages={"required": _("Say in a few words what the picture shows, for who cannot see it.")},
    )  # fmt: skip

    def __init__(self, *args: Any, airframe: Airframe, **kwargs: Any) -> None:
        photo = airframe.photo
        initial = {"alt": photo.alt if photo else gettext("{airframe}, from the side").format(airframe=airframe.name)}
        super().__init__(*args, **{**kwargs, "initial": initial})
        if photo:
            self.fields["file"].required = False
            self.fields["file"].label = _("Another picture")


@get_or_post
def edit_photo(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    form = PhotoForm(posted(request), posted_files(request), airframe=airframe)
    page = reverse("flights:airframe", args=[slug])
    if form.is_valid() and _saved(request, form, airframe):
        return redirect(f"{page}#model")
    ctx = {
        "airframe": airframe, "form": form, "cancel": f"{page}#model", "here": "line-up",
        "crumbs": airframe_crumbs(airframe),
    }  # fmt: skip
    return render(request, "fleet/photo.html", ctx)


def _saved(request: SignedIn, form: PhotoForm, airframe: Airframe) -> bool:
    sent, alt = form.cleaned_data["file"], form.cleaned_data["alt"]
    try:
        if sent is None:
            photo_operations.describe_photo(user=request.user, airframe=airframe, alt=alt)
            return True
        return bool(attempt(form, (), lambda: photo_operations.set_photo(
            user=request.user, airframe=airframe, file=sent, size=sent.size, alt=alt
        )))  # fmt: skip
    except PhotoError as error:
        form.add_error("file", str(error))
    return False


@require_POST
def remove_photo(request: SignedIn, slug: str) -> HttpResponse:
    airframe = get_editable_airframe_for(request.user, slug)
    photo_operations.remove_photo(user=request.user, airframe=airframe)
    messages.success(request, gettext("The photo of {airframe} is gone.").format(airframe=airframe))
    return redirect("flights:airframe", slug)


@require_safe
def photo(request: SignedIn, slug: str, version: str) -> HttpResponse:
    found = get_airframe_for(request.user, slug).photo
    if found is None or found.version != version:
        raise Http404("There is no such photo.")
    try:
        with found.image.open() as file:
            content = file.read()
    except FileNotFoundError as error:
        raise Http404("The file of this photo is gone.") from error
    response = HttpResponse(content, content_type="image/jpeg")
    response["Content-Disposition"] = f'inline; filename="{slug}.jpg"'
    response["Content-Security-Policy"] = POLICY
    response["Cache-Control"] = FOR_A_YEAR
    return response
