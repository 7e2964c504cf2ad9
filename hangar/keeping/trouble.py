"""What a member sees when nothing can be written, or the database not reached: plain words, and when to try again."""

import errno
import sys

from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.defaults import server_error as plain_fault

_MINUTE = "60"
# A photo, or what is uploaded, finds no room: on the disk, in the share of it that is ours, or none to write to.
_NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EROFS)


def server_error(request: HttpRequest) -> HttpResponse:
    """The answer to every fault. A full disk passes, and so does a database that is busy or out of reach: try again."""
    # Not in a middleware: sessions and sign-in ask the database too, in middleware of their own.
    fault = sys.exc_info()[1]
    passes = isinstance(fault, OperationalError | InterfaceError)
    if not passes and not (isinstance(fault, OSError) and fault.errno in _NO_ROOM):
        return plain_fault(request)
    response = render(None, "503.html", status=503)
    response["Retry-After"] = _MINUTE
    return response
