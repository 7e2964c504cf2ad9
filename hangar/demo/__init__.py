"""The demo club: invented members, airframes and histories, kept as data under fixtures/demo."""

from .blank import keep_blank, put_blank
from .errors import DemoError
from .loading import DemoClub, Login, load

__all__ = ["DemoClub", "DemoError", "Login", "keep_blank", "load", "put_blank"]
