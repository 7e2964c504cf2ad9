"""The site's addresses and `/slow`, which makes a file, so that a test sees that it is at work, and takes its time."""

import time
from pathlib import Path

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.urls import include, path


@login_not_required
def slow(request: HttpRequest) -> HttpResponse:
    Path(request.GET["begun"]).touch()
    time.sleep(3)
    return HttpResponse(b"whole" * 200_000)


urlpatterns = [path("slow", slow, name="slow"), path("", include("hangar.urls"))]
handler500 = "hangar.keeping.trouble.server_error"
