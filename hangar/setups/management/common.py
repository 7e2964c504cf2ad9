"""What the commands on setups share: one clear message and exit status 1 for whatever cannot be done."""

from pathlib import Path
from typing import Any

from django.core.exceptions import PermissionDenied
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError

from hangar.fleet.models import Airframe
from hangar.setups.errors import HistoryError
from mixing import PositionError, Setup, SetupError
from mixing.reading import LARGEST_TEXT


class Refused(Exception):
    """The command cannot do what it was asked to; its text is all that is printed."""


class SetupCommand(BaseCommand):
    """A command whose refusals are its last line, never a traceback."""

    def execute(self, *args: Any, **options: Any) -> str | None:
        try:
            return super().execute(*args, **options)
        except (Refused, HistoryError, PositionError, PermissionDenied) as error:
            raise CommandError(str(error)) from error
        except DatabaseError as error:
            raise CommandError(f"The database refused ({error}). Is it there? `manage.py migrate` makes it.") from error


def read_setup(path: Path) -> Setup:
    """The setup in a file; Refused, with every problem and its path, where there is none."""
    try:
        with path.open("rb") as file:
            # One byte more than allowed shows that it is too large, without reading what may never end.
            text = file.read(LARGEST_TEXT + 1)
    except OSError as error:
        raise Refused(f"{path}: {error.strerror or error}.") from error
    if len(text) > LARGEST_TEXT:
        raise Refused(f"{path}: the file is larger than 1 MiB; a setup is at most 1 MiB.")
    try:
        return Setup.from_text(text)
    except SetupError as error:
        raise Refused("\n".join(f"{path}: {problem}" for problem in error.problems)) from error


def find_airframe(slug: str) -> Airframe:
    airframe = Airframe.objects.filter(slug=slug).first()
    if airframe is None:
        known = ", ".join(Airframe.objects.values_list("slug", flat=True)[:20]) or "none yet"
        raise Refused(f"There is no airframe {slug!r}. Known: {known}.")
    return airframe
