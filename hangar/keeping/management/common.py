from typing import Any

from django.core.management.base import CommandError

from hangar.keeping.errors import KeepingError
from hangar.setups.management.common import SetupCommand


class KeepingCommand(SetupCommand):
    """A command whose refusals are its last line, never a traceback."""

    def execute(self, *args: Any, **options: Any) -> str | None:
        try:
            return super().execute(*args, **options)
        except KeepingError as error:
            raise CommandError(str(error)) from error
