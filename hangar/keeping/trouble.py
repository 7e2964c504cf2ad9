"""What a member sees when the database cannot be written or reached: plain words, and when to try again."""

import sys

from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.defaults import server_error as plain_fault

_MINUTE = "60"


def server_error(request: HttpRequest) -> HttpResponse:
    """The answer to every fault. One of the database's own (busy, full, out of reach) passes, so it says: try again."""
    # Not in a middleware: sessions and sign-in ask the database too, in middleware of their own.
    fault = sys.exc_info()[1]
    if not isinstance(fault, OperationalError | InterfaceError):
        return plain_fault(request)
    response = render(None, "503.html", status=503)
    response["Retry-After"] = _MINUTE
    return response
