"""What can go wrong with the demo club."""

from django.core.management.base import CommandError


class DemoError(CommandError):
    """The demo club cannot be loaded; a command shows the text as it is."""
