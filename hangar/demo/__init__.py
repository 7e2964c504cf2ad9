"""The demo club: invented members, airframes and histories, kept as data under fixtures/demo."""

from .errors import DemoError
from .loading import DemoClub, Login, load

__all__ = ["DemoClub", "DemoError", "Login", "load"]
