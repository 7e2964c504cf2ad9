"""What the site writes down as it runs: one JSON object a line, on the standard error, without personal data.

A line names the route ("airframes/<slug:slug>/"), not the address: an address can hold a name or the token of a link.
No member, no network address, no query, nothing that was typed. Of an error it names the kind and the places in the
code; not its words, in which a database may quote a row.
"""

import json
import logging
import re
import time
import traceback
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from django.http import HttpRequest, HttpResponse

_requests = logging.getLogger("hangar.requests")
# What Django says of a request holds its address.
_ABOUT_REQUESTS = ("django.request", "django.security")
_PLACES = 12


def route_of(request: HttpRequest | None) -> str:
    match = getattr(request, "resolver_match", None)
    return match.route if match is not None else "(none)"


class JsonFormatter(logging.Formatter):
    """One JSON object for each record."""

    def format(self, record: logging.LogRecord) -> str:
        said: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": self._message(record),
            **getattr(record, "facts", {}),
        }
        if record.exc_info and record.exc_info[0] is not None:
            said["error"] = record.exc_info[0].__name__
            places = traceback.extract_tb(record.exc_info[2])[-_PLACES:]
            said["places"] = [f"{place.filename}:{place.lineno} {place.name}" for place in places]
        return json.dumps(said, ensure_ascii=False)

    def _message(self, record: logging.LogRecord) -> str:
        if record.name.startswith("axes"):
            # Who tried to sign in, and from where, are filled into it: not here.
            return str(record.msg)
        if record.name.startswith("gunicorn"):
            # Of a request that it cannot read or answer, gunicorn tells the address and what was sent.
            return re.sub(r"(Invalid|Error handling) request.*", r"\1 request", record.getMessage(), flags=re.DOTALL)
        if not record.name.startswith(_ABOUT_REQUESTS):
            return record.getMessage()
        status = getattr(record, "status_code", None)
        what = f"answered {status}" if status else "refused"
        return f"{what} at {route_of(getattr(record, 'request', None))}"


class RequestLogMiddleware:
    """One line for each request that was answered: route, method, status, how long it took and how large it was."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        started = time.monotonic()
        response = self.get_response(request)
        facts = {
            "method": request.method if request.method in ("GET", "HEAD", "POST") else "other",
            "route": route_of(request),
            "status": response.status_code,
            "ms": round(1000 * (time.monotonic() - started), 1),
            "bytes": len(response.content) if hasattr(response, "content") else None,
        }
        _requests.info("answered", extra={"facts": facts})
        return response
