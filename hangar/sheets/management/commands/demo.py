"""`manage.py demo`: a club's hangar with invented data, one printed sheet, and the site to look at it."""

import argparse
import logging
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.core.servers import basehttp

from hangar import demo
from hangar.bootstrap import demo_options
from hangar.bootstrap.terminal import Stopwatch
from hangar.setups.models import Revision


class Command(BaseCommand):
    """Make the demo club, print a sheet, serve the site."""

    help = "Load a club with invented data, print one setup sheet as PDF and serve the site on this machine."

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Take the options that the start has looked at before."""
        demo_options.add_arguments(parser)

    def handle(self, *args: Any, no_serve: bool, port: int, **options: Any) -> None:
        """Every step says one line; a second run finds the work done."""
        self._make_database()
        watch = Stopwatch()
        club = demo.load(say=self._say)
        self._say(f"The demo club is loaded ({watch}).")
        self._print_sheet(club.showpiece)
        self._say("You can sign in as:")
        width = max(len(login) for login, _, _ in club.logins)
        for login, password, role in club.logins:
            self._say(f"  {login:<{width}}  with the password {password}  ({role})")
        if not no_serve:
            self._serve(port)

    def _say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()

    def _make_database(self) -> None:
        watch = Stopwatch()
        call_command("migrate", verbosity=0, interactive=False)
        self._say(f"The database is ready ({watch}).")

    def _print_sheet(self, slug: str) -> None:
        from hangar.sheets.render import setup_sheet_pdf  # a slow library, which no other step needs

        watch = Stopwatch()
        revision = Revision.objects.filter(airframe__slug=slug).order_by("-number").first()
        if revision is None:
            raise CommandError(
                f"The demo club has no recorded setup of {slug}: remove {settings.HANGAR_DATA} and retry."
            )
        path = settings.HANGAR_DATA / "sheets" / f"{slug}-{revision.number}.pdf"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(setup_sheet_pdf(revision))
        self._say(f"The sheet of {slug}, revision {revision.number}, is in {path} ({watch}).")

    def _serve(self, port: int) -> None:
        # Each request would be a line of its own; the terminal is for what the pilot must see.
        logging.getLogger("django.server").setLevel(logging.ERROR)
        try:
            basehttp.run(
                demo_options.HOST,
                port,
                basehttp.get_internal_wsgi_application(),
                threading=True,
                on_bind=lambda bound: self._say(f"Open http://{demo_options.HOST}:{bound}/ (Ctrl-C ends it)."),
            )
        except OSError as error:
            raise CommandError(demo_options.port_refused(port, error)) from error
        except KeyboardInterrupt:
            self._say("\nStopped.")
