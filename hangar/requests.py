"""What a view is given: a request of someone signed in."""

from typing import TYPE_CHECKING, Any

from django.http import HttpRequest, QueryDict
from django.utils.datastructures import MultiValueDict
from django_htmx.middleware import HtmxDetails

from hangar.members.models import Member

if TYPE_CHECKING:
    from django.core.files.uploadedfile import UploadedFile


class SignedIn(HttpRequest):
    """The middleware lets nobody else through, except to the pages that say so."""

    user: Member
    htmx: HtmxDetails


def posted(request: HttpRequest) -> QueryDict | None:
    """What a form is bound to: the post, also an empty one; None when the page is only looked at."""
    return request.POST if request.method == "POST" else None


def posted_files(request: HttpRequest) -> "MultiValueDict[str, UploadedFile[Any]] | None":
    """The files that came with a post."""
    return request.FILES if request.method == "POST" else None
